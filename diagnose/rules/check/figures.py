"""Readings name figures, and logs patterns, that this program can work out. Here and not in diagnose.knowledge, which knows none."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.derive.trace.patterns import PATTERNS
from diagnose.errors import did_you_mean
from diagnose.figures.figures import FIGURES
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge


def check_figures(knowledge: Knowledge) -> Iterator[Report]:
    """Unknown figures, with the known ones."""
    for reading in knowledge.readings.values():
        if reading.figure not in FIGURES:
            allowed = f"{did_you_mean(reading.figure, FIGURES)} Allowed: {', '.join(sorted(FIGURES))}.".strip()
            yield error(knowledge, "figure", reading.id, f"figure: '{reading.figure}' is not one that can be worked out.", allowed)
    for log in knowledge.logs.values():
        if log.pattern not in PATTERNS:
            allowed = f"{did_you_mean(log.pattern, PATTERNS)} Allowed: {', '.join(PATTERNS)}.".strip()
            yield error(knowledge, "pattern", log.id, f"pattern: '{log.pattern}' is not one that is read in a log.", allowed)
    told = {log.pattern for log in knowledge.logs.values()}
    for pattern in PATTERNS if told else ():
        if pattern not in told:
            first = next(iter(knowledge.logs))
            message = f"nothing is said of the pattern '{pattern}', which a log may show as well."
            yield warning(knowledge, "missing_case", first, message, "Add an entry for it, with shows: {} where it shows nothing.")
