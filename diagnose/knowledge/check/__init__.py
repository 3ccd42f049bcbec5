"""The check of knowledge as a whole: what the reading of single entries cannot see. Classes of problem after Suwa, Scott and
Shortliffe (1982) and Nguyen and others (1987), both from memory, and those of a causal network."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from diagnose.knowledge.check.bands import check_bands
from diagnose.knowledge.check.contexts import check_contexts
from diagnose.knowledge.check.cycles import check_cycles
from diagnose.knowledge.check.doubles import check_doubles
from diagnose.knowledge.check.lists import check_lists
from diagnose.knowledge.check.names import check_names
from diagnose.knowledge.check.neighbours import check_neighbours
from diagnose.knowledge.check.numbers import check_numbers
from diagnose.knowledge.check.procedures import check_procedures
from diagnose.knowledge.check.reach import check_reach
from diagnose.knowledge.check.references import check_references
from diagnose.knowledge.check.repairs import check_repairs
from diagnose.knowledge.check.report import KINDS, Report, warning
from diagnose.knowledge.check.separation import check_separation
from diagnose.knowledge.check.shut_out import check_shut_out
from diagnose.knowledge.check.urgencies import check_urgencies
from diagnose.knowledge.check.words import check_words
from diagnose.knowledge.knowledge import Knowledge

Check = Callable[[Knowledge], Iterable[Report]]
CHECKS: tuple[Check, ...] = (
    check_references,
    check_cycles,
    check_bands,
    check_numbers,
    check_contexts,
    check_reach,
    check_doubles,
    check_procedures,
    check_repairs,
    check_neighbours,
    check_separation,
    check_names,
    check_words,
    check_lists,
    check_shut_out,
    check_urgencies,
)

__all__ = ["Report", "check"]


def check(knowledge: Knowledge) -> list[Report]:
    """All errors and warnings outside the rules' own language (see diagnose.rules.check), by file and line."""
    found = {report for one in CHECKS for report in one(knowledge)}
    return sorted({*found, *_stale(knowledge, found)})


def _stale(knowledge: Knowledge, found: set[Report]) -> Iterator[Report]:
    """Notes that explain what is no longer so."""
    open_codes = {(report.id, report.code) for report in found}
    for kind in KINDS:
        for name, entry in getattr(knowledge, kind).items():
            for code in re.findall(r"\[([a-z_]+)\]", getattr(entry, "note", None) or ""):
                if (name, code) not in open_codes:
                    message = f"its note explains [{code}], which is not reported."
                    yield warning(knowledge, "stale_note", name, message, "Take that sentence away, or mend the code.")
