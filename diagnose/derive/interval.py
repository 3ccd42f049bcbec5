"""When the coolant is due: by age, by distance, and by the trend of readings. A half-spent reading is a date, not an alarm.

Times are years on one scale, zero wherever the caller likes (the fill, a calendar year); no clock is read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, exp, pi, sqrt

from diagnose.derive.measure import CannotJudge, Measure, below

LIFE_SD = 0.15
"""Spread of a coolant's life about the maker's figure, as a part of it. Source: estimate."""

BEND = 0.15
"""Depletion is not a straight line: spread per year looked ahead beyond the last reading, as a part of it. Source: estimate."""

CLEAR_TREND = 2.0
"""A slope of fewer standard deviations than this shows no trend. Source: common practice in statistics."""

SOURCE = "weighted straight line through the readings"


@dataclass(frozen=True)
class Reading:
    """One reading of a spending quantity at time `years`: `value` with standard deviation `sd`."""

    years: float
    value: float
    sd: float


@dataclass(frozen=True)
class Trend:
    """A line: `level` ± `level_sd` at `centre` [years], `slope` ± `slope_sd` per year; `last` is the latest reading's time."""

    centre: float
    level: float
    level_sd: float
    slope: float
    slope_sd: float
    last: float


def trend(readings: Sequence[Reading]) -> Trend:
    """Weighted straight line. Readings that scatter more than their own accuracy widen it. CannotJudge for fewer than two dates.

    >>> t = trend([Reading(0.0, 10.0, 0.5), Reading(2.0, 8.0, 0.5)])
    >>> t.slope, round(t.slope_sd, 2)
    (-1.0, 0.35)
    """
    if len({r.years for r in readings}) < 2:
        raise CannotJudge("a trend needs readings at two dates at least; the value when the coolant was new counts as one")
    if any(r.sd <= 0 for r in readings):
        raise CannotJudge("each reading needs its accuracy, more than 0")
    weights = [1.0 / r.sd**2 for r in readings]
    total = sum(weights)
    centre = sum(w * r.years for w, r in zip(weights, readings, strict=True)) / total
    level = sum(w * r.value for w, r in zip(weights, readings, strict=True)) / total
    spread = sum(w * (r.years - centre) ** 2 for w, r in zip(weights, readings, strict=True))
    slope = sum(w * (r.years - centre) * (r.value - level) for w, r in zip(weights, readings, strict=True)) / spread
    scatter = 1.0
    if len(readings) > 2:
        misfit = sum(w * (r.value - level - slope * (r.years - centre)) ** 2 for w, r in zip(weights, readings, strict=True))
        scatter = max(1.0, sqrt(misfit / (len(readings) - 2)))
    return Trend(centre, level, scatter / sqrt(total), slope, scatter / sqrt(spread), max(r.years for r in readings))


def due_by_trend(readings: Sequence[Reading], limit: float, falling: bool, limit_sd: float = 0.0) -> Measure:
    """Time [years, on the readings' scale] at which the trend reaches `limit`; in the past where it is already spent.

    `falling` is True for what is used up (reserve alkalinity, nitrite, pH), False for what grows (voltage). `limit_sd` is the
    limit's own spread among sources. CannotJudge for too few readings, no clear trend, or one that goes the wrong way.

    >>> due = due_by_trend([Reading(0, 10.0, 0.5), Reading(1, 9.1, 0.5), Reading(2, 8.0, 0.5), Reading(3, 7.1, 0.5)], 5.0, True)
    >>> round(due.value, 1), round(due.sd, 1)
    (5.1, 0.9)
    """
    line = trend(readings)
    if abs(line.slope) < CLEAR_TREND * line.slope_sd:
        raise CannotJudge(
            f"the readings show no clear trend ({line.slope:+.3g} ± {line.slope_sd:.2g} a year): too few, too close, or they clash "
            "with each other; read again later with the same instrument"
        )
    if (line.slope < 0) != falling:
        way = "rise" if line.slope > 0 else "fall"
        raise CannotJudge(f"the readings {way}, against wear: topped up, additive added, or another instrument since the first one?")
    value = line.centre + (limit - line.level) / line.slope
    line_sd = sqrt(line.level_sd**2 + limit_sd**2 + ((value - line.centre) * line.slope_sd) ** 2) / abs(line.slope)
    bend = BEND * max(0.0, value - line.last)
    return Measure(value, sqrt(line_sd**2 + bend**2), "years", "date at which the line through the readings meets the limit", SOURCE)


def due_by_maker(
    filled_years: float, life_years: float | None = None, life_km: float | None = None, km_per_year: Measure | None = None
) -> Measure:
    """Time [years] at which the maker's life ends, whichever of time and distance comes first, counted from the fill.

    `life_years`, `life_km` [km] are the maker's; `km_per_year` what this vehicle does. CannotJudge when neither can be used.

    >>> due = due_by_maker(0.0, 5.0, 100_000.0, Measure(10_000.0, 2_000.0, "km/year"))
    >>> round(due.value, 1), round(due.sd, 1)
    (5.0, 0.8)
    """
    ends: list[Measure] = []
    if life_years is not None:
        if life_years <= 0:
            raise CannotJudge(f"a life of {life_years} years makes no sense")
        ends.append(Measure(filled_years + life_years, LIFE_SD * life_years, "years", "maker's life in years", "vehicle's manual"))
    if life_km is not None and km_per_year is not None:
        if life_km <= 0 or km_per_year.value <= 0:
            raise CannotJudge("distance life and distance a year must be more than 0")
        span = life_km / km_per_year.value
        sd = span * sqrt(LIFE_SD**2 + (km_per_year.sd / km_per_year.value) ** 2)
        ends.append(Measure(filled_years + span, sd, "years", "maker's life in distance", "vehicle's manual"))
    if not ends:
        raise CannotJudge("the maker's life in years, or in distance with the distance driven a year, is needed")
    return ends[0] if len(ends) == 1 else earliest(ends[0], ends[1])


def earliest(a: Measure, b: Measure) -> Measure:
    """The earlier of two uncertain dates (mean and spread of the minimum of two normals). Source: C. E. Clark, Oper. Res. 9 (1961).

    >>> m = earliest(Measure(5.0, 1.0, "years"), Measure(5.0, 1.0, "years"))
    >>> round(m.value, 2), round(m.sd, 2)
    (4.44, 0.83)
    """
    theta = sqrt(a.sd**2 + b.sd**2)
    if theta == 0.0:
        return a if a.value <= b.value else b
    alpha = (b.value - a.value) / theta
    phi = exp(-0.5 * alpha**2) / sqrt(2.0 * pi)
    p = 0.5 * (1.0 + erf(alpha / sqrt(2.0)))
    mean = a.value * p + b.value * (1.0 - p) - theta * phi
    # second moment about the mean, written so that large dates do not cancel
    da, db = a.value - mean, b.value - mean
    variance = (da**2 + a.sd**2) * p + (db**2 + b.sd**2) * (1.0 - p) - (da + db) * theta * phi
    return Measure(mean, sqrt(max(0.0, variance)), "years", "whichever comes first", "; ".join(dict.fromkeys((a.source, b.source))))


def overdue(due: Measure, now_years: float) -> float:
    """Chance (0..1) that the coolant is already due at `now_years`.

    >>> round(overdue(Measure(5.0, 1.0, "years"), 2.5), 3)
    0.006
    """
    return below(now_years, due.value, due.sd)
