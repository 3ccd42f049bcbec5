"""Several readings of one coolant taken together."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.derive.glycol import Glycol, kind
from diagnose.derive.instrument import STRIP
from diagnose.derive.measure import CannotJudge, Measure

CONFLICT = 3.0
"""Readings further apart than this many standard deviations measure different things. Source: estimate."""


def concentration_from_strip(concentrate_fraction: float, glycol: Glycol, sd: float = STRIP.sd) -> Measure:
    """Glycol volume fraction from a strip's percent field (as a concentrate fraction 0..1) with the strip's `sd`.

    >>> concentration_from_strip(0.5, "eg").value
    0.48
    """
    if not 0.0 <= concentrate_fraction <= 1.0:
        raise CannotJudge(f"a strip's field of {concentrate_fraction:.0%} is outside 0 to 100 %")
    factor = kind(glycol).concentrate
    return Measure(concentrate_fraction * factor, sd * factor, "glycol volume fraction", "the strip's colour field", STRIP.source)


def combine(readings: Sequence[Measure]) -> Measure:
    """One figure from several of the same unit, weighted by 1/sd²; where they scatter more than they should, the spread grows.

    CannotJudge when there is none, or when two lie more than 3 standard deviations apart (wrong glycol, wrong scale, bad sample).

    >>> m = combine([Measure(0.48, 0.01, "x"), Measure(0.50, 0.02, "x")])
    >>> round(m.value, 3), round(m.sd, 3)
    (0.484, 0.009)
    """
    if not readings:
        raise CannotJudge("no reading of the concentration was given")
    if len({m.unit for m in readings}) > 1:
        raise ValueError("readings in different units cannot be combined")
    for i, a in enumerate(readings):
        for b in readings[i + 1 :]:
            apart, together = abs(a.value - b.value), max((a.sd**2 + b.sd**2) ** 0.5, 1e-12)
            if apart > CONFLICT * together:
                raise CannotJudge(
                    f"readings disagree: {a.value:.2f} ± {a.sd:.2f} and {b.value:.2f} ± {b.sd:.2f} {a.unit}; wrong scale or "
                    "glycol, a hot sample, or an unmixed one"
                )
    weights = [1.0 / max(m.sd, 1e-6) ** 2 for m in readings]
    total = sum(weights)
    value = sum(w * m.value for w, m in zip(weights, readings, strict=True)) / total
    scatter = sum(w * (m.value - value) ** 2 for w, m in zip(weights, readings, strict=True)) / max(1, len(readings) - 1)
    sd = (max(1.0, scatter) / total) ** 0.5
    sources = "; ".join(dict.fromkeys(m.source for m in readings))
    return Measure(value, sd, readings[0].unit, "mean of the readings, each by its accuracy", sources)
