"""The check of knowledge as a whole: what the reading of single entries cannot see. Classes of problem after Suwa, Scott and
Shortliffe (1982) and Nguyen and others (1987), both from memory, and those of a causal network."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from diagnose.knowledge.check.bands import check_bands
from diagnose.knowledge.check.contexts import check_contexts
from diagnose.knowledge.check.cycles import check_cycles
from diagnose.knowledge.check.doubles import check_doubles
from diagnose.knowledge.check.names import check_names
from diagnose.knowledge.check.neighbours import check_neighbours
from diagnose.knowledge.check.numbers import check_numbers
from diagnose.knowledge.check.procedures import check_procedures
from diagnose.knowledge.check.reach import check_reach
from diagnose.knowledge.check.references import check_references
from diagnose.knowledge.check.repairs import check_repairs
from diagnose.knowledge.check.report import Report
from diagnose.knowledge.check.separation import check_separation
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
)

__all__ = ["Report", "check"]


def check(knowledge: Knowledge) -> list[Report]:
    """All errors and warnings outside the rules' own language (see diagnose.rules.check), by file and line."""
    return sorted({found for one in CHECKS for found in one(knowledge)})
