"""Single keys: an answer of one key counts at once, for a mechanic with one hand free and a glove on it.

A key that is an answer waits a moment: where more is typed right behind it, it was the first letter of a word, and the line is
taken as any other, with Enter. Whoever types slower than that begins a word with "/". An Enter out of habit is swallowed.
"""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Collection

MOMENT = 0.35  # seconds within which a second key makes a word of the first (estimate)
_ENTER = (b"\r", b"\n")


class Keys:
    """Reads first keys from standard input; remembers whether the last answer was a single key."""

    def __init__(self) -> None:
        self._single = False

    def first(self, prompt: str, keys: Collection[str]) -> tuple[str, bool]:
        """What was typed first, and whether that is the whole answer. Where the terminal cannot do that: ("", False).

        Raises KeyboardInterrupt for Ctrl-C and EOFError for Ctrl-D.
        """
        try:
            import termios
            import tty
        except ImportError:  # no such terminals on this platform
            return "", False
        number = sys.stdin.fileno()
        before = termios.tcgetattr(number)
        try:
            tty.setcbreak(number, termios.TCSANOW)
            early = self._early(number)
            if not keys:
                return _printable(early), False
            sys.stdout.write(prompt)
            sys.stdout.flush()
            found, self._single = _read(number, keys, early)
        finally:
            termios.tcsetattr(number, termios.TCSANOW, before)
        sys.stdout.write(f"{found}\n" if self._single else "\r")
        sys.stdout.flush()
        return found, self._single

    def _early(self, number: int) -> bytes:
        """Swallow the Enter that was typed out of habit behind a single key; a key that is none is handed on."""
        early = os.read(number, 1) if self._single and _waiting(number, 0.0) else b""
        self._single = False
        return b"" if early in _ENTER else early


def _read(number: int, keys: Collection[str], early: bytes) -> tuple[str, bool]:
    key = early or os.read(number, 1)
    if not key or key == b"\x04":
        raise EOFError
    if key in _ENTER:
        return "", True
    text = key + (os.read(number, 16) if (key[0] >= 0x80 or key == b"\x1b") and _waiting(number, 0.02) else b"")
    if text.decode(errors="replace").lower() not in keys:
        return _printable(text), False
    if not _waiting(number, MOMENT):
        return text.decode().lower(), True
    behind = os.read(number, 1)
    return (text.decode().lower(), True) if behind in _ENTER else (_printable(text + behind), False)


def _printable(text: bytes) -> str:
    words = text.decode(errors="ignore")
    return words if words.isprintable() else ""


def _waiting(number: int, seconds: float) -> bool:
    return bool(select.select([number], [], [], seconds)[0])
