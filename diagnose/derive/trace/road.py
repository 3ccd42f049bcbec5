"""Figures of standing, moving and the fan: what air and water do for a hot engine."""

from __future__ import annotations

import numpy as np

from .events import Even, stretches, turns
from .figure import Figure
from .warmth import SENSOR_SD, air, figure_of, warmed


def when_standing(grid: Even) -> list[Figure | None]:
    """Greatest rise within one stretch standing [K], and the highest reading while standing [°C]."""
    speed = grid.columns.get("speed")
    if speed is None:
        return []
    y, best = grid.smooth, None
    where = np.zeros(len(y), dtype=bool)
    for a, b in stretches(np.asarray((speed < 4) & np.isfinite(y)), 90):
        rise = float(np.max(y[a:b]) - y[a])
        if np.max(y[a:b]) > 84 and (best is None or rise > best[0]):
            best = (rise, a, b)
    if best is None:
        return []
    where[best[1] : best[2]] = True
    peak = float(np.max(y[(speed < 4) & np.isfinite(y)]))
    return [
        figure_of("rises standing", best[0], 1.0, "K", "greatest rise within one stretch standing, hot engine", grid, where),
        figure_of("highest standing", peak, SENSOR_SD, "degC", "highest reading while standing", grid, where),
    ]


def when_moving(grid: Even) -> list[Figure | None]:
    """How hot it is after a minute above 40 km/h [°C], and above the air [K]."""
    speed = grid.columns.get("speed")
    if speed is None:
        return []
    y = grid.smooth
    where = np.zeros(len(y), dtype=bool)
    for a, b in stretches(np.asarray(speed > 40), 120):
        where[a + 60 : b] = True
    where &= warmed(grid) & np.isfinite(y)
    if np.sum(where) < 60:
        return []
    high = float(np.percentile(y[where], 90))
    out = [figure_of("hot moving", high, SENSOR_SD, "degC", "90th percentile after a minute above 40 km/h", grid, where)]
    outside = air(grid.columns)
    if outside is not None:
        out.append(figure_of("hot moving above air", high - outside[0], 3.0, "K", f"hot moving less {outside[2]} air", grid, where))
    return out


def of_the_fan(grid: Even) -> list[Figure | None]:
    """Fan cycles, the answer to the fan, hot without it, and the saw-tooth standing; what the columns allow."""
    return [*_fan_logged(grid), _swings_standing(grid)]


def _fan_logged(grid: Even) -> list[Figure | None]:
    fan, speed, y = grid.columns.get("fan"), grid.columns.get("speed"), grid.smooth
    if fan is None:
        return []
    on = np.asarray(fan > 0.05)
    runs = stretches(on, 5)
    out = [figure_of("fan cycles", float(len(runs)), 0.3, "count", "times the fan was switched on", grid, on)]
    rates, where = [], np.zeros(len(y), dtype=bool)
    for a, b in runs:
        still = speed is None or float(np.max(speed[a:b])) < 10
        last = min(b, a + 120) - 1
        if b - a >= 40 and still and np.isfinite(y[a + 20]) and np.isfinite(y[last]):
            rates.append((y[last] - y[a + 20]) / (last - a - 20) * 60.0)
            where[a:b] = True
    if rates:
        text = "slope from 20 s after the fan is switched on"
        out.append(figure_of("rate with fan on", float(np.median(rates)), 0.5, "K/min", text, grid, where))
    asked = np.asarray((y > 108) & ~on)
    out.append(figure_of("hot without fan", float(np.sum(asked)), 8.0, "s", "time above 108 °C with the fan off", grid, asked))
    return out


def _swings_standing(grid: Even) -> Figure | None:
    speed, y = grid.columns.get("speed"), grid.smooth
    if speed is None:
        return None
    tops, where = 0, np.zeros(len(y), dtype=bool)
    for a, b in stretches(np.asarray((speed < 4) & np.isfinite(y)), 120):
        cycles = sum(1 for i, peak in turns(y[a:b], 2.0) if peak and i > 20 and 90 < y[a + i] < 118)
        tops += cycles
        where[a:b] |= cycles > 0
    text = "peaks between 90 and 118 °C followed by a fall while standing"
    return figure_of("swings standing", float(tops), 0.3, "count", text, grid, where)


def of_the_outlet(grid: Even) -> Figure | None:
    """How much colder the radiator outlet is while the engine is hot [K]."""
    outlet = grid.columns.get("outlet")
    hot = grid.smooth > 94
    if outlet is None or np.sum(hot) < 60:
        return None
    gap = float(np.percentile(grid.smooth[hot] - outlet[hot], 15))
    return figure_of(
        "outlet colder by", gap, 2.0, "K", "coolant less radiator outlet while above 94 °C, 15th percentile", grid, np.asarray(hot)
    )
