"""What every derivation returns: a value with its uncertainty, or a clear refusal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import erf, isfinite, sqrt


class CannotJudge(ValueError):
    """The reading cannot be turned into a figure: out of the model's range, or something needed is unknown.

    The message is a sentence for the person at the vehicle: what is missing or out of range, and what is allowed.
    """


@dataclass(frozen=True)
class Measure:
    """A figure: `value` in `unit`, one standard deviation `sd` in the same unit, `formula` in words, `source` of the model."""

    value: float
    sd: float
    unit: str
    formula: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if not (isfinite(self.value) and isfinite(self.sd)) or self.sd < 0:
            raise CannotJudge(f"not a usable figure: {self.value} ± {self.sd} {self.unit}")


def below(limit: float, value: float, sd: float) -> float:
    """Chance that the true value lies below `limit`, the reading being `value` with standard deviation `sd` (same unit).

    >>> round(below(0.4, 0.39, 0.05), 2), round(below(0.4, 0.41, 0.05), 2)
    (0.58, 0.42)
    """
    if sd <= 0:
        return 1.0 if value < limit else 0.0 if value > limit else 0.5
    return 0.5 * (1.0 + erf((limit - value) / (sd * sqrt(2.0))))


def bands(value: float, sd: float, edges: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Likelihood of each band between ascending `edges`; an edge is (limit, the limit's own spread among sources).

    Returns len(edges) + 1 numbers that sum to 1. A limit is a slope, not a cliff: the reading's and the limit's spread add.

    >>> [round(x, 2) for x in bands(0.39, 0.03, [(0.2, 0.05), (0.4, 0.08)])]
    [0.0, 0.55, 0.45]
    """
    if list(edges) != sorted(edges):
        raise ValueError("band edges must ascend")
    cumulative = [below(limit, value, sqrt(sd * sd + spread * spread)) for limit, spread in edges]
    for i in range(1, len(cumulative)):  # wide spreads may cross; a cumulative chance never falls
        cumulative[i] = max(cumulative[i], cumulative[i - 1])
    steps = [0.0, *cumulative, 1.0]
    return tuple(high - low for low, high in pairwise(steps))
