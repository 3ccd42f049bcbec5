"""What no coolant can do: jumps, flat lines and readings of an open or shorted sensor circuit. Works on the samples as logged."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from diagnose.derive.measure import Measure

from .figure import Figure
from .trip import Array, Bools, Rows, Trip

OPEN_BELOW, SHORT_ABOVE = -38.0, 134.0  # °C: the scale ends at -40 (SAE J1979); above 134 no driver goes on. Common practice
FASTEST_LAG = 3.0  # s, a bare sensor in moving liquid: common practice, no source
GREATEST_STEP = 35.0  # K between liquid and the gas or steam that a sensor may hang in: estimate
SOURCE = "common_practice"


@dataclass(frozen=True, eq=False)
class Electrical:
    """Figures of the sensor and its wiring, the samples that are believable, and where the jumps are."""

    figures: tuple[Figure, ...]
    good: Bools
    jumps: tuple[int, ...]
    notes: tuple[str, ...] = ()


def electrical(trip: Trip) -> Electrical:
    """Examine the samples of `trip`. Never raises: a trip without a reading gives no figures and no good sample."""
    have = np.isfinite(trip.coolant)
    index = np.flatnonzero(have)
    if len(index) < 10:
        return Electrical((), np.zeros(len(have), dtype=bool), ())
    t, y = trip.seconds[index], trip.coolant[index]
    out = _circuit(trip, y)
    figures = [
        Figure(
            "circuit",
            Measure(
                100 * float(np.mean(out)),
                0.1,
                "%",
                "share of samples at the ends of the scale: an open or shorted circuit",
                "SAE J1979",
            ),
            _span(trip, index[out] if out.any() else index),
        )
    ]
    jumps, notes = _jumps(t, y, out)
    figures.append(
        Figure(
            "jumps",
            Measure(float(len(jumps)), 0.4, "count", "steps faster than any sensor in liquid or gas can follow", SOURCE),
            _span(trip, index[list(jumps)] if jumps else index),
        )
    )
    figures.append(_flat(trip, index[~out]) if np.sum(~out) > 10 else _flat(trip, index))
    good = have.copy()
    good[index[out]] = False
    for j in jumps:  # samples beside a jump are no temperatures
        near = index[max(0, j - 1) : j + 2]
        good[near] = False
    if len(jumps) >= 2:
        good[index] &= ~_islands(t, y, jumps)
    if len(jumps) >= 3:
        good[index] &= ~_outliers(y)
    return Electrical(tuple(figures), good, tuple(int(index[j]) for j in jumps), tuple(notes))


def _span(trip: Trip, index: Rows) -> tuple[int, int]:
    return int(trip.rows[index[0]]), int(trip.rows[index[-1]])


def _circuit(trip: Trip, y: Array) -> Bools:
    low, high = y <= OPEN_BELOW, y >= SHORT_ABOVE
    air = [trip.columns[c] for c in ("ambient", "intake") if c in trip.columns]
    if air and float(np.nanmin(np.concatenate(air))) < -30 and not np.any(y > 0):
        low = np.zeros(len(y), dtype=bool)  # an arctic morning
    return np.asarray(low | high)


def _jumps(t: Array, y: Array, out: Bools) -> tuple[list[int], list[str]]:
    step, gap = np.diff(y), np.diff(t)
    size = np.abs(step)
    possible = GREATEST_STEP * (1 - np.exp(-gap / FASTEST_LAG)) + 2.0
    ends = out[1:] | out[:-1]
    after = np.append(step[1:], 0.0)
    before = np.append(0.0, step[:-1])
    same = np.maximum(after * np.sign(step), before * np.sign(step))  # a lagging sensor goes on in the same direction
    abrupt = (size >= 9.0) & (((gap <= 4.0) & (same < 0.25 * size)) | ((gap <= 6.5) & (same < 0.12 * size)))
    found = ((size > possible) | abrupt) & (gap <= 10.0) & ~ends
    notes = []
    if len(gap) and float(np.median(gap)) > 4.0:
        notes.append("sampled too slowly to tell a small jump of the sensor from gas passing it")
    return [int(i) + 1 for i in np.flatnonzero(found)], notes


def _islands(t: Array, y: Array, jumps: list[int]) -> Bools:
    """Samples between a jump and the jump back, if within 20 s."""
    bad = np.zeros(len(y), dtype=bool)
    for a, b in pairwise(jumps):
        if t[b] - t[a] < 20 and (y[a] - y[a - 1]) * (y[b] - y[b - 1]) < 0:
            bad[a:b] = True
    return bad


def _outliers(y: Array) -> Bools:
    """Samples 7 K and more from the median of the 31 around them: where a contact jumps, these are no temperatures."""
    width = 31
    if len(y) < width:
        return np.zeros(len(y), dtype=bool)
    padded = np.pad(y, width // 2, mode="edge")
    middle = np.median(np.lib.stride_tricks.sliding_window_view(padded, width), axis=1)
    return np.asarray(np.abs(y - middle) > 7.0)


def _flat(trip: Trip, index: Rows) -> Figure:
    """Longest run of one unchanging value; a run that cold coolant cannot have, or of a fine-stepped reading, weighs more."""
    t, y = trip.seconds[index], trip.coolant[index]
    change = np.flatnonzero(np.diff(y) != 0) + 1
    starts, ends = np.concatenate(([0], change)), np.concatenate((change, [len(y)])) - 1
    lasts = t[ends] - t[starts]
    k = int(np.argmax(lasts))
    cold = y[starts[k]] < 70
    steps = np.abs(np.diff(y))
    fine = float(np.min(steps[steps > 1e-6], initial=1.0)) < 0.2
    lasts_else = np.delete(lasts, k)
    usual = len(lasts_else) > 0 and float(lasts_else.max()) > 0.5 * lasts[k]
    weight = (3.0 if fine else 1.0) * (2.0 if cold else 1.0) * (0.5 if usual else 1.0)
    formula = "longest run of one unchanging reading" + (", counted threefold as the reading has fine steps" if fine else "")
    formula += ", halved as another run is as long" if usual else ""
    formula += ", doubled as coolant below 70 °C must warm" if cold else ""
    return Figure(
        "flat",
        Measure(float(lasts[k]) * weight, 5.0, "s", formula, SOURCE),
        (int(trip.rows[index[starts[k]]]), int(trip.rows[index[ends[k]]])),
    )
