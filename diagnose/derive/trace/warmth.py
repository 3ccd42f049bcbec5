"""What the figures share: air temperature, what counts as warmed up, standing, under way; and making a figure."""

from __future__ import annotations

import numpy as np

from diagnose.derive.measure import Measure

from .events import Even, turns
from .figure import Figure
from .trip import Array, Bools

SOURCE = "common_practice"
SENSOR_SD = 1.0  # K, a sensor and its one-degree steps


def figure_of(name: str, value: float, sd: float, unit: str, formula: str, grid: Even, where: Bools) -> Figure | None:
    """A figure from `value` with the rows where `where` holds; None if the value is not a number."""
    return Figure(name, Measure(float(value), sd, unit, formula, SOURCE), grid.span(where)) if np.isfinite(value) else None


def air(columns: dict[str, Array]) -> tuple[float, float, str] | None:
    """Air temperature at the start [°C], its standard deviation, and the column: ambient, else intake (which may have soaked heat)."""
    for name, sd in (("ambient", 1.5), ("intake", 2.5)):
        if name in columns:
            return float(np.nanmedian(columns[name][:20])), sd, name
    return None


def warmed(grid: Even) -> Bools:
    """Samples after the reading first came near its upper level (80th percentile less 5 K, above 65 °C)."""
    y = grid.smooth
    near = y >= max(65.0, float(np.nanpercentile(y, 80)) - 5.0)
    out = np.zeros(len(y), dtype=bool)
    lately = near.any() and len(y) - int(np.argmax(near)) < 360
    rising = lately and end_rate(grid) > 0.7 and float(np.nanmax(y)) < 95 and not peaks(grid)
    if near.any() and not rising:
        out[int(np.argmax(near)) :] = True
    return out


def end_rate(grid: Even) -> float:
    """Slope of the last 3 min [K/min]; NaN if they hold too few readings."""
    tail = grid.smooth[-180:]
    have = np.isfinite(tail)
    return float(np.polyfit(np.flatnonzero(have) / 60.0, tail[have], 1)[0]) if np.sum(have) > 60 else float("nan")


def peaks(grid: Even) -> list[int]:
    """Places of peaks above 68 °C that are followed by a fall of 2.5 K."""
    return [2 * i for i, peak in turns(grid.smooth[::2], 2.5) if peak and grid.smooth[2 * i] > 68]


def usual_level(grid: Even) -> float:
    """Level after warm-up [°C]; infinite if there is none."""
    hot = warmed(grid)
    return float(np.nanmedian(grid.smooth[hot])) if np.sum(hot) >= 120 else float("inf")


def standing(grid: Even) -> Bools:
    """Standing, or within a minute after it. All False without a speed."""
    speed = grid.columns.get("speed")
    if speed is None:
        return np.zeros(len(grid.seconds), dtype=bool)
    recent = np.convolve((speed < 4).astype(float), np.ones(60))[: len(speed)]
    return np.asarray(recent > 20)


def under_way(grid: Even, end: int = -1) -> float:
    """Seconds under way until sample `end`; an idling engine makes a third of the heat, so standing counts for a third."""
    passed = float(grid.seconds[end] - grid.seconds[0])
    return passed - 0.65 * float(np.sum(grid.columns["speed"][:end] < 4)) if "speed" in grid.columns else passed
