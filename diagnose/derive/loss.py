"""Loss rate from top-ups: how fast, evaporation or seep or leak, and how long until it matters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.measure import CannotJudge, Measure, bands

# L per 1000 km: a closed system in order loses next to nothing. common practice, no source; spreads are estimates.
_EDGES_1000KM = [(0.05, 0.03), (0.5, 0.25)]
# L per 30 days, for a vehicle that stands or whose distance is unknown. Estimate, from the same at about 1000 km a month.
_EDGES_MONTH = [(0.05, 0.03), (0.5, 0.25)]
_SOURCE = "sum of top-ups over distance and days; limits common practice and estimate"


@dataclass(frozen=True)
class TopUp:
    """`litres` added to bring the level back to the same mark, `km` and `days` since the last such filling (None: unknown)."""

    litres: float
    km: float | None = None
    days: float | None = None


@dataclass(frozen=True)
class Loss:
    """`per_1000km` L and `per_day` L (None: unknown), `likelihood` over evaporation / seep / leak (sums to 1).

    `follows`: distance, time or unclear. `km_left`, `days_left`: until `reserve_l` is used up. `low_days`: a cautious date,
    at the rate that is exceeded once in ten.
    """

    per_1000km: Measure | None
    per_day: Measure | None
    follows: str
    likelihood: Mapping[str, float]
    km_left: Measure | None
    days_left: Measure | None
    low_days: float | None
    notes: tuple[str, ...]


def loss_rate(top_ups: Sequence[TopUp], *, reserve_l: float = 0.5, level_sd_l: float = 0.1) -> Loss:
    """Loss rate from one or more top-ups; `reserve_l` litres between the mark and where cooling suffers (estimate 0.5).

    `level_sd_l`: how well the level is brought back to one mark. Raises CannotJudge: nothing to divide by, negative figures.

    >>> loss = loss_rate([TopUp(0.5, 500, 10), TopUp(0.6, 500, 10)])
    >>> round(loss.per_1000km.value, 2), round(loss.days_left.value)
    (1.1, 9)
    """
    _check(top_ups, reserve_l)
    per_km = _rate([(t.litres, t.km) for t in top_ups if t.km is not None], level_sd_l)
    per_day = _rate([(t.litres, t.days) for t in top_ups if t.days is not None], level_sd_l)
    if per_km is None and per_day is None:
        raise CannotJudge("say the kilometres or the days between the top-ups: without either there is no rate")
    thousand = None if per_km is None else Measure(1000 * per_km[0], 1000 * per_km[1], "L/1000 km", "litres over distance", _SOURCE)
    day = None if per_day is None else Measure(per_day[0], per_day[1], "L/day", "litres over days", _SOURCE)
    days_left = _left(reserve_l, day, 1.0, "days")
    return Loss(
        thousand,
        day,
        _follows(top_ups),
        _verdict(thousand, day),
        _left(reserve_l, thousand, 1000.0, "km"),
        days_left,
        None if day is None else reserve_l / (max(day.value, 0.0) + 1.28 * day.sd),
        _notes(top_ups),
    )


def _check(top_ups: Sequence[TopUp], reserve_l: float) -> None:
    if not top_ups:
        raise CannotJudge("give at least one top-up")
    if not 0.05 <= reserve_l <= 10.0:
        raise CannotJudge("the reserve must be 0.05 to 10 L")
    for t in top_ups:
        if not 0.0 <= t.litres <= 50.0:
            raise CannotJudge(f"a top-up of {t.litres:g} L is outside 0 to 50 L: check the unit")
        if (t.km is not None and t.km <= 0) or (t.days is not None and t.days <= 0):
            raise CannotJudge("the distance and the days between top-ups must be above 0")


def _rate(pairs: Sequence[tuple[float, float | None]], level_sd: float) -> tuple[float, float] | None:
    """Rate over all, its sd: the error of the two ends of the record, and the scatter from one interval to the next."""
    spans = [(litres, span) for litres, span in pairs if span is not None]
    if not spans:
        return None
    total = sum(span for _, span in spans)
    rate = sum(litres for litres, _ in spans) / total
    ends = level_sd * sqrt(2.0) / total
    scatter = 0.3 * rate / sqrt(len(spans))  # one interval: 30 %, estimate
    if len(spans) > 1:
        square = sum((litres - rate * span) ** 2 for litres, span in spans) / (len(spans) - 1)
        scatter = sqrt(square * len(spans)) / total
    return rate, sqrt(ends * ends + scatter * scatter)


def _verdict(thousand: Measure | None, day: Measure | None) -> dict[str, float]:
    """Bands by distance where it is known, else by time; with both, the mean, for neither is surely the right divisor."""
    found = []
    if thousand is not None:
        found.append(bands(thousand.value, thousand.sd, _EDGES_1000KM))
    if day is not None:
        found.append(bands(30 * day.value, 30 * day.sd, _EDGES_MONTH))
    return {name: sum(f[i] for f in found) / len(found) for i, name in enumerate(("evaporation", "seep", "leak"))}


def _follows(top_ups: Sequence[TopUp]) -> str:
    """Whether the loss keeps step with distance (lost running) or with days (lost standing too); needs three intervals."""
    full = [(t.litres, t.km, t.days) for t in top_ups if t.km is not None and t.days is not None]
    if len(full) < 3:
        return "unclear"
    by_km, by_day = _misfit([(x, k) for x, k, _ in full]), _misfit([(x, d) for x, _, d in full])
    if by_km < 0.5 * by_day:
        return "distance"
    return "time" if by_day < 0.5 * by_km else "unclear"


def _misfit(pairs: Sequence[tuple[float, float]]) -> float:
    rate = sum(x for x, _ in pairs) / sum(s for _, s in pairs)
    return sqrt(sum((x - rate * s) ** 2 for x, s in pairs)) + 1e-9


def _left(reserve: float, rate: Measure | None, scale: float, unit: str) -> Measure | None:
    if rate is None or rate.value <= 0:
        return None
    value = scale * reserve / rate.value
    return Measure(value, value * rate.sd / rate.value, unit, "reserve over rate", _SOURCE)


def _notes(top_ups: Sequence[TopUp]) -> tuple[str, ...]:
    notes = ["Weigh the top-ups or use a measuring jug, level read cold at the same mark, on the same spot of ground."]
    if len(top_ups) == 1:
        notes.append("One top-up only: air leaving after a refill looks the same. Go on for two more.")
    notes.append("A leak can grow at once: look at the level before each drive until it is mended. Cap off only cold.")
    notes.append("With white vapour, a rising dipstick or a misfire after a night, do not wait for the date: do not drive.")
    return tuple(notes)
