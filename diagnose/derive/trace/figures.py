"""Figures of a trip: each a measure with the rows it came from. A figure that cannot be had is left out, never made up."""

from __future__ import annotations

import numpy as np

from .events import Even, stretches, turns
from .figure import Figure
from .road import of_the_fan, of_the_outlet, when_moving, when_standing
from .trip import Trip
from .warm_up import fall_when_shut, heat_per_kelvin, start_above_air, warm_up, warm_up_rate
from .warmth import SENSOR_SD, end_rate, figure_of, standing, under_way, warmed


def thermal(trip: Trip, grid: Even) -> tuple[Figure, ...]:
    """All the figures that this trip allows, in a fixed order."""
    made = [
        start_above_air(trip, grid),
        *_level(grid),
        warm_up(trip, grid),
        warm_up_rate(trip, grid),
        heat_per_kelvin(trip, grid),
        fall_when_shut(grid),
        *_opening(grid),
        _steepest(grid),
        _erratic(grid),
        *when_standing(grid),
        *when_moving(grid),
        *of_the_fan(grid),
        of_the_outlet(grid),
    ]
    return tuple(f for f in made if f is not None)


def _level(grid: Even) -> list[Figure | None]:
    y, hot = grid.smooth, warmed(grid)
    out = [figure_of("highest", float(np.nanmax(y)), SENSOR_SD, "degC", "highest 13 s mean", grid, y >= np.nanmax(y) - 0.5)]
    if np.sum(hot) >= 120:
        part = y[hot]
        spread = float(np.nanpercentile(part, 90) - np.nanpercentile(part, 10))
        out.append(figure_of("regulates at", float(np.nanmedian(part)), SENSOR_SD, "degC", "median after warm-up", grid, hot))
        out.append(figure_of("band", spread, 1.0, "K", "width between the 10th and 90th percentile after warm-up", grid, hot))
        marks = turns(np.where(hot & ~standing(grid), y, np.nan)[::2], 6.0)
        deep = sum(1 for i, peak in marks if peak) / max(np.sum(hot) / 600.0, 0.7)
        out.append(
            figure_of(
                "deep swings",
                float(deep),
                0.3,
                "per 10 min",
                "peaks followed by a fall of 6 K and more, after warm-up, not standing",
                grid,
                hot,
            )
        )
        swings = [i for i, peak in turns(np.where(hot, y, np.nan)[::2], 3.0) if peak]
        if len(swings) >= 3:
            period = float(np.median(np.diff(swings))) * 2
            out.append(figure_of("swing period", period, 5.0, "s", "median time between peaks of swings of 3 K and more", grid, hot))
    else:
        late = np.arange(len(y)) >= len(y) - 240
        ends = y[-30:][np.isfinite(y[-30:])]
        level = float(np.mean(ends)) if len(ends) else float("nan")
        if under_way(grid) >= 540:
            text = "mean of the last 30 s, after nine minutes and more"
            out.append(figure_of("level, not warm", level, 2.0, "degC", text, grid, late))
        out.append(figure_of("ends at", level, SENSOR_SD, "degC", "mean of the last 30 s; no warmed-up stretch", grid, late))
    out.append(figure_of("rate at end", end_rate(grid), 0.2, "K/min", "slope of the last 3 min", grid, np.arange(len(y)) >= len(y) - 180))
    return out


def _opening(grid: Even) -> list[Figure | None]:
    y = grid.smooth[::2]
    marks = turns(y, 2.5)
    first = next((k for k, (i, peak) in enumerate(marks) if peak and y[i] > 68), None)
    if first is None:
        return []
    i = marks[first][0]
    if standing(grid)[2 * i]:  # the fan's doing, or the lack of it
        return []
    low = marks[first + 1][0] if first + 1 < len(marks) else int(np.nanargmin(np.where(np.arange(len(y)) > i, y, np.nan)))
    at = np.zeros(len(grid.smooth), dtype=bool)
    at[2 * i : 2 * low + 1] = True
    fall = float(y[i] - y[low]) if low - i <= 150 else float(y[i] - np.nanmin(y[i : i + 150]))
    return [
        figure_of("first peak", float(y[i]), SENSOR_SD, "degC", "reading at the first peak: the radiator's cold water arrives", grid, at),
        figure_of("falls after first peak", fall, 1.0, "K", "first peak less the trough after it, within 5 min", grid, at),
    ]


def _steepest(grid: Even) -> Figure | None:
    """Greatest fall within a minute from above 85 °C, not on driving off: cold water from the radiator, or only less heat."""
    y = grid.smooth
    if len(y) < 180:
        return None
    fall = y[:-60] - y[60:]
    where = (y[:-60] > 85) & ~standing(grid)[:-60] & np.isfinite(fall)
    if np.sum(where) < 60:
        return None
    most = float(np.max(fall[where]))
    at = np.concatenate((where & (fall >= most - 0.1), np.zeros(60, dtype=bool)))
    return figure_of(
        "steepest fall", most, 1.0, "K/min", "greatest fall within a minute from above 85 °C, not standing or driving off", grid, at
    )


def _erratic(grid: Even) -> Figure | None:
    """Quick but continuous swings per ten minutes: 7 K within 6 s."""
    y = grid.quick
    if len(y) < 60:
        return None
    moved = np.abs(y[6:] - y[:-6]) >= 7.0
    events = stretches(np.concatenate((moved, np.zeros(6, dtype=bool))), 1)
    apart = [e for k, e in enumerate(events) if k == 0 or e[0] - events[k - 1][1] > 4]
    minutes = len(y) / 60.0
    per_ten = len(apart) / max(minutes, 5.0) * 10.0
    where = np.zeros(len(y), dtype=bool)
    for a, b in apart:
        where[a : b + 6] = True
    return figure_of("quick swings", per_ten, 0.4, "per 10 min", "moves of 7 K within 6 s that are not electrical jumps", grid, where)
