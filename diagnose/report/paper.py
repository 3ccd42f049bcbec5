"""Plain text of a given width: headings, paragraphs, items with a hanging indent. No line is longer than the paper is wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable


class Paper:
    """Collects lines. `width` in characters."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.lines: list[str] = []

    def gap(self) -> None:
        """One empty line, never two."""
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def heading(self, text: str) -> None:
        """A section's name, underlined."""
        self.gap()
        wrapped = textwrap.wrap(text, self.width)
        self.lines += [*wrapped, "-" * max(map(len, wrapped))]

    def say(self, text: str, indent: int = 0, mark: str = "") -> None:
        """A paragraph; `mark` stands before its first line and later lines hang below what follows it."""
        first = " " * indent + mark
        later = " " * min(len(first), max(indent + 2, self.width // 3))
        self.lines += textwrap.wrap(
            " ".join(text.split()), self.width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False
        ) or [first.rstrip()]

    def items(self, texts: Iterable[str], indent: int = 0, mark: str = "- ") -> None:
        """One paragraph an item."""
        for text in texts:
            self.say(text, indent, mark)

    def numbered(self, texts: Iterable[str], indent: int = 0) -> None:
        """Items counted from 1."""
        for number, text in enumerate(texts, 1):
            self.say(text, indent, f"{number}. ")

    def __str__(self) -> str:
        return "\n".join(line.rstrip() for line in self.lines) + "\n"


def sentence(text: str) -> str:
    """First letter large, a full stop at the end.

    >>> sentence("cap holds no pressure")
    'Cap holds no pressure.'
    """
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?:" else ".")


def listed(words: Iterable[str]) -> str:
    """Words in a row, underscores taken out.

    >>> listed(["infrared_thermometer", "torch"])
    'infrared thermometer, torch'
    """
    return ", ".join(w.replace("_", " ") for w in words)
