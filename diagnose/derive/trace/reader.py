"""Reading a log: CSV in any logger's style, in chunks, one trip in memory at a time."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, islice, pairwise, zip_longest

import numpy as np

from diagnose.derive.measure import CannotJudge

from . import columns as names
from . import obd
from .clock import Clock
from .columns import Column
from .trip import Array, Bools, Rows, Trip

CHUNK = 20_000  # rows parsed at once
LONGEST = 150_000  # samples of one trip; a longer one is cut, and told
GAP = 900.0  # s without a sample: a new trip
RESET = 120.0  # s backwards: the logger's clock started again; less is a row out of order
STANDSTILL = 120.0  # s of engine off that end a trip
_WORDS = {"on": 1.0, "true": 1.0, "yes": 1.0, "high": 1.0, "low": 0.5, "off": 0.0, "false": 0.0, "no": 0.0}


@dataclass
class Log:
    """An open log. `columns` and `notes` are complete when all of `trips` has been taken."""

    header: tuple[str, ...]
    columns: tuple[Column, ...]
    lines: Iterator[str]
    delimiter: str
    notes: list[str] = field(default_factory=list)
    read: int = 0

    def trips(self) -> Iterator[Trip]:
        """The trips in turn. Memory is bounded by the longest trip (at most `LONGEST` samples)."""
        return _trips(self)


def open_log(lines: Iterable[str]) -> Log:
    """Find delimiter, header and units in the first lines. Raises CannotJudge if time or coolant temperature is not among the columns."""
    source = iter(line for line in lines if line.strip())
    head = list(islice(source, 40))
    if not head:
        raise CannotJudge("the log is empty; a header row and rows of samples are needed")
    head[0] = head[0].removeprefix("\ufeff")
    best: tuple[int, int, str, list[str]] = (-1, 0, ",", [])
    for delimiter in (";", "\t", ",", "|"):
        for at, line in enumerate(head[:30]):
            cells = next(csv.reader([line], delimiter=delimiter))
            found = {c.meaning for c in names.map_header(cells)}
            score = 100 * (len(found) + 5 * ("coolant" in found) + 3 * ("time" in found)) + min(len(cells), 99)
            if score > best[0]:
                best = (score, at, delimiter, cells)
    _, at, delimiter, header = best
    lines = chain(head[at + 1 :], source)
    line = next(lines, "")
    first = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    units = first if first and not any(ch.isdigit() for cell in first for ch in cell) else None
    mapped = names.map_header(header, units)
    names.required(mapped, header)
    log = Log(tuple(header), mapped, lines if units is not None else chain([line] if line else [], lines), delimiter)
    if at:
        log.notes.append(f"{at} line(s) before the header were skipped")
    return log


def _numbers(cells: Sequence[str]) -> tuple[Array, int]:
    """Values of cells, NaN where there is none, and how many non-empty cells were no number."""
    try:
        return np.array(list(map(float, cells))), 0
    except ValueError:
        pass
    out, bad = np.full(len(cells), np.nan), 0
    for i, cell in enumerate(cells):
        text = cell.strip().replace(",", ".")
        try:
            out[i] = float(text)
        except ValueError:
            known = _WORDS.get(text.lower().rstrip("%"))
            if known is not None:
                out[i] = known
            elif text.rstrip(" %°CFckmhrps/").replace(".", "", 1).lstrip("-").isdigit():
                out[i] = float(text.rstrip(" %°CFckmhrps/"))
            elif text.lower() not in ("", "-", "--", "na", "n/a", "null", "none"):
                bad += 1
    return out, bad


def _hexed(pid: int, cells: Sequence[str]) -> tuple[Array, int]:
    seen: dict[str, float] = {}
    bad = 0
    for cell in set(cells):
        try:
            seen[cell] = obd.cell(pid, cell)
        except CannotJudge:
            seen[cell] = float("nan")
            bad += bool(cell.strip())
    return np.array([seen[c] for c in cells]), bad


def _told_units(log: Log, data: dict[str, Array]) -> None:
    """Settle guessed units from the first chunk's values."""
    settled = []
    for c in log.columns:
        values = data[c.meaning][np.isfinite(data[c.meaning])]
        if c.guessed and len(values):
            if c.meaning in ("coolant", "ambient", "intake", "outlet"):
                stuck = float(np.ptp(values)) < 1  # a failed sensor's constant 140 or 215 is not °F
                c = replace(c, unit="degC" if stuck else names.guess_temperature(float(np.percentile(values, 75)), c.meaning))
            if c.meaning == "time" and len(values) > 2:
                top, step = float(values.max()), float(np.median(np.diff(values)))
                c = replace(c, unit="ms" if top > 1e11 or (step >= 90 and np.all(values == np.round(values))) else "s")
        settled.append(c)
    coolant = next(c for c in settled if c.meaning == "coolant")
    if not coolant.guessed and coolant.pid is None:  # a logger set to °F writes all its temperatures in °F
        settled = [replace(c, unit=coolant.unit) if c.guessed and c.meaning in ("ambient", "intake", "outlet") else c for c in settled]
    log.columns = tuple(settled)


