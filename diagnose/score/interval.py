"""How sure a count or a mean is: 95 % intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, sqrt

import numpy as np

Z = 1.959963984540054  # the normal deviate of a two-sided 95 % interval
RESAMPLES = 2000


@dataclass(frozen=True)
class Proportion:
    """`count` of `of`. `share` and the bounds are 0 to 1; all None where there was nothing to count."""

    count: int
    of: int

    @property
    def share(self) -> float | None:
        """The share counted."""
        return self.count / self.of if self.of else None

    @property
    def bounds(self) -> tuple[float, float] | None:
        """Its 95 % interval."""
        return wilson(self.count, self.of) if self.of else None

    def document(self) -> dict[str, float | int | None]:
        """Plain data: count, of, share, low, high (rounded to 4 places)."""
        low, high = self.bounds or (None, None)
        return {"count": self.count, "of": self.of, "share": _round(self.share), "low": _round(low), "high": _round(high)}


@dataclass(frozen=True)
class Mean:
    """A mean of `of` values with its 95 % interval; None where there were no values."""

    of: int
    mean: float | None
    low: float | None
    high: float | None

    def document(self) -> dict[str, float | int | None]:
        """Plain data, rounded to 4 places."""
        return {"of": self.of, "mean": _round(self.mean), "low": _round(self.low), "high": _round(self.high)}


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def wilson(count: int, of: int, z: float = Z) -> tuple[float, float]:
    """The score interval of a proportion (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927). Raises ValueError for impossible counts.

    >>> [round(x, 4) for x in wilson(81, 263)]  # Newcombe 1998, method 3
    [0.2553, 0.3662]
    """
    if not 0 <= count <= of or of == 0:
        raise ValueError(f"{count} of {of} is not a proportion")
    p = count / of
    middle, half = p + z * z / (2 * of), z * sqrt(p * (1 - p) / of + z * z / (4 * of * of))
    return max(0.0, (middle - half) / (1 + z * z / of)), min(1.0, (middle + half) / (1 + z * z / of))


def bootstrap(values: Sequence[float], seed: int, resamples: int = RESAMPLES) -> Mean:
    """The mean and its percentile interval over seeded resamples (B. Efron, Ann. Statist. 7, 1979)."""
    if not values:
        return Mean(0, None, None, None)
    row = np.asarray(values, dtype=float)
    chosen = np.random.default_rng(seed).integers(0, len(row), size=(resamples, len(row)))
    low, high = np.percentile(row[chosen].mean(axis=1), [2.5, 97.5])
    return Mean(len(row), float(row.mean()), float(low), float(high))


def sign_test(wins: int, losses: int) -> float:
    """Two-sided chance of a split at least this uneven between two equals (exact McNemar test; ties left out)."""
    n = wins + losses
    if n == 0:
        return 1.0
    tail = sum(comb(n, k) for k in range(min(wins, losses) + 1)) / 2.0**n
    return float(min(1.0, 2 * tail))
