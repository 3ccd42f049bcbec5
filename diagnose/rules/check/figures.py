"""Readings name figures that this program can work out. Here and not in diagnose.knowledge, which knows no figures."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import did_you_mean
from diagnose.figures.figures import FIGURES
from diagnose.knowledge.check.report import Report, error
from diagnose.knowledge.knowledge import Knowledge


def check_figures(knowledge: Knowledge) -> Iterator[Report]:
    """Unknown figures, with the known ones."""
    for reading in knowledge.readings.values():
        if reading.figure not in FIGURES:
            allowed = f"{did_you_mean(reading.figure, FIGURES)} Allowed: {', '.join(sorted(FIGURES))}.".strip()
            yield error(knowledge, "figure", reading.id, f"figure: '{reading.figure}' is not one that can be worked out.", allowed)
