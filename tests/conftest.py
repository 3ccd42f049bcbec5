"""What many tests share. Being here also lets the folders below import `simulate`."""

from __future__ import annotations

import pytest

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load


@pytest.fixture(scope="session")
def real_knowledge() -> Knowledge:
    """The knowledge that comes with the program, read from its files; nobody may change it."""
    return load(cache=False)
