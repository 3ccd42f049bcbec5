"""Published reference tables for the tests of the derivations."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

TABLES = Path(__file__).parent.parent / "reference"
Rows = Callable[[str], "list[dict[str, str]]"]


def rows(name: str) -> list[dict[str, str]]:
    """All rows of the reference table `name` (with or without `.csv`)."""
    path = TABLES / (name if name.endswith(".csv") else name + ".csv")
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def reference() -> Rows:
    """The function that reads a reference table by its name."""
    return rows
