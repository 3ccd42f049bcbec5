"""Reading a curve forwards and backwards: interpolation in a table, and the inverse of a monotonic function."""

from __future__ import annotations

from collections.abc import Callable, Sequence


def interpolate(x: float, table: Sequence[tuple[float, float]]) -> float:
    """Straight line between the neighbours of `x` in a table of ascending (x, y); the end pieces go on as straight lines.

    >>> interpolate(1.5, [(0, 0), (1, 10), (2, 30)])
    20.0
    """
    i = 1
    while i < len(table) - 1 and table[i][0] < x:
        i += 1
    (x0, y0), (x1, y1) = table[i - 1], table[i]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def inverse(function: Callable[[float], float], y: float, low: float, high: float) -> float | None:
    """The x in `low`..`high` where a monotonic `function` gives `y`, by halving; None where it does not reach `y`.

    >>> round(inverse(lambda x: x * x, 2.0, 0.0, 2.0), 6)
    1.414214
    """
    rising = function(high) > function(low)
    if (function(low) - y) * (function(high) - y) > 0:
        return None
    for _ in range(60):
        middle = 0.5 * (low + high)
        if (function(middle) < y) == rising:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def slope(function: Callable[[float], float], x: float, low: float, high: float, step: float = 1e-3) -> float:
    """Derivative of `function` at `x` by difference, kept inside `low`..`high`.

    >>> round(slope(lambda x: x * x, 3.0, 0.0, 9.0), 6)
    6.0
    """
    before, after = max(low, x - step), min(high, x + step)
    return (function(after) - function(before)) / (after - before)
