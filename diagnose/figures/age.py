"""How old the coolant is, from years, a date or the odometer, against what its kind lasts."""

from __future__ import annotations

import datetime as dt
import re

from diagnose.case.case import Case
from diagnose.case.quantity import parse
from diagnose.derive.interval import LIFE_SD, due_by_maker, overdue
from diagnose.derive.measure import CannotJudge, Measure, bands
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived, banded

_LIFE_YEARS = {"inorganic": 2.5, "hybrid": 4.0, "organic": 5.0}
"""Life by inhibitor where the maker's is not known [years]. Source: common practice, no source (two to three; four; five and more)."""
_WELL_PAST = 1.5
"""Well past its life begins at this multiple of it. Source: estimate."""
_KM_YEAR, _KM_YEAR_SHARE = 15000.0, 0.35
"""Distance of a year where only the odometer is known [km], and its spread as a share. Source: estimate."""
_DAY = re.compile(r"(\d{4})-(\d{1,2})(?:-(\d{1,2}))?")
_YEAR = 365.25


def age(asked: Asked) -> Derived:
    """Years since the fill; against the life of its kind where the vehicle's coolant_type is known, else on one scale for all."""
    years, notes = _years(asked)
    kind = asked.case.vehicle.coolant_type
    if kind is None:
        return banded(
            asked, years, (*notes, "The kind of inhibitor is not known: two to three years for old kinds, five and more for organic.")
        )
    life = _LIFE_YEARS[kind]
    due = due_by_maker(0.0, life)
    edges = [(life, LIFE_SD * life), (_WELL_PAST * life, _WELL_PAST * LIFE_SD * life)]
    shares = bands(years.value, years.sd, edges)
    left = due.value - years.value
    when = f"about {left:.1f} ± {(due.sd**2 + years.sd**2) ** 0.5:.1f} years left" if left > 0 else f"{-left:.1f} years past it"
    told = f"{kind.capitalize()} coolant lasts about {life:g} years (the maker's figure goes before): {when}."
    notes = (*notes, told, f"Chance that it is due by now: {overdue(due, years.value):.0%}.")
    return Derived(asked.about, asked.finding.id, asked.finding.severity(shares), years, notes=notes)


def _years(asked: Asked) -> tuple[Measure, tuple[str, ...]]:
    answer = asked.observation.answer
    if isinstance(answer, dict):
        raise InputError(Problem("one date, age or odometer is needed here", allowed="Write 2021-05, 4 years or 62000 km."))
    if isinstance(answer, str) and (found := _DAY.fullmatch(answer.strip())):
        return _since(asked, found)
    text = str(answer).strip()
    if re.search(r"(km|mi|miles)\s*$", text):
        return _by_distance(asked.case, parse(text, "km"))
    return Measure(parse(answer, "years"), asked.finding.accuracy or 0.3, "years", "as told", "owner or label"), ()


def _since(asked: Asked, found: re.Match[str]) -> tuple[Measure, tuple[str, ...]]:
    try:
        filled = dt.date(int(found[1]), int(found[2]), int(found[3] or 15))
    except ValueError:
        raise InputError(Problem(f"'{found[0]}' is not a day", allowed="Write for example 2021-05-17 or 2021-05.")) from None
    today = asked.observation.on or _latest(asked.case)
    if today is None:
        raise CannotJudge(
            "the day on which this was looked at is not in the case (on:), and no clock is read: how old it is cannot be said"
        )
    if filled > today:
        raise CannotJudge(f"it was filled on {filled}, after the day {today} of this look")
    return Measure((today - filled).days / _YEAR, 0.1, "years", f"from {filled} to {today}", "bill or label"), ()


def _latest(case: Case) -> dt.date | None:
    return max([o.on for o in case.observations if o.on] + [d.on for d in case.done if d.on], default=None)


def _by_distance(case: Case, filled_km: float) -> tuple[Measure, tuple[str, ...]]:
    """Odometer at the fill against that of today."""
    if case.vehicle.distance is None:
        raise CannotJudge("the odometer of today (distance of the vehicle) is needed beside the one at the fill")
    driven = case.vehicle.distance - filled_km
    if driven < 0:
        raise CannotJudge(f"it was filled at {filled_km:.0f} km, more than the {case.vehicle.distance:.0f} km of today")
    years = driven / _KM_YEAR
    sd = max(0.3, _KM_YEAR_SHARE * years)
    words = f"{driven:.0f} km at about {_KM_YEAR:.0f} km a year"
    return Measure(years, sd, "years", words, "estimate"), ("From the odometer only; a vehicle that stands ages its coolant all the same.",)
