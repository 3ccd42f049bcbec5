"""Instrument words in conditions: written as they are read from a case, and known as a procedure's tool."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from diagnose.errors import did_you_mean
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge


def check_instrument(knowledge: Knowledge, who: str, how: str, words: Collection[str]) -> Iterator[Report]:
    """The instrument words of one condition; one of them at least names a tool, or begins with one (multimeter_ac)."""
    tools = {t for p in knowledge.procedures.values() for t in p.tools}
    wrong = [w for w in sorted(words) if w != w.strip().lower().replace(" ", "_").replace("-", "_")]
    if wrong:
        message = f"{how}: instrument '{wrong[0]}' is never written so when a case is read."
        yield error(knowledge, "instrument", who, message, "Use small letters and underscores.")
    elif words and not any(w == t or w.startswith(t + "_") for w in words for t in tools):
        message = f"{how}: instrument {', '.join(sorted(words))}: no procedure has such a tool."
        hint = did_you_mean(sorted(words)[0], tools) or f"Allowed: {', '.join(sorted(tools))}."
        yield warning(knowledge, "instrument", who, message, hint)
