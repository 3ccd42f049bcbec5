"""What tests of the session share."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from stub import Stub

from diagnose.knowledge import load as loading
from diagnose.knowledge.knowledge import Knowledge


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The knowledge that comes with the program; nobody may change it."""
    return loading.load()


@dataclass(frozen=True)
class Result:
    """What a command left behind."""

    code: int
    out: str
    err: str


Command = Callable[..., Result]


@pytest.fixture
def command(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge, tmp_path: Path) -> Command:
    """The command line in this process, in an empty folder, with the knowledge read once and an assessment in no time."""
    from diagnose.cli.main import run

    stub = Stub(knowledge)
    monkeypatch.setattr(loading, "load", lambda directory=None, cache=True: knowledge)
    monkeypatch.setattr("diagnose.assess.assess", lambda case, known, settings=None, plan=True: stub(case, plan))
    monkeypatch.setattr("diagnose.assess.Sketcher", lambda known, settings=None: lambda case, plan=True, left_out=(): stub(case, plan))
    monkeypatch.chdir(tmp_path)

    def call(*words: str, stdin: str = "") -> Result:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin.encode()), encoding="utf-8"))
        capfd.readouterr()
        code = run(list(words))
        sys.stdout.flush()
        captured = capfd.readouterr()
        return Result(code, captured.out, captured.err)

    return call
