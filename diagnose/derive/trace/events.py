"""What happens on a trip, in time order: the opening of the thermostat, fan cycles, swings, standing and moving stretches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .sensor import Electrical
from .trip import Array, Bools, Rows, Trip

SMOOTH = 13  # s
LONGEST_BRIDGE = 45.0  # s without a sample that is bridged by a straight line


@dataclass(frozen=True)
class Event:
    """Something at rows `rows` of the log, from `start` to `end` [s], at `value` [°C]."""

    kind: str
    start: float
    end: float
    value: float
    rows: tuple[int, int]


@dataclass(frozen=True, eq=False)
class Even:
    """The trip on an even grid of one second: `smooth` and `quick` are the coolant [°C] averaged over 13 s and 3 s, NaN in long gaps."""

    seconds: Array
    rows: Rows
    smooth: Array
    quick: Array
    columns: dict[str, Array]

    def span(self, where: Bools) -> tuple[int, int]:
        """First and last row of the log where `where` holds; of the whole trip if nowhere."""
        at = np.flatnonzero(where)
        return (int(self.rows[at[0]]), int(self.rows[at[-1]])) if len(at) else (int(self.rows[0]), int(self.rows[-1]))


def even(trip: Trip, electrical: Electrical) -> Even | None:
    """Put the believable samples on an even grid; None if there are fewer than 20 s of them."""
    good = np.flatnonzero(electrical.good)
    if len(good) < 10 or trip.seconds[good[-1]] - trip.seconds[good[0]] < 20:
        return None
    t, y = trip.seconds[good], trip.coolant[good]
    grid = np.arange(t[0], t[-1], 1.0)
    nearest = np.clip(np.searchsorted(trip.seconds, grid), 0, len(trip.seconds) - 1)
    line = np.interp(grid, t, y)
    following = np.clip(np.searchsorted(t, grid), 1, len(t) - 1)
    hole = (t[following] - t[following - 1]) > LONGEST_BRIDGE
    columns = {}
    for name, values in trip.columns.items():
        have = np.isfinite(values)
        columns[name] = np.asarray(np.interp(grid, trip.seconds[have], values[have]))
    smooth, quick = _mean(line, SMOOTH), _mean(line, 3)
    smooth[hole], quick[hole] = np.nan, np.nan
    return Even(grid, trip.rows[nearest], smooth, quick, columns)


def _mean(y: Array, width: int) -> Array:
    half = width // 2
    padded = np.concatenate((np.full(half, y[0]), y, np.full(half, y[-1])))
    total = np.cumsum(np.concatenate(([0.0], padded)))
    return np.asarray((total[width:] - total[:-width]) / width)


def stretches(where: Bools, least: int) -> list[tuple[int, int]]:
    """Runs [a, b) of `where` that last at least `least` samples.

    >>> stretches(np.array([1, 1, 0, 1, 1, 1], dtype=bool), 3)
    [(3, 6)]
    """
    edge = np.diff(np.concatenate(([False], where, [False])).astype(np.int8))
    return [(int(a), int(b)) for a, b in zip(np.flatnonzero(edge == 1), np.flatnonzero(edge == -1), strict=True) if b - a >= least]


def turns(y: Array, depth: float) -> list[tuple[int, bool]]:
    """Turning points of `y` that are at least `depth` deep: (index, is a peak), in order, alternating.

    >>> turns(np.array([0.0, 5, 1, 6, 0]), 3)
    [(1, True), (2, False), (3, True)]
    """
    out: list[tuple[int, bool]] = []
    rising, best = True, 0
    low = 0
    for i in range(0, len(y)):
        v = y[i]
        if v != v:
            continue
        if rising:
            if v > y[best] or y[best] != y[best]:
                best = i
            elif y[best] - v >= depth:
                if best > 0:
                    out.append((best, True))
                rising, low = False, i
        elif v < y[low]:
            low = i
        elif v - y[low] >= depth:
            out.append((low, False))
            rising, best = True, i
    return out


def found(grid: Even, electrical: Electrical, trip: Trip) -> tuple[Event, ...]:
    """Marks for the plot and the list: opening, peaks and troughs, fan on, jumps."""
    coarse = slice(None, None, 2)
    y, t, rows = grid.smooth[coarse], grid.seconds[coarse], grid.rows[coarse]
    marks = [
        Event("peak" if peak else "trough", float(t[i]), float(t[i]), float(y[i]), (int(rows[i]), int(rows[i])))
        for i, peak in turns(y, 3.0)
    ]
    opening = next((m for m in marks if m.kind == "peak" and m.value > 68), None)
    if opening is not None:
        marks.append(Event("opening", opening.start, opening.end, opening.value, opening.rows))
    fan = grid.columns.get("fan")
    if fan is not None:
        for a, b in stretches(np.asarray(fan > 0.05), 3):
            marks.append(
                Event(
                    "fan on",
                    float(grid.seconds[a]),
                    float(grid.seconds[b - 1]),
                    float(grid.smooth[a]),
                    (int(grid.rows[a]), int(grid.rows[b - 1])),
                )
            )
    for j in electrical.jumps:
        marks.append(
            Event(
                "jump",
                float(trip.seconds[j]),
                float(trip.seconds[j]),
                float(trip.coolant[j]),
                (int(trip.rows[j]), int(trip.rows[j])),
            )
        )
    return tuple(sorted(marks, key=lambda m: (m.start, m.kind)))
