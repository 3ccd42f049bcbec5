"""Where answers come from: somebody at a terminal, or a list of lines. Both end by raising Gone."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterable
from typing import Protocol


class Gone(Exception):
    """Nobody answers any more. `how`: "end" (Ctrl-D, or no line left) or "interrupt" (Ctrl-C)."""

    def __init__(self, how: str) -> None:
        super().__init__(how)
        self.how = how


class Asker(Protocol):
    """One line at a time."""

    attended: bool

    def line(self, prompt: str) -> str:
        """The next line that somebody types. Raises Gone."""


class Terminal:
    """A person at a terminal, with the line editing that it offers."""

    attended = True

    def __init__(self) -> None:
        with contextlib.suppress(ImportError):  # arrow keys and the last lines; not there on every platform
            import readline  # noqa: F401

    def line(self, prompt: str) -> str:
        """What is typed. Ctrl-D and Ctrl-C raise Gone."""
        try:
            return input(prompt)
        except EOFError:
            raise Gone("end") from None
        except KeyboardInterrupt:
            raise Gone("interrupt") from None


class Lines:
    """Answers one a line; blank lines answer with nothing, a line that starts with # is a comment, and so is what follows ` # `."""

    attended = False

    def __init__(self, lines: Iterable[str], show: Callable[[str], None]) -> None:
        self._lines = iter(lines)
        self._show = show
        self.number = 0

    def line(self, prompt: str) -> str:
        """The next line that is no comment, shown behind the prompt as if it had been typed."""
        for raw in self._lines:
            self.number += 1
            text = raw.rstrip("\r\n").split(" # ")[0].strip()
            if raw.lstrip().startswith("#"):
                continue
            self._show(f"{prompt}{text}")
            return text
        self._show(f"{prompt}(no answer left)")
        raise Gone("end")


def terminal_there() -> bool:
    """Whether somebody can read the questions and type answers."""
    try:
        return sys.stdin.isatty() and sys.stdout.isatty()
    except (AttributeError, ValueError):
        return False
