"""Top-ups over dates and distance to the rate at which coolant is lost."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from itertools import pairwise

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.case.quantity import parse
from diagnose.derive.loss import TopUp, loss_rate
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived, banded
from diagnose.figures.series import raw_series

_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_KM_MONTH, _KM_MONTH_SHARE = 1000.0, 0.4
"""Distance in 30 days where nobody gives it [km], and its spread as a share. Source: estimate (12,000 km a year)."""
_WORDS = "Label each top-up with its date, its odometer, or both: {2026-05-01 at 84000 km: 0.4 L, …}."

_BEFORE = "Most of it was lost before something was done to the vehicle: two top-ups since are needed to say anything of today."

_Mark = tuple[dt.date | None, float | None, float]


def top_ups(asked: Asked) -> Derived:
    """Litres per 1000 km. The first top-up of a series only brings the level to the mark: what is added later was lost since."""
    fills, told = _fills(asked.observation, _repaired(asked.case))
    result = loss_rate(fills)
    notes = [*told, *result.notes]
    if result.days_left and result.low_days:
        notes.append(f"At this rate half a litre of reserve lasts about {result.days_left.value:.0f} days; count on {result.low_days:.0f}.")
    elif result.km_left:
        notes.append(f"At this rate half a litre of reserve lasts about {result.km_left.value:.0f} km.")
    if result.follows != "unclear":
        notes.append(f"The loss keeps step with {result.follows}.")
    if result.per_1000km is not None:
        return banded(asked, result.per_1000km, tuple(notes))
    assert result.per_day is not None  # loss_rate refuses to be without either
    month = Measure(30.0 * result.per_day.value, 30.0 * result.per_day.sd, "L/30 days")
    value = month.value * 1000.0 / _KM_MONTH
    sd = (month.sd**2 + (_KM_MONTH_SHARE * month.value) ** 2) ** 0.5
    notes.append(f"The distance is not known: taken as {_KM_MONTH:.0f} km in 30 days.")
    return banded(asked, Measure(value, sd, "L/1000 km", "litres over days, at 1000 km in 30 days", result.per_day.source), tuple(notes))


def _repaired(case: Case) -> dt.date | None:
    """Day of the last thing done: what was lost before it says little of today."""
    return max((d.on for d in case.done if d.on), default=None)


def _fills(observation: Observation, since: dt.date | None) -> tuple[Sequence[TopUp], list[str]]:
    if not isinstance(observation.answer, dict):
        if observation.over_distance is None:
            raise CannotJudge("over what distance (over_distance) it was lost is not said; or give the top-ups by date or odometer")
        return [TopUp(parse(observation.answer, "L"), observation.over_distance)], []
    marks = sorted((_mark(label, value) for label, value in raw_series(observation).items()), key=_order)
    told = []
    if since and any(day and day < since for day, _, _ in marks):
        later = [m for m in marks if m[0] and m[0] >= since]
        marks = later if len(later) > 1 else marks
        told.append(f"Only what was added since {since}, when something was done, counts." if marks is later else _BEFORE)
    if len(marks) < 2:
        raise CannotJudge("one top-up has no beginning: the day or odometer at which the level was last right is needed too")
    out = []
    for (day0, km0, _), (day1, km1, litres) in pairwise(marks):
        days = float((day1 - day0).days) if day0 and day1 else None
        km = km1 - km0 if km0 is not None and km1 is not None else None
        out.append(TopUp(litres, km, days))
    return out, told


def _order(mark: _Mark) -> tuple[str, float]:
    day, km, _ = mark
    return (day.isoformat() if day else "", km or 0.0)


def _mark(label: str, value: str | float) -> _Mark:
    found = _DATE.search(label)
    day = None
    if found:
        try:
            day = dt.date(int(found[1]), int(found[2]), int(found[3]))
        except ValueError:
            raise InputError(Problem(f"'{label}' is not a day", allowed=_WORDS)) from None
    rest = _DATE.sub("", label).replace(" at ", " ").strip(" ,;@")
    if not rest and not day:
        raise InputError(Problem("a top-up has no label", allowed=_WORDS))
    try:
        km = parse(rest, "km") if rest else None
    except InputError:
        raise InputError(Problem(f"'{label}' is neither a day nor a distance", allowed=_WORDS)) from None
    return day, km, parse(value, "L")
