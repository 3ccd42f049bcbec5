"""Readings of one wearing quantity on several days: the last one counts for today, all of them say when the coolant is due."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace

from diagnose.case.case import Case
from diagnose.derive.interval import Reading, due_by_trend
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.figures.derived import Derived
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Edge, Finding

_YEAR = 365.25
_LEAST_SD = 1e-3  # a trend needs an accuracy; no reading is exact
_FAR_YEARS = 15.0  # beyond this a straight line says no more than "not in sight"; estimate


def with_trends(derived: Iterable[Derived], case: Case, knowledge: Knowledge) -> list[Derived]:
    """For each finding that wears: earlier days become history, the last day's figure is told with the date at which it is due."""
    out = list(derived)
    for name in sorted({d.finding for d in out if d.measure and knowledge.findings[d.finding].wears}):
        finding = knowledge.findings[name]
        dated = [(d, day) for d in out if d.finding == name and d.measure and (day := case.observations[d.about].on)]
        days = sorted({day for _, day in dated})
        if len(days) < 2:
            continue
        told = _told(dated, days, finding, case)
        for derived_one, day in dated:
            spot = out.index(derived_one)
            if day < days[-1]:
                why = f"Read on {day}; the reading of {days[-1]} says how it is now, and both make the trend."
                out[spot] = replace(derived_one, likelihood=(), cannot=why, notes=())
            else:
                out[spot] = replace(derived_one, notes=(told, *derived_one.notes))
    return out


def _told(dated: Sequence[tuple[Derived, dt.date]], days: Sequence[dt.date], finding: Finding, case: Case) -> str:
    """When the line through the readings since the last work meets the limit, in words."""
    work = max((d.on for d in case.done if d.on), default=dt.date.min)
    points = {(_years(day, days[-1]), d.measure) for d, day in dated if d.measure and day >= work}  # one sample told twice counts once
    limit = _limit(finding)
    try:
        readings = [Reading(at, m.value, max(m.sd, finding.accuracy or 0.0, _LEAST_SD)) for at, m in points]
        readings.sort(key=lambda r: (r.years, r.value))
        due = due_by_trend(readings, limit.at, falling=finding.wears == "falling", limit_sd=limit.spread)
    except CannotJudge as why:
        return f"Trend: {why}."
    return _when(due, days[-1], f"{limit.at:g} {finding.unit}", len(points))


def _when(due: Measure, last: dt.date, limit: str, count: int) -> str:
    line = f"Trend: by the line through {count} readings it meets {limit}"
    if due.value > _FAR_YEARS:
        return f"{line} not within {_FAR_YEARS:.0f} years."
    if due.value < -_FAR_YEARS:
        return f"{line} long ago; read it again."
    day = last + dt.timedelta(days=due.value * _YEAR)
    sense = "a date to plan the change by, no alarm" if due.value > 0 else "it is due now, if a strip says the same"
    return f"{line} about {day:%B %Y}, give or take {_span(due.sd)}: {sense}."


def _span(years: float) -> str:
    months = max(1, round(12 * years))
    return f"{months} month{'s' if months > 1 else ''}" if months < 24 else f"{years:.1f} years"


def _years(day: dt.date, origin: dt.date) -> float:
    return (day - origin).days / _YEAR


def _limit(finding: Finding) -> Edge:
    """The edge of the worn end: the upper one where the number rises as it wears, the lower one where it falls."""
    return finding.edges[-1 if finding.wears == "rising" else 0]
