"""The command line in this process, with the knowledge read once."""

from __future__ import annotations

import io
import sys

import pytest
from cli_shell import Command, Result

from diagnose.knowledge import load as loading
from diagnose.knowledge.knowledge import Knowledge


@pytest.fixture(scope="session")
def knowledge(real_knowledge: Knowledge) -> Knowledge:
    return real_knowledge


@pytest.fixture
def command(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge) -> Command:
    from diagnose.cli.main import run

    own = loading.load
    monkeypatch.setattr(loading, "load", lambda directory=None, cache=True: knowledge if directory is None else own(directory, cache))

    def call(*words: str, stdin: str | bytes = "") -> Result:
        raw = stdin.encode() if isinstance(stdin, str) else stdin
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw), encoding="utf-8"))
        capfdbinary.readouterr()
        code = run(list(words))
        sys.stdout.flush()
        captured = capfdbinary.readouterr()
        return Result(code, captured.out.decode(), captured.err.decode())

    return call
