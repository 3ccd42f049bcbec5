"""The pressure cap: what it opens at against its own mark, and its mark against what the vehicle asks for."""

from __future__ import annotations

from diagnose.case.quantity import parse
from diagnose.derive import cap
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.figures.derived import Asked, Derived, banded, yes_no
from diagnose.figures.series import named

_UNITS = {"marked": "bar", "opens": "bar", "held": "s", "still_held": "s", "vacuum": "bar"}
_MARK_SD = 0.02
"""Marks are rounded: 15 psi is 1.03 bar, 1.1 kgf/cm² is 1.08 [bar]. Source: estimate."""
_GAUGE_SD = 0.02


def cap_test(asked: Asked) -> list[Derived]:
    """Opening pressure as a share of the mark, with the minute that it must hold, and the vacuum valve where it was tried."""
    answer = asked.observation.answer
    seen = named(asked.observation, _UNITS) if isinstance(answer, dict) else {"opens": parse(answer, "bar")}
    mark, told = _mark(asked, seen.get("marked"))
    if "opens" not in seen:
        raise CannotJudge("the pressure at which the cap opens is needed (opens)")
    held = seen.get("still_held", seen.get("held"))
    result = cap.cap_test(
        mark, seen["opens"], held_s=held, still_held="still_held" in seen, vacuum_bar=seen.get("vacuum"), gauge_sd=_GAUGE_SD
    )
    share = Measure(seen["opens"] / mark, _GAUGE_SD / mark, "share", "opening pressure over the mark", "US TM 5-3895-359-14&P")
    first = banded(asked, share, tuple(n for n in (told, *result.notes) if n))
    out = [_less_held(first, result.holds)]
    vacuum = asked.to("vacuum")
    if vacuum and result.vacuum is not None:
        suction = Measure(seen["vacuum"], _GAUGE_SD, "bar", "suction that opened the vacuum valve", "reading")
        out.append(yes_no(vacuum, 1.0 - result.vacuum, suction))
    return out


def _less_held(derived: Derived, holds: float | None) -> Derived:
    """A cap that opens at its mark and then sinks does not hold: that share of the first band goes to the second."""
    if holds is None:
        return derived
    first, second, *rest = derived.likelihood
    moved = (first * holds, second + first * (1.0 - holds), *rest)
    return Derived(derived.about, derived.finding, moved, derived.measure, notes=derived.notes)


def _mark(asked: Asked, marked: float | None) -> tuple[float, str]:
    if marked is not None:
        return marked, ""
    rating = asked.case.vehicle.cap_rating
    if rating is None:
        raise CannotJudge("what is stamped on the cap is not known (marked, or cap_rating of the vehicle): unmarked is unknown")
    return rating, "The cap's own mark was not said: taken to be what the vehicle asks for."


def cap_mark(asked: Asked) -> Derived:
    """The mark on the cap less the pressure that the vehicle asks for [bar]."""
    marked = parse(asked.observation.answer, "bar") if not isinstance(asked.observation.answer, dict) else 0.0
    rating = asked.case.vehicle.cap_rating
    if isinstance(asked.observation.answer, dict) or not 0.2 <= marked <= 2.5:
        raise CannotJudge("a mark of 0.2 to 2.5 bar can be compared")
    if rating is None:
        raise CannotJudge("what pressure the vehicle asks for is not known (cap_rating of the vehicle): look in its manual")
    difference = Measure(marked - rating, _MARK_SD, "bar", "mark on the cap less the vehicle's specification", "vehicle's manual")
    notes = ("Never fit a higher cap than specified: hoses, radiator and heater core carry it.",) if marked > rating + 0.07 else ()
    return banded(asked, difference, notes)
