"""Figures of a trip: each a measure with the rows it came from. A figure that cannot be had is left out, never made up."""

from __future__ import annotations

import numpy as np

from diagnose.derive.measure import Measure

from .events import Even, stretches, turns
from .figure import Figure
from .trip import Array, Bools, Trip

SOURCE = "common_practice"
SENSOR_SD = 1.0  # K, a sensor and its one-degree steps


def thermal(trip: Trip, grid: Even) -> tuple[Figure, ...]:
    """All the figures that this trip allows, in a fixed order."""
    made = [
        _start(trip, grid),
        *_level(grid),
        _warm_up(trip, grid),
        _warm_up_rate(trip, grid),
        _heat_per_kelvin(trip, grid),
        _fall_when_cold(grid),
        *_opening(grid),
        _steepest(grid),
        _erratic(grid),
        *_standing(grid),
        *_moving(grid),
        *_fan(grid),
        _outlet(grid),
    ]
    return tuple(f for f in made if f is not None)


def _figure(name: str, value: float, sd: float, unit: str, formula: str, grid: Even, where: Bools) -> Figure | None:
    return Figure(name, Measure(float(value), sd, unit, formula, SOURCE), grid.span(where)) if np.isfinite(value) else None


def air(columns: dict[str, Array]) -> tuple[float, float, str] | None:
    """Air temperature at the start [°C], its standard deviation, and the column: ambient, else intake (which may have soaked heat)."""
    for name, sd in (("ambient", 1.5), ("intake", 2.5)):
        if name in columns:
            return float(np.nanmedian(columns[name][:20])), sd, name
    return None


def _start(trip: Trip, grid: Even) -> Figure | None:
    outside = air(grid.columns)
    if outside is None or trip.continued:
        return None
    first = np.arange(len(grid.seconds)) < 8
    value = float(np.nanmedian(grid.quick[first])) - outside[0]
    sd = float(np.hypot(outside[1], SENSOR_SD))
    return _figure("start above air", value, sd, "K", f"coolant at the start less {outside[2]} air", grid, first)


def warmed(grid: Even) -> Bools:
    """Samples after the reading first came near its upper level (80th percentile less 5 K, above 65 °C)."""
    y = grid.smooth
    near = y >= max(65.0, float(np.nanpercentile(y, 80)) - 5.0)
    out = np.zeros(len(y), dtype=bool)
    lately = near.any() and len(y) - int(np.argmax(near)) < 360
    rising = lately and _end_rate(grid) > 0.7 and float(np.nanmax(y)) < 95 and not _peaks(grid)
    if near.any() and not rising:
        out[int(np.argmax(near)) :] = True
    return out


def _end_rate(grid: Even) -> float:
    """Slope of the last 3 min [K/min]; NaN if they hold too few readings."""
    tail = grid.smooth[-180:]
    have = np.isfinite(tail)
    return float(np.polyfit(np.flatnonzero(have) / 60.0, tail[have], 1)[0]) if np.sum(have) > 60 else float("nan")


def _peaks(grid: Even) -> list[int]:
    return [2 * i for i, peak in turns(grid.smooth[::2], 2.5) if peak and grid.smooth[2 * i] > 68]


def _usual(grid: Even) -> float:
    """Level after warm-up [°C]; infinite if there is none."""
    hot = warmed(grid)
    return float(np.nanmedian(grid.smooth[hot])) if np.sum(hot) >= 120 else float("inf")


def _standing_at(grid: Even) -> Bools:
    """Standing, or within a minute after it. All False without a speed."""
    speed = grid.columns.get("speed")
    if speed is None:
        return np.zeros(len(grid.seconds), dtype=bool)
    recent = np.convolve((speed < 4).astype(float), np.ones(60))[: len(speed)]
    return np.asarray(recent > 20)


