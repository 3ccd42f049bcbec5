"""Plain tables for a terminal: a label, then columns to the right; counts, per cents and intervals in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import fill
from typing import Any

LABEL = 24
NOTHING = "–"


def rows(head: str, columns: Sequence[str], lines: Sequence[tuple[str, Sequence[str]]], label: int = LABEL) -> list[str]:
    """A head line and the lines below it, every column as wide as its widest cell and two apart."""
    width = [max(len(cell) for cell in column) + 2 for column in zip(columns, *(cells for _, cells in lines), strict=True)]
    out = [head.ljust(label) + "".join(c.rjust(w) for c, w in zip(columns, width, strict=True))]
    out += [name.ljust(label) + "".join(c.rjust(w) for c, w in zip(cells, width, strict=True)) for name, cells in lines]
    return [line.rstrip() for line in out]


def count(measured: Mapping[str, Any] | None) -> str:
    """18/20."""
    return f"{measured['count']}/{measured['of']}" if measured and measured["of"] else NOTHING


def bounds(measured: Mapping[str, Any] | None) -> str:
    """The interval in per cent: 70–97 %."""
    return f"{100 * measured['low']:.0f}–{100 * measured['high']:.0f} %" if measured and measured["of"] else ""


def share(measured: Mapping[str, Any] | None) -> str:
    """The share in per cent with its interval: 90 % (70–97)."""
    if not measured or not measured["of"]:
        return NOTHING
    return f"{100 * measured['share']:.0f} % ({100 * measured['low']:.0f}–{100 * measured['high']:.0f})"


def number(value: Mapping[str, Any], places: int = 3) -> str:
    """A value with its interval: 0.98 (0.95–1.01)."""
    if value.get("value") is None:
        return "cannot be worked out"
    low, high = value["low"], value["high"]
    return f"{value['value']:.{places}f}" + (f" ({low:.{places}f} to {high:.{places}f})" if low is not None and high is not None else "")


def said(text: str, width: int, indent: str = "") -> list[str]:
    """A sentence or more, folded to the width."""
    return fill(text, width, initial_indent=indent, subsequent_indent=indent).split("\n")


def title(text: str) -> list[str]:
    """A heading with room above."""
    return ["", text, "─" * len(text)]
