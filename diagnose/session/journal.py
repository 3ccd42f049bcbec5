"""The journal of a session: one event a line, appended, checksummed, on disk before anything else happens.

A line is eight hexadecimal digits (CRC-32 of the rest), a space, one JSON object, a newline. A last line without its newline or
with a wrong checksum was torn by a crash: it is cut off. A damaged line before that is left out and said.
"""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.errors import DiagnoseError, InputError, Problem
from diagnose.session.lock import lock

Event = Mapping[str, Any]


class StorageError(DiagnoseError):
    """What was answered cannot be put on disk (full, read-only, gone)."""


def line_of(event: Event) -> bytes:
    """One event as a line of the journal."""
    text = json.dumps(event, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()
    return b"%08x %s\n" % (zlib.crc32(text), text)


@dataclass(frozen=True)
class Contents:
    """What a journal holds: its events, how many bytes are whole, and the numbers of damaged lines before the last."""

    events: tuple[Event, ...]
    whole: int
    damaged: tuple[int, ...] = ()


def contents(raw: bytes) -> Contents:
    """The events in the bytes of a journal. Never raises: what is torn or damaged is left out."""
    events: list[Event] = []
    damaged: list[int] = []
    whole = at = number = last = 0
    while (end := raw.find(b"\n", at)) >= 0:
        number += 1
        event = _event(raw[at:end])
        at = end + 1
        if event is None:
            damaged.append(number)
        else:
            events.append(event)
            whole, last = at, number
    return Contents(tuple(events), whole, tuple(n for n in damaged if n < last))


def _event(line: bytes) -> Event | None:
    if len(line) < 10 or line[8:9] != b" ":
        return None
    try:
        if int(line[:8], 16) != zlib.crc32(line[9:]):
            return None
        event = json.loads(line[9:])
    except ValueError:
        return None
    return event if isinstance(event, dict) and isinstance(event.get("t"), str) else None


class Journal:
    """An open journal, held by this process alone until it is closed."""

    def __init__(self, path: Path) -> None:
        """Open or create it and cut off a torn last line. Raises InputError if another session holds it, StorageError."""
        self.path = path
        try:
            self._file = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
        except OSError as why:
            raise StorageError(Problem(f"cannot be opened for writing: {said(why)}", str(path), allowed=_ELSEWHERE)) from None
        if not lock(self._file):
            os.close(self._file)
            raise InputError(
                Problem(
                    "another session on this case is open",
                    str(path),
                    allowed="Finish or leave that one first, or work on another case with --out.",
                )
            )
        try:
            found = contents(self._all())
            os.ftruncate(self._file, found.whole)
            os.lseek(self._file, found.whole, os.SEEK_SET)
            sync_folder(path.parent)
        except OSError as why:
            self.close()
            raise StorageError(Problem(f"cannot be read: {said(why)}", str(path), allowed=_ELSEWHERE)) from None
        self.events: list[Event] = list(found.events)
        self.damaged = found.damaged
        self._size = found.whole

    def _all(self) -> bytes:
        parts = []
        while part := os.read(self._file, 1 << 20):
            parts.append(part)
        return b"".join(parts)

    def add(self, event: Event) -> None:
        """Put one event on disk; returns when it is there. Raises StorageError, and the journal is then as it was before."""
        line = line_of(event)
        try:
            done = 0
            while done < len(line):
                done += os.write(self._file, line[done:])
            os.fsync(self._file)
        except OSError as why:
            self._take_back()
            kept = f"The {len(self.events)} entries before it are safe in {self.path}. Free some room, then start again."
            raise StorageError(Problem(f"the last answer could not be kept: {said(why)}", allowed=kept)) from None
        self._size += len(line)
        self.events.append(json.loads(line[9:]))

    def _take_back(self) -> None:
        try:
            os.ftruncate(self._file, self._size)
            os.lseek(self._file, self._size, os.SEEK_SET)
        except OSError:
            return  # the torn line is cut off when the journal is opened next

    def close(self) -> None:
        """Let go of it."""
        if self._file >= 0:
            os.close(self._file)
            self._file = -1

    def remove(self) -> None:
        """Delete it: everything in it stands in the case file. One that cannot be deleted is left."""
        self.close()
        try:
            self.path.unlink()
            sync_folder(self.path.parent)
        except OSError:
            return


_ELSEWHERE = "Give a place that may be written to: --out FILE."
_SAID = {
    "ENOSPC": "the disk is full", "EROFS": "the disk is read-only", "EACCES": "no permission to write here",
    "EDQUOT": "the disk quota is used up",
}  # fmt: skip


def said(why: OSError) -> str:
    """What the system refused, in plain words."""
    import errno

    return _SAID.get(errno.errorcode.get(why.errno or 0, ""), why.strerror or str(why))


def sync_folder(folder: Path) -> None:
    """Make a new or replaced name in `folder` last; where the system cannot do that, nothing happens."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
