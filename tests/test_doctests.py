"""Every example in a docstring of the package is run and must come out as it says."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in (ROOT / "diagnose").rglob("*.py")
    if ">>>" in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_come_out_as_written(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0


def test_there_are_examples() -> None:
    assert len(MODULES) > 20
