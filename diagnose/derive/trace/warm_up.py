"""Figures of the warm-up: the start, time, rate and heat to get warm, and falls that a shut thermostat forbids."""

from __future__ import annotations

import numpy as np

from .events import Even, stretches
from .figure import Figure
from .trip import Trip
from .warmth import SENSOR_SD, air, figure_of, under_way, usual_level


def start_above_air(trip: Trip, grid: Even) -> Figure | None:
    """Coolant at the start less the air [K]; None without an air temperature or if the trip does not begin with the start."""
    outside = air(grid.columns)
    if outside is None or trip.continued:
        return None
    first = np.arange(len(grid.seconds)) < 8
    value = float(np.nanmedian(grid.quick[first])) - outside[0]
    sd = float(np.hypot(outside[1], SENSOR_SD))
    return figure_of("start above air", value, sd, "K", f"coolant at the start less {outside[2]} air", grid, first)


def warm_up(trip: Trip, grid: Even) -> Figure | None:
    """Minutes from the start to 72 °C, or what has passed without reaching it; a warm start is counted from 20 °C at the usual rate."""
    y = grid.smooth
    if trip.continued or not np.isfinite(y[:8]).any():
        return None
    reached = np.flatnonzero(y >= 72.0)
    end = int(reached[0]) if len(reached) else len(y) - 1
    start = float(np.nanmedian(y[:8]))
    if start > 60:
        return None
    minutes = under_way(grid, end) / 60.0 * 52.0 / max(72.0 - start, 20.0)
    name = "warm-up" if len(reached) else "not warm after"
    text = "time to 72 °C" if len(reached) else "time passed without reaching 72 °C"
    return figure_of(
        name,
        minutes,
        1.0,
        "min",
        f"{text}, as from 20 °C" + (", standing counted for a third" if "speed" in grid.columns else ""),
        grid,
        np.arange(len(y)) <= end,
    )


def heat_per_kelvin(trip: Trip, grid: Even) -> Figure | None:
    """Heat made per kelvin of rise [kJ/K], from the start to 70 °C or, if it stays colder, to the end.

    Needs speed, and eight minutes or 70 °C. Heat to the coolant, an estimate, ± 35 %:
    idling 4.5 kW, and as much as the road takes of a 1,500 kg car (textbook road load, level road).
    """
    speed = grid.columns.get("speed")
    y = grid.smooth
    if speed is None or trip.continued or not np.isfinite(y[:8]).any():
        return None
    start = float(np.nanmedian(y[:8]))
    reached = np.flatnonzero(y >= 70.0)
    end = int(reached[0]) if len(reached) else len(y) - 1
    if start > 55 or (not len(reached) and end < 480) or end < 60:
        return None
    v = speed[:end] / 3.6
    heat = float(np.sum(4.5 + 0.95 * (0.39 * v**3 + 162.0 * v) / 1000.0))
    rise = float(y[end]) - start if np.isfinite(y[end]) else float(np.nanmax(y)) - start
    where = np.arange(len(y)) <= end
    return figure_of(
        "heat per kelvin",
        heat / max(rise, 1.0),
        0.12 * heat / max(rise, 1.0),
        "kJ/K",
        "heat of idling and road over the rise, until 70 °C",
        grid,
        where,
    )


def warm_up_rate(trip: Trip, grid: Even) -> Figure | None:
    """Rise from 40 °C to 70 °C, or to below the level where it settles, over its time [K/min]."""
    y = grid.smooth
    top = min(70.0, usual_level(grid) - 6.0)
    band = (y > 40) & (y < top)
    first = stretches(np.asarray(band), 30)
    if trip.continued or len(y) < 60:
        return None
    if first:
        (a, b), text = first[0], f"rise from 40 to {top:.0f} °C over its time"
    elif np.nanmax(y) <= 45 and len(y) >= 480:
        (a, b), text = (60, len(y)), "rise over the trip, which never passed 45 °C"
    else:
        return None
    rate = (np.nanmean(y[b - 5 : b]) - np.nanmean(y[a : a + 5])) / (b - 1 - a) * 60.0
    where = np.zeros(len(y), dtype=bool)
    where[a:b] = True
    return figure_of("warm-up rate", float(rate), 0.3, "K/min", text, grid, where)


def fall_when_shut(grid: Even) -> Figure | None:
    """Greatest fall while well below the usual level, and below 74 °C: a shut thermostat lets the engine only warm."""
    below = min(74.0, usual_level(grid) - 3.0)
    y = np.where(grid.smooth < below, grid.smooth, np.nan)
    fall, where = 0.0, np.zeros(len(y), dtype=bool)
    for a, b in stretches(np.isfinite(y), 60):
        top = np.maximum.accumulate(y[a:b])
        drop = top - y[a:b]
        k = int(np.argmax(drop))
        if drop[k] > fall:
            fall = float(drop[k])
            where[:] = False
            where[a + int(np.argmax(y[a : a + k + 1])) : a + k + 1] = True
    if not np.sum(np.isfinite(y)) > 120:
        return None
    return figure_of(
        "falls while shut",
        fall,
        0.7,
        "K",
        f"greatest fall below {below:.0f} °C, where the thermostat ought to be shut",
        grid,
        where,
    )
