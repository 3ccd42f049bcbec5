"""Compression and leakage of the same engine taken together."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.derive.compression import Compression
from diagnose.derive.cylinder_patterns import PATTERNS, scaled
from diagnose.derive.leakage import Leakage
from diagnose.derive.measure import CannotJudge


@dataclass(frozen=True)
class Cylinders:
    """`likelihood` of all readings under each pattern, the greatest 1 (not a chance); `best`: patterns within a third of it."""

    likelihood: dict[str, float]
    best: tuple[str, ...]
    notes: tuple[str, ...] = field(default=())


def together(compression: Compression | None, leakage: Leakage | None) -> Cylinders:
    """Combine both tests. They see one leak by two ways, so the weaker test counts half in logarithm. Raises CannotJudge.

    >>> from diagnose.derive.compression import compression
    >>> together(compression({1: 12, 2: 6, 3: 6, 4: 12}), None).best[0]
    'gasket between neighbours'
    """
    tests = [t.likelihood for t in (leakage, compression) if t is not None]
    if not tests:
        raise CannotJudge("give compression readings, leakage readings, or both")
    raw = {p: tests[0][p] * (tests[1][p] ** 0.5 if len(tests) > 1 else 1.0) for p in PATTERNS}
    likelihood = scaled(raw)
    ordered = sorted(PATTERNS, key=lambda p: (-likelihood[p], p))
    best = tuple(p for p in ordered if likelihood[p] >= 1.0 / 3.0)
    notes = [*(compression.notes if compression else ()), *(leakage.notes if leakage else ())]
    return Cylinders(likelihood, best, tuple(dict.fromkeys(notes)))