def _plain(log: Log, lines: list[str]) -> dict[str, Array] | None:
    """Cells of a chunk that holds nothing but plain numbers, by numpy's own reader, several times faster; else None."""
    if any(c.pid is not None for c in log.columns) or '"' in lines[0]:
        return None
    try:
        places = [c.index for c in log.columns]
        table = np.loadtxt(lines, delimiter=log.delimiter, usecols=places, comments=None, ndmin=2)
    except (ValueError, IndexError):
        return None
    return {c.meaning: table[:, i].copy() for i, c in enumerate(log.columns)} if len(table) == len(lines) else None


def _cells(log: Log, lines: list[str], clock: Clock, bad: Counter[str]) -> dict[str, Array]:
    """Cells of a chunk in any style; `bad` counts what was no value, per column."""
    rows = list(csv.reader(lines, delimiter=log.delimiter, skipinitialspace=True))
    by_column = list(zip_longest(*rows, fillvalue=""))
    by_column += [("",) * len(rows)] * (len(log.header) - len(by_column))
    data: dict[str, Array] = {}
    for c in log.columns:
        cells = by_column[c.index]
        if c.pid is not None:
            data[c.meaning], wrong = _hexed(c.pid, cells)
        elif c.meaning == "time" and any(":" in x for x in cells[:50]):
            data["time"] = np.array(clock.seconds(cells))
            wrong = int(np.sum(np.isnan(data["time"])))
        else:
            data[c.meaning], wrong = _numbers(cells)
        bad[c.header.strip()] += wrong
    return data


def _chunks(log: Log) -> Iterator[tuple[int, dict[str, Array]]]:
    clock, told, bad = Clock(), False, Counter[str]()
    while lines := list(islice(log.lines, CHUNK)):
        data = _plain(log, lines)
        if data is None:
            data = _cells(log, lines, clock, bad)
        if not told:
            _told_units(log, data)
            told = True
        for c in log.columns:
            factor, offset = names.FACTORS.get(c.unit, (1.0, 0.0))
            if c.pid is None and (factor, offset) != (1.0, 0.0):
                data[c.meaning] = data[c.meaning] * factor + offset
        if "fan" in data and np.nanmax(np.append(data["fan"], 0)) > 3:
            data["fan"] = data["fan"] / 100
        first, log.read = log.read + 1, log.read + len(data["time"])
        yield first, data
    if not log.read:
        raise CannotJudge("the log has a header but no samples")
    log.notes += [f'column "{name}": {n} cell(s) were not values and were left out' for name, n in bad.items() if n]


