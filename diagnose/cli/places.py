"""Where what comes with the program lies: inside the wheel, or beside the package in a checkout."""

from __future__ import annotations

from pathlib import Path

from diagnose.errors import InputError, Problem

_PACKAGE = Path(__file__).parents[1]


def packed(name: str) -> Path:
    """The folder `name` (cases, knowledge)."""
    inside = _PACKAGE / "data" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def demo_case() -> Path:
    """The demo case. Raises InputError where it is not installed."""
    path = packed("cases") / "demo.yaml"
    if not path.is_file():
        raise InputError(Problem("the demo case is not installed", allowed="Install again, or give a case file."))
    return path
