"""Where answers come from: somebody at a terminal, or a list of lines. Both end by raising Gone."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Collection, Iterable
from typing import Protocol

from diagnose.session.keys import Keys


class Gone(Exception):
    """Nobody answers any more. `how`: "end" (Ctrl-D, or no line left) or "interrupt" (Ctrl-C)."""

    def __init__(self, how: str) -> None:
        super().__init__(how)
        self.how = how


class Asker(Protocol):
    """One line at a time. `keys`: answers that a single key gives, without Enter, where the terminal can do that."""

    attended: bool

    def line(self, prompt: str, keys: Collection[str] = ()) -> str:
        """The next line that somebody types. Raises Gone."""


class Terminal:
    """A person at a terminal, with the line editing that it offers. `single`: single keys count at once."""

    attended = True

    def __init__(self, single: bool = True) -> None:
        self._readline = None
        with contextlib.suppress(ImportError):  # arrow keys and the last lines; not there on every platform
            import readline

            self._readline = readline
        self._keys: Keys | None = Keys() if single and self._readline is not None else None

    def line(self, prompt: str, keys: Collection[str] = ()) -> str:
        """What is typed. Ctrl-D and Ctrl-C raise Gone."""
        try:
            first = ""
            if self._keys is not None:
                first, whole = self._keys.first(prompt, keys)
                if whole:
                    return first
            return self._rest(prompt, first)
        except EOFError:
            raise Gone("end") from None
        except KeyboardInterrupt:
            raise Gone("interrupt") from None

    def _rest(self, prompt: str, first: str) -> str:
        """A line that begins with what was typed already, to be edited like any other."""
        if self._readline is None or not first:
            return input(prompt)
        readline = self._readline
        readline.set_startup_hook(lambda: readline.insert_text(first))
        try:
            return input(prompt)
        finally:
            readline.set_startup_hook(None)


class Lines:
    """Answers one a line; blank lines answer with nothing, a line that starts with # is a comment, and so is what follows ` # `."""

    attended = False

    def __init__(self, lines: Iterable[str], show: Callable[[str], None]) -> None:
        self._lines = iter(lines)
        self._show = show
        self.number = 0

    def line(self, prompt: str, keys: Collection[str] = ()) -> str:
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
