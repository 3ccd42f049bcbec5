"""What many tests share. Being here also lets the folders below import `simulate`."""

from __future__ import annotations

import pytest

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load


@pytest.fixture(autouse=True)
def no_settings_of_this_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """The settings file of whoever runs the tests is not read."""
    monkeypatch.setenv("DIAGNOSE_SETTINGS", "no-such-settings.yaml")


@pytest.fixture(scope="session")
def real_knowledge() -> Knowledge:
    """The knowledge that comes with the program, read from its files; nobody may change it."""
    return load(cache=False)
