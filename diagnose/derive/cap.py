"""A pressure cap on its own tester: does it open within its window, does it hold, does its vacuum valve open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.measure import CannotJudge, Measure, bands, below

# 6.25 to 7.5 psi for a 7 psi mark (US TM 5-3895-359-14&P), taken as shares of the mark for other ratings.
_WINDOW = (6.25 / 7.0, 7.5 / 7.0)
_WINDOW_SPREAD = 0.04  # estimate: makers' windows differ by about this share of the mark
_HOLD_S, _HOLD_SPREAD_S = 60.0, 15.0  # US Navy derived training text: holds 60 s or longer; the spread is an estimate
_VACUUM_BAR, _VACUUM_SPREAD = 0.10, 0.04  # opens at 0.043 bar (same TM); beyond about 0.1 bar hoses draw in (estimate)


@dataclass(frozen=True)
class CapTest:
    """Likelihood over opens low / in its window / opens high (sums to 1); chances that it holds and that its vacuum valve opens.

    None where that was not tested. `sound` is the chance that all that was tested is in order.
    """

    opening: Measure
    likelihood: Mapping[str, float]
    holds: float | None
    vacuum: float | None
    sound: float
    notes: tuple[str, ...]


def window(mark_bar: float) -> tuple[float, float]:
    """Opening window in bar for a cap marked `mark_bar` (0.2 to 2.5). Source: US TM 5-3895-359-14&P, scaled. Raises CannotJudge.

    >>> [round(x / 0.06894757, 2) for x in window(7 * 0.06894757)]
    [6.25, 7.5]
    """
    if not 0.2 <= mark_bar <= 2.5:
        raise CannotJudge(f"a cap marked {mark_bar:g} bar is outside 0.2 to 2.5 bar: check the unit on the mark")
    return mark_bar * _WINDOW[0], mark_bar * _WINDOW[1]


def cap_test(
    mark_bar: float,
    opened_bar: float,
    *,
    held_s: float | None = None,
    still_held: bool = False,
    vacuum_bar: float | None = None,
    vacuum_never: bool = False,
    gauge_sd: float = 0.02,
) -> CapTest:
    """Judge a cap: marked and opening pressure (bar gauge), seconds held near the mark, suction (bar) that opened its valve.

    `still_held`: it had not fallen when the watch stopped at `held_s`. `vacuum_never`: the valve did not open at `vacuum_bar`.
    Raises CannotJudge out of range.

    >>> round(cap_test(1.1, 1.1, held_s=60, still_held=True).sound, 2) > 0.8, cap_test(1.1, 0.7).likelihood["opens low"] > 0.99
    (True, True)
    """
    low, high = window(mark_bar)
    if not 0.0 <= opened_bar <= 4.0:
        raise CannotJudge(f"an opening pressure of {opened_bar:g} bar is outside 0 to 4 bar")
    spread = _WINDOW_SPREAD * mark_bar
    shares = bands(opened_bar, gauge_sd, [(low, spread), (high, spread)])
    likelihood = dict(zip(("opens low", "in its window", "opens high"), shares, strict=True))
    holds, vacuum = _holds(held_s, still_held), _vacuum(vacuum_bar, vacuum_never)
    sound = shares[1] * (1.0 if holds is None else holds) * (1.0 if vacuum is None else vacuum)
    notes = ["Test the cap wetted, with the adaptor that fits; look at the seal and at the neck it sits on."]
    if holds is None:
        notes.append("Not tested whether it holds: watch it for 60 seconds near its mark.")
    if vacuum is None:
        notes.append("Vacuum valve not tested: lift it with a fingernail; stuck, it lets a hose collapse on cooling.")
    if shares[2] > 0.5:
        notes.append("It opens too high: hoses, radiator and heater core carry more than they were made for. Never fit a higher cap.")
    reading = Measure(opened_bar, gauge_sd, "bar", "tester's gauge when the cap lets go", "reading")
    return CapTest(reading, likelihood, holds, vacuum, sound, tuple(notes))


def _holds(held_s: float | None, still_held: bool) -> float | None:
    if held_s is None:
        return None
    if held_s < 0:
        raise CannotJudge("the holding time must not be below 0 seconds")
    long_enough = 1.0 - below(_HOLD_S, held_s, _HOLD_SPREAD_S)
    if still_held:  # stopped early: even chances that the rest would have held, more the longer it was watched
        return 0.5 + 0.5 * min(1.0, long_enough * 2.0)
    return long_enough


def _vacuum(vacuum_bar: float | None, never: bool) -> float | None:
    if vacuum_bar is None:
        return None
    if not 0.0 <= vacuum_bar <= 1.0:
        raise CannotJudge("suction is given as 0 to 1 bar below the outside air")
    in_time = below(_VACUUM_BAR, vacuum_bar, sqrt(_VACUUM_SPREAD**2 + 0.01**2))
    return 0.5 * in_time if never else in_time