def _level(grid: Even) -> list[Figure | None]:
    y, hot = grid.smooth, warmed(grid)
    out = [_figure("highest", float(np.nanmax(y)), SENSOR_SD, "degC", "highest reading averaged over 13 s", grid, y >= np.nanmax(y) - 0.5)]
    if np.sum(hot) >= 120:
        part = y[hot]
        spread = float(np.nanpercentile(part, 90) - np.nanpercentile(part, 10))
        out.append(_figure("regulates at", float(np.nanmedian(part)), SENSOR_SD, "degC", "median after warm-up", grid, hot))
        out.append(_figure("band", spread, 1.0, "K", "width between the 10th and 90th percentile after warm-up", grid, hot))
        marks = turns(np.where(hot & ~_standing_at(grid), y, np.nan)[::2], 6.0)
        deep = sum(1 for i, peak in marks if peak) / max(np.sum(hot) / 600.0, 0.7)
        out.append(
            _figure(
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
            out.append(_figure("swing period", period, 5.0, "s", "median time between peaks of swings of 3 K and more", grid, hot))
    else:
        late = np.arange(len(y)) >= len(y) - 240
        ends = y[-30:][np.isfinite(y[-30:])]
        level = float(np.mean(ends)) if len(ends) else float("nan")
        if _under_way(grid) >= 540:
            text = "mean of the last 30 s, after nine minutes and more"
            out.append(_figure("level, not warm", level, 2.0, "degC", text, grid, late))
        out.append(_figure("ends at", level, SENSOR_SD, "degC", "mean of the last 30 s; no warmed-up stretch", grid, late))
    out.append(_figure("rate at end", _end_rate(grid), 0.2, "K/min", "slope of the last 3 min", grid, np.arange(len(y)) >= len(y) - 180))
    return out


def _under_way(grid: Even, end: int = -1) -> float:
    """Seconds under way until sample `end`; an idling engine makes a third of the heat, so standing counts for a third."""
    passed = float(grid.seconds[end] - grid.seconds[0])
    return passed - 0.65 * float(np.sum(grid.columns["speed"][:end] < 4)) if "speed" in grid.columns else passed


def _warm_up(trip: Trip, grid: Even) -> Figure | None:
    """Minutes from the start to 72 °C, or what has passed without reaching it; a warm start is counted from 20 °C at the usual rate."""
    y = grid.smooth
    if trip.continued or not np.isfinite(y[:8]).any():
        return None
    reached = np.flatnonzero(y >= 72.0)
    end = int(reached[0]) if len(reached) else len(y) - 1
    start = float(np.nanmedian(y[:8]))
    if start > 60:
        return None
    minutes = _under_way(grid, end) / 60.0 * 52.0 / max(72.0 - start, 20.0)
    name = "warm-up" if len(reached) else "not warm after"
    text = "time to 72 °C" if len(reached) else "time passed without reaching 72 °C"
    return _figure(
        name,
        minutes,
        1.0,
        "min",
        f"{text}, as from 20 °C" + (", standing counted for a third" if "speed" in grid.columns else ""),
        grid,
        np.arange(len(y)) <= end,
    )


def _heat_per_kelvin(trip: Trip, grid: Even) -> Figure | None:
    """Heat made per kelvin of rise [kJ/K], from the start to 70 °C or, if it stays colder, to the end; needs speed and eight minutes or 70 °C.

    Heat to the coolant: idling 4.5 kW, and as much as the road takes of a 1,500 kg car (textbook road load, level road). Estimate, ± 35 %.
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
    return _figure(
        "heat per kelvin",
        heat / max(rise, 1.0),
        0.12 * heat / max(rise, 1.0),
        "kJ/K",
        "heat of idling and road over the rise, until 70 °C",
        grid,
        where,
    )


def _warm_up_rate(trip: Trip, grid: Even) -> Figure | None:
    y = grid.smooth
    top = min(70.0, _usual(grid) - 6.0)
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
    return _figure("warm-up rate", float(rate), 0.3, "K/min", text, grid, where)


def _fall_when_cold(grid: Even) -> Figure | None:
    """Greatest fall while well below the usual level, and below 74 °C: a shut thermostat lets the engine only warm."""
    below = min(74.0, _usual(grid) - 3.0)
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
    return _figure(
        "falls while shut",
        fall,
        0.7,
        "K",
        f"greatest fall below {below:.0f} °C, where the thermostat ought to be shut",
        grid,
        where,
    )


def _opening(grid: Even) -> list[Figure | None]:
    y = grid.smooth[::2]
    marks = turns(y, 2.5)
    first = next((k for k, (i, peak) in enumerate(marks) if peak and y[i] > 68), None)
    if first is None:
        return []
    i = marks[first][0]
    if _standing_at(grid)[2 * i]:  # the fan's doing, or the lack of it
        return []
    low = marks[first + 1][0] if first + 1 < len(marks) else int(np.nanargmin(np.where(np.arange(len(y)) > i, y, np.nan)))
    at = np.zeros(len(grid.smooth), dtype=bool)
    at[2 * i : 2 * low + 1] = True
    fall = float(y[i] - y[low]) if low - i <= 150 else float(y[i] - np.nanmin(y[i : i + 150]))
    return [
        _figure("first peak", float(y[i]), SENSOR_SD, "degC", "reading at the first peak: the radiator's cold water arrives", grid, at),
        _figure("falls after first peak", fall, 1.0, "K", "first peak less the trough after it, within 5 min", grid, at),
    ]


def _steepest(grid: Even) -> Figure | None:
    """Greatest fall within a minute from above 85 °C, not on driving off: cold water from the radiator, or only less heat."""
    y = grid.smooth
    if len(y) < 180:
        return None
    fall = y[:-60] - y[60:]
    where = (y[:-60] > 85) & ~_standing_at(grid)[:-60] & np.isfinite(fall)
    if np.sum(where) < 60:
        return None
    most = float(np.max(fall[where]))
    at = np.concatenate((where & (fall >= most - 0.1), np.zeros(60, dtype=bool)))
    return _figure(
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
    return _figure("quick swings", per_ten, 0.4, "per 10 min", "moves of 7 K within 6 s that are not electrical jumps", grid, where)


def _standing(grid: Even) -> list[Figure | None]:
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
        _figure("rises standing", best[0], 1.0, "K", "greatest rise within one stretch standing, hot engine", grid, where),
        _figure("highest standing", peak, SENSOR_SD, "degC", "highest reading while standing", grid, where),
    ]


def _moving(grid: Even) -> list[Figure | None]:
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
    out = [_figure("hot moving", high, SENSOR_SD, "degC", "90th percentile after a minute above 40 km/h", grid, where)]
    outside = air(grid.columns)
    if outside is not None:
        out.append(_figure("hot moving above air", high - outside[0], 3.0, "K", f"hot moving less {outside[2]} air", grid, where))
    return out


def _fan(grid: Even) -> list[Figure | None]:
    return [*_fan_logged(grid), _swings_standing(grid)]


def _fan_logged(grid: Even) -> list[Figure | None]:
    fan, speed, y = grid.columns.get("fan"), grid.columns.get("speed"), grid.smooth
    if fan is None:
        return []
    on = np.asarray(fan > 0.05)
    runs = stretches(on, 5)
    out = [_figure("fan cycles", float(len(runs)), 0.3, "count", "times the fan was switched on", grid, on)]
    rates, where = [], np.zeros(len(y), dtype=bool)
    for a, b in runs:
        still = speed is None or float(np.max(speed[a:b])) < 10
        last = min(b, a + 120) - 1
        if b - a >= 40 and still and np.isfinite(y[a + 20]) and np.isfinite(y[last]):
            rates.append((y[last] - y[a + 20]) / (last - a - 20) * 60.0)
            where[a:b] = True
    if rates:
        text = "slope from 20 s after the fan is switched on"
        out.append(_figure("rate with fan on", float(np.median(rates)), 0.5, "K/min", text, grid, where))
    asked = np.asarray((y > 108) & ~on)
    out.append(_figure("hot without fan", float(np.sum(asked)), 8.0, "s", "time above 108 °C with the fan off", grid, asked))
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
    return _figure("swings standing", float(tops), 0.3, "count", text, grid, where)


def _outlet(grid: Even) -> Figure | None:
    outlet = grid.columns.get("outlet")
    hot = grid.smooth > 94
    if outlet is None or np.sum(hot) < 60:
        return None
    gap = float(np.percentile(grid.smooth[hot] - outlet[hot], 15))
    return _figure(
        "outlet colder by", gap, 2.0, "K", "coolant less radiator outlet while above 94 °C, 15th percentile", grid, np.asarray(hot)
    )