@dataclass
class _Ordering:
    last: float = -np.inf
    day: float = 0.0
    undated: int = 0
    duplicate: int = 0
    backward: int = 0

    def resets(self, t: Array) -> list[int]:
        """Places where a new trip begins by a reset or a gap; a clock that passes midnight is carried on."""
        steps = np.diff(np.concatenate(([self.last if np.isfinite(self.last) else t[0]], t)))
        return [int(i) for i in np.flatnonzero((steps < -RESET) | (steps > GAP))]

    def keep(self, t: Array) -> Bools:
        before = np.maximum.accumulate(np.concatenate(([self.last], t[:-1])))
        good = np.asarray(t > before)
        self.duplicate += int(np.sum(t == before))
        self.backward += int(np.sum(t < before))
        self.last = max(self.last, float(t[-1]))
        return good


def _trips(log: Log) -> Iterator[Trip]:
    order, size, cut, continued = _Ordering(), 0, 0, False
    held: list[tuple[Rows, Array, dict[str, Array]]] = []
    for first_row, data in _chunks(log):
        t = data.pop("time") + order.day
        rows = np.arange(first_row, first_row + len(t))
        dated = np.isfinite(t)
        order.undated += int(np.sum(~dated))
        t, rows, data = t[dated], rows[dated], {k: v[dated] for k, v in data.items()}
        if not len(t):
            continue
        for at in np.flatnonzero(np.diff(t) < -72_000):  # past midnight
            t[at + 1 :] += 86_400
            order.day += 86_400
        if t[0] - order.last < -72_000:
            t += 86_400
            order.day += 86_400
        edges = [0, *order.resets(t), len(t)]
        for a, b in pairwise(edges):
            if a in edges[1:-1] and held:
                yield from _finish(held, continued)
                held, size, continued = [], 0, False
            if a in edges[1:-1]:
                order.last = -np.inf
            if a == b:
                continue
            good = order.keep(t[a:b])
            held.append((rows[a:b][good], t[a:b][good], {k: v[a:b][good] for k, v in data.items()}))
            size += int(np.sum(good))
            if size > LONGEST:
                yield from _finish(held, continued)
                held, size, cut, continued = [], 0, cut + 1, True
    if held:
        yield from _finish(held, continued)
    _tell(log, order, cut)


def _tell(log: Log, order: _Ordering, cut: int) -> None:
    for n, what in (
        (order.undated, "row(s) without a readable time were left out"),
        (order.duplicate, "row(s) repeated the time before and were left out"),
        (order.backward, "row(s) were out of order in time and were left out"),
        (cut, f"time(s) a trip of more than {LONGEST} samples was cut; each part is judged alone"),
    ):
        if n:
            log.notes.append(f"{n} {what}")


def _finish(held: list[tuple[Rows, Array, dict[str, Array]]], continued: bool) -> Iterator[Trip]:
    rows = np.concatenate([h[0] for h in held])
    t = np.concatenate([h[1] for h in held])
    data = {k: np.concatenate([h[2][k] for h in held]) for k in held[0][2]}
    coolant = data.pop("coolant")
    whole = Trip(rows, t, coolant, {k: v for k, v in data.items() if np.isfinite(v).any()}, continued)
    yield from _running(whole)


def _running(trip: Trip) -> Iterator[Trip]:
    """Split at stops of the engine, where a speed of the engine is logged: a cooling engine is not an over-cooled one."""
    rpm = trip.columns.get("rpm")
    if rpm is None or not len(trip.seconds):
        yield trip
        return
    off = np.concatenate(([False], np.nan_to_num(rpm, nan=800.0) < 200, [False]))
    starts, ends = np.flatnonzero(~off[:-1] & off[1:]), np.flatnonzero(off[:-1] & ~off[1:])
    begin, continued = 0, trip.continued
    for a, b in zip(starts, ends, strict=True):
        if trip.seconds[b - 1] - trip.seconds[a] < STANDSTILL and b < len(rpm) and a > 0:
            continue
        if a > begin:
            yield trip.part(begin, int(a), continued)
        begin, continued = int(b), False
    if begin < len(rpm):
        yield trip.part(begin, len(rpm), continued)
