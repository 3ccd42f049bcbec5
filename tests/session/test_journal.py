"""The journal: whatever instant the power fails at, what was answered before is there."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import InputError
from diagnose.session import journal as module
from diagnose.session.journal import Journal, StorageError, contents, line_of

EVENTS: list[dict[str, Any]] = [
    {"t": "start", "case": {}},
    {"t": "answer", "by": "words", "obs": [{"of": "white_exhaust", "answer": "yes"}]},
    {"t": "note", "of": "", "text": "häufig, at night \N{SNOWFLAKE}"},
    {"t": "undo", "of": ["white_exhaust"]},
]


def filled(path: Path) -> bytes:
    journal = Journal(path)
    for event in EVENTS:
        journal.add(event)
    journal.close()
    return path.read_bytes()


def test_cut_off_at_every_byte_it_holds_every_whole_line_before(tmp_path: Path) -> None:
    raw = filled(tmp_path / "a.journal")
    ends = [i + 1 for i, byte in enumerate(raw) if byte == 10]
    for length in range(len(raw) + 1):
        path = tmp_path / "cut.journal"
        path.write_bytes(raw[:length])
        journal = Journal(path)
        whole = sum(end <= length for end in ends)
        assert journal.events == EVENTS[:whole], length
        assert not journal.damaged
        journal.add({"t": "note", "text": "after"})  # what comes after a crash is not glued to the torn line
        journal.close()
        assert list(contents(path.read_bytes()).events) == [*EVENTS[:whole], {"t": "note", "text": "after"}]


def test_one_flipped_bit_loses_one_line_and_is_said(tmp_path: Path) -> None:
    raw = filled(tmp_path / "a.journal")
    ends = [0, *(i + 1 for i, byte in enumerate(raw) if byte == 10)]
    for at in range(0, len(raw), 3):
        hurt = bytearray(raw)
        hurt[at] ^= 0x10
        found = contents(bytes(hurt))
        line = max(i for i, end in enumerate(ends) if end <= at)
        assert [e for e in found.events if e not in EVENTS] == [], at
        assert len(found.events) >= len(EVENTS) - 2  # a hurt line end joins two lines
        if line + 2 < len(EVENTS):
            assert found.damaged, at


def test_bytes_that_are_no_journal_give_nothing() -> None:
    for raw in (b"", b"\n\n", b"\xff\xfe\x00", b"deadbeef {}\n", line_of({"t": 1}), line_of({"no": "kind"})):
        assert contents(raw).events == ()


def test_a_second_session_on_one_case_is_refused_with_a_word(tmp_path: Path) -> None:
    first = Journal(tmp_path / "a.journal")
    with pytest.raises(InputError, match="another session on this case is open"):
        Journal(tmp_path / "a.journal")
    first.close()
    Journal(tmp_path / "a.journal").close()


@pytest.mark.parametrize(
    ("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "read-only"), (errno.EIO, "could not be kept")]
)
def test_a_disk_that_takes_no_more_is_said_and_what_was_there_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    path = tmp_path / "a.journal"
    journal = Journal(path)
    journal.add(EVENTS[0])
    before = path.read_bytes()
    real = os.write

    def half(handle: int, data: bytes) -> int:
        if len(data) > 8:
            return real(handle, data[:8])
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(module.os, "write", half)
    with pytest.raises(StorageError, match=words) as caught:
        journal.add({"t": "xx"})
    assert str(path) in str(caught.value)
    assert caught.value.exit_code == 1
    monkeypatch.undo()
    assert path.read_bytes() == before
    journal.add(EVENTS[1])
    journal.close()
    assert list(contents(path.read_bytes()).events) == EVENTS[:2]


def test_a_folder_that_may_not_be_written_to_is_said(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="cannot be opened for writing"):
        Journal(tmp_path / "not there" / "a.journal")


@pytest.mark.slow
def test_killed_at_any_instant_it_holds_every_answer_that_was_confirmed(tmp_path: Path) -> None:
    """A process says "kept N" after each event; killed without warning, the journal holds at least those."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom diagnose.session.journal import Journal\n"
        "j = Journal(Path(sys.argv[1]))\nn = len(j.events)\n"
        "while True:\n    j.add({'t': 'note', 'text': 'x' * 300, 'n': n})\n    n += 1\n    print(n, flush=True)\n"
    )
    path = tmp_path / "a.journal"
    least = 0
    for _ in range(5):
        with subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            said = [int(child.stdout.readline()) for _ in range(20)]
            child.kill()
            rest = child.stdout.read().split()
        confirmed = int(rest[-1]) if rest else said[-1]
        found = contents(path.read_bytes())
        assert len(found.events) >= confirmed > least
        assert [e["n"] for e in found.events] == list(range(len(found.events)))
        least = confirmed
