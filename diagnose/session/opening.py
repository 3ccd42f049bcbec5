"""How a session begins and ends on disk: which case, which journal, gone on with or begun afresh, and the case file at the end."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from diagnose.case.case import Case
from diagnose.errors import InputError, Problem
from diagnose.session import casewriter
from diagnose.session.journal import Journal, contents

TAIL = ".journal"


@dataclass(frozen=True)
class Place:
    """The case file that the session will write, and the journal beside it. `found`: answers that an earlier session left there."""

    out: Path
    journal: Path
    found: int = 0


def journal_of(out: Path) -> Path:
    """The journal that belongs to a case file."""
    return out.with_name(out.name + TAIL)


def left(journal: Path) -> int:
    """How many entries an unfinished session left in `journal`; 0 where there is none."""
    try:
        events = contents(journal.read_bytes()).events
    except OSError:
        return 0
    return 0 if not events or events[-1]["t"] == "end" else len(events)


def place(case: Path | None, out: Path | None, folder: Path) -> Place:
    """Where this session is kept. Raises InputError where `out` would be overwritten."""
    for known in [out] if out else [case] if case else []:
        if left(journal_of(known)):
            return Place(known, journal_of(known), left(journal_of(known)))
    if out is not None:
        if out.exists() and out != case:
            raise InputError(Problem("is there already", str(out), allowed="Give another name with --out."))
        return Place(out, journal_of(out))
    if case is not None and not case.exists():
        return Place(case, journal_of(case))
    if case is not None:
        first = case.with_name(f"{case.stem}-answered.yaml")
        if left(journal_of(first)):
            return Place(first, journal_of(first), left(journal_of(first)))
        return _free(first)
    waiting = sorted((p for p in folder.glob(f"session*.yaml{TAIL}") if left(p)), key=lambda p: (-p.stat().st_mtime_ns, p.name))
    if waiting:
        return Place(waiting[0].with_name(waiting[0].name.removesuffix(TAIL)), waiting[0], left(waiting[0]))
    return _free(folder / "session.yaml")


def _free(path: Path) -> Place:
    number, tried = 1, path
    while tried.exists() or left(journal_of(tried)):
        number += 1
        tried = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return Place(tried, journal_of(tried))


def afresh(where: Place) -> Place:
    """Set an unfinished session aside, under a name of its own; nothing is thrown away."""
    number = 1
    while (old := where.journal.with_name(f"{where.journal.name}.old-{number}")).exists():
        number += 1
    try:
        with_lock = Journal(where.journal)  # refused while somebody works on it
        with_lock.close()
        where.journal.rename(old)
    except OSError as why:
        raise InputError(Problem(f"cannot be set aside: {why.strerror or why}", str(where.journal))) from None
    if where.out.exists():
        return _free(where.out)
    return Place(where.out, where.journal)


def begin(where: Place, case: Case, walk: bool = False) -> Journal:
    """Open the journal; a new one starts with the case and whether it is a look over.

    Raises InputError where somebody else holds it, StorageError where it cannot be written.
    """
    journal = Journal(where.journal)
    if not journal.events:
        journal.add({"t": "start", "case": case.model_dump(mode="json", exclude_none=True), "walk": walk})
    return journal


def save(where: Place, journal: Journal, case: Case, finished: bool) -> None:
    """Write the case file. A finished session needs its journal no more; a left one is gone on with from it."""
    casewriter.write(where.out, case)
    if finished:
        journal.add({"t": "end"})
        journal.remove()
    else:
        journal.add({"t": "saved", "sha": hashlib.sha256(casewriter.written(case).encode()).hexdigest()})


def edited(where: Place, journal: Journal) -> bool:
    """Whether the case file was changed by hand since the session was left."""
    saved = next((e["sha"] for e in reversed(journal.events) if e["t"] == "saved"), None)
    try:
        return saved is not None and hashlib.sha256(where.out.read_bytes()).hexdigest() != saved
    except OSError:
        return False
