"""Drawing a trip with its marks: in the terminal with plotille, to SVG or PNG with matplotlib. Both are loaded only when asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from diagnose.derive.measure import CannotJudge

from .trip import Array, Trip
from .verdict import Verdict, words

POINTS = 1500  # drawn at most; each drawn point keeps the extremes of its share
MARKS = {
    "opening": ("^", "tab:green"),
    "peak": ("v", "tab:red"),
    "trough": ("^", "tab:blue"),
    "jump": ("x", "black"),
    "fan on": ("|", "tab:cyan"),
}


def thinned(t: Array, y: Array, most: int = POINTS) -> tuple[Array, Array]:
    """Samples thinned to about `most` points, lowest and highest of each share kept, NaN left out.

    >>> a, b = thinned(np.arange(10000.0), np.sin(np.arange(10000.0)), 100)
    >>> len(a) <= 100, bool(b.max() > 0.999)
    (True, True)
    """
    have = np.isfinite(y)
    t, y = t[have], y[have]
    if len(t) <= most:
        return t, y
    keep: list[int] = []
    for part in np.array_split(np.arange(len(t)), most // 2):
        keep += sorted({int(part[np.argmin(y[part])]), int(part[np.argmax(y[part])])})
    return t[keep], y[keep]


def _library(name: str, extra: str) -> Any:
    import importlib

    try:
        return importlib.import_module(name)
    except ImportError:
        raise CannotJudge(f"drawing needs the library {name}; install this tool with its extra [{extra}]") from None


def terminal(trip: Trip, verdict: Verdict, width: int = 100, height: int = 24) -> str:
    """The trip as text, `width` by `height` characters, without colours. Raises CannotJudge if plotille is not installed."""
    plotille = _library("plotille", "plot")
    t, y = thinned(trip.seconds, trip.coolant, 4 * width)
    if not len(t):
        raise CannotJudge("there is no reading to draw")
    start = float(trip.seconds[0])
    canvas = plotille.Figure()
    canvas.width, canvas.height = width - 20, height - 8
    canvas.x_label, canvas.y_label = "minutes", "°C"
    canvas.color_mode, canvas.with_colors = "names", False
    canvas.x_ticks_fkt = canvas.y_ticks_fkt = lambda low, high: f"{low:.0f}"
    canvas.set_x_limits(min_=0.0, max_=max(float(t[-1] - start) / 60, 0.1))
    canvas.set_y_limits(min_=float(y.min()) - 1, max_=float(y.max()) + 4)
    canvas.plot(((t - start) / 60).tolist(), y.tolist())
    for kind, letter in (("opening", "O"), ("jump", "x"), ("fan on", "F")):
        for event in [e for e in verdict.events if e.kind == kind and e.value == e.value][:40]:
            canvas.text([(event.start - start) / 60], [event.value], [letter])
    return f"{words(verdict)}\n{canvas.show()}\nO opening, F fan on, x jump"


def picture(trip: Trip, verdict: Verdict, path: Path) -> None:
    """Write the trip with its marks to `path` (.svg or .png).

    Raises CannotJudge if the ending is another, the file cannot be written, or matplotlib is not installed.
    """
    if path.suffix.lower() not in (".svg", ".png"):
        raise CannotJudge(f"a picture is written as .svg or .png, not {path.suffix or 'without an ending'}")
    _library("matplotlib", "plot")
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(11, 5))
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    start = float(trip.seconds[0])
    t, y = thinned(trip.seconds, trip.coolant)
    axes.plot((t - start) / 60, y, color="tab:orange", linewidth=1.2, label="coolant")
    for name, colour in (("outlet", "tab:purple"), ("ambient", "tab:gray"), ("intake", "tab:olive")):
        if name in trip.columns:
            other_t, other = thinned(trip.seconds, trip.columns[name])
            axes.plot((other_t - start) / 60, other, color=colour, linewidth=0.8, label=name)
    for kind, (marker, colour) in MARKS.items():
        marks = [e for e in verdict.events if e.kind == kind]
        if marks:
            axes.plot([(e.start - start) / 60 for e in marks], [e.value for e in marks], marker, color=colour, label=kind, linestyle="none")
    level = next((f.measure.value for f in verdict.figures if f.name == "regulates at"), None)
    if level is not None:
        axes.axhline(level, color="tab:green", linewidth=0.7, linestyle="--", label=f"regulates at {level:.0f} °C")
    axes.set_xlabel("minutes")
    axes.set_ylabel("°C")
    axes.set_title(words(verdict), wrap=True, fontsize=10)
    if "speed" in trip.columns:
        beside = axes.twinx()
        ts, v = thinned(trip.seconds, trip.columns["speed"])
        beside.fill_between((ts - start) / 60, v, color="tab:blue", alpha=0.12, linewidth=0)
        beside.set_ylabel("km/h")
    axes.legend(loc="lower right", fontsize=8)
    axes.grid(alpha=0.3)
    try:
        figure.savefig(path, bbox_inches="tight", metadata={"Date": None} if path.suffix.lower() == ".svg" else None)
    except OSError as error:
        raise CannotJudge(f"the picture could not be written to {path}: {error.strerror or error}") from None
