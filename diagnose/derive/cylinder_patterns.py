"""The patterns that cylinder figures can make, and how well a row of soft "low" readings fits each of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from math import prod

from diagnose.derive.measure import CannotJudge

BETWEEN = "gasket between neighbours"
JACKET = "gasket to jacket"
CRACK = "crack opening hot"
RINGS = "rings"
VALVES = "valves or timing"
NONE = "no pattern"
PATTERNS = (BETWEEN, JACKET, CRACK, RINGS, VALVES, NONE)
# The least that good figures leave a gasket or crack, against the best pattern. Common practice: good figures never clear a
# gasket; the numbers are estimates. Between neighbours the gases cross, so it hides least.
GASKET_FLOOR = {BETWEEN: 0.05, JACKET: 0.30, CRACK: 0.30}

Banks = Sequence[Sequence[int]]


def neighbours(banks: Banks, measured: Collection[int]) -> tuple[tuple[int, int], ...]:
    """Pairs of measured cylinders that share a stretch of gasket.

    >>> neighbours([[1, 3, 5], [2, 4, 6]], (1, 3, 4, 5, 6))
    ((1, 3), (3, 5), (4, 6))
    """
    return tuple((a, b) for bank in banks for a, b in pairwise(bank) if a in measured and b in measured)


def check_banks(readings: Mapping[int, float], banks: Banks | None) -> Banks:
    """The banks to use: given, or one row in order of number, unmeasured cylinders standing between. Raises CannotJudge."""
    use = [list(range(min(readings), max(readings) + 1))] if banks is None else banks
    named = [c for bank in use for c in bank]
    if len(set(named)) != len(named) or not set(readings) <= set(named):
        raise CannotJudge("the banks must name each cylinder once, and all that were measured")
    return use


def fit(low: Mapping[int, float], expected: Mapping[int, float], otherwise: float) -> float:
    """Likelihood of soft readings: `low[c]` chance that cylinder c reads low, `expected[c]` the pattern's chance that it would.

    Cylinders that the pattern does not touch read low with chance `otherwise`.

    >>> round(fit({1: 1.0, 2: 0.0}, {1: 0.8}, 0.05), 2)
    0.76
    """
    chances = ((expected.get(c, otherwise), p) for c, p in low.items())
    return prod(e * p + (1.0 - e) * (1.0 - p) for e, p in chances)


def fit_pair(low: Mapping[int, float], pair: tuple[int, int], otherwise: float) -> float:
    """Likelihood when gas crosses between two cylinders: mostly both read low, seldom one alone, sometimes neither (estimates).

    >>> fit_pair({1: 1.0, 2: 1.0}, (1, 2), 0.05)
    0.8
    """
    a, b = pair
    shares = ((0.8, 1.0, 1.0), (0.05, 1.0, 0.0), (0.05, 0.0, 1.0), (0.1, 0.0, 0.0))
    return sum(share * fit(low, {a: at_a, b: at_b}, otherwise) for share, at_a, at_b in shares)


def mean_over(places: Sequence[float]) -> float:
    """A fault sits in one place, any of them as likely: the mean. No place (one cylinder has no neighbour): 0."""
    return sum(places) / len(places) if places else 0.0


def scaled(raw: Mapping[str, float]) -> dict[str, float]:
    """Likelihoods with the greatest at 1, gasket and crack never below their floor (a lone cylinder has no neighbour: stays 0).

    >>> scaled({BETWEEN: 1e-9, NONE: 0.5})[BETWEEN]
    0.05
    """
    top = max(raw.values())
    if top <= 0:
        raise CannotJudge("these readings fit no pattern; measure again")
    return {k: max(v / top, GASKET_FLOOR.get(k, 0.0)) if v > 0 else 0.0 for k, v in raw.items()}


def adjacent_low(low: Mapping[int, float], banks: Banks) -> tuple[tuple[int, int], ...]:
    """Neighbours that both read low, rather than not."""
    return tuple(pair for pair in neighbours(banks, low) if low[pair[0]] > 0.5 and low[pair[1]] > 0.5)
