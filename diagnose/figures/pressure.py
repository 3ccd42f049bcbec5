"""Pressure on the cooling system: a pump-up test corrected for heat, and the record of a cold start."""

from __future__ import annotations

import re

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.case.quantity import parse
from diagnose.derive.glycol import Glycol
from diagnose.derive.heating import Sample, cold_start
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.pressure import LeakDown, leak_down
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived, banded
from diagnose.figures.series import raw_series, single, unique
from diagnose.figures.testers import GLYCOLS

_COOLANT_L = 6.0
"""Coolant in a passenger system where it is not given [L]. Source: estimate."""
_START_BAR = 1.0
"""Where a test began when nobody says and the cap's rating is unknown [bar]. Source: common practice, no source."""
_COOLS_K, _COOLS_SD = -2.0, 2.0
"""What a warm engine loses in the minutes of a test when nobody measured it [K]. Source: estimate."""
_GAS_ENDS_L = (0.3, 1.5)
_MINUTES = 10.0


def pressure_test(asked: Asked) -> Derived:
    """Pressure lost in 10 minutes, less what cooling and the liquid's shrinkage explain."""
    observation = asked.observation
    start, end, minutes, notes = _fall(observation, asked.case)
    begin_c = next((t for t in (observation.sample_temperature, observation.ambient) if t is not None), 20.0)
    change, change_sd, told = _change(observation)
    result = _tests(asked, start, end, minutes, begin_c, begin_c + change, change_sd)
    per_ten = [
        Measure(
            r.unexplained.value * 10.0 / minutes, r.unexplained.sd * 10.0 / minutes, "bar per 10 min", r.unexplained.formula, r.rate.source
        )
        for r in result
    ]
    derived = [banded(asked, m, unique([told, *notes, *r.notes])) for m, r in zip(per_ten, result, strict=True)]
    if len(derived) == 1:
        return derived[0]
    first, last = derived[0], derived[-1]
    if first.likelihood.index(max(first.likelihood)) != last.likelihood.index(max(last.likelihood)):
        raise CannotJudge(
            f"between {per_ten[0].value:.2f} and {per_ten[-1].value:.2f} bar per 10 minutes are left unexplained, depending on the "
            "air space over the coolant: say it in litres (gas_volume), or test at a steady temperature"
        )
    mean = tuple((a + b) / 2.0 for a, b in zip(first.likelihood, last.likelihood, strict=True))
    middle = Measure(
        (per_ten[0].value + per_ten[-1].value) / 2.0,
        max(m.sd for m in per_ten) + abs(per_ten[0].value - per_ten[-1].value) / 2.0,
        per_ten[0].unit,
        per_ten[0].formula,
        per_ten[0].source,
    )
    gas = "The air space is not known: 0.3 and 1.5 L lead to the same answer."
    return Derived(asked.about, asked.finding.id, mean, middle, notes=unique([gas, *first.notes]))


def _tests(asked: Asked, start: float, end: float, minutes: float, from_c: float, to_c: float, change_sd: float) -> list[LeakDown]:
    """The test read with the gas volume that was given; without one and where it matters, with the least and the most."""
    vehicle, given = asked.case.vehicle, asked.observation.gas_volume

    def read(gas: float | None) -> LeakDown:
        return leak_down(
            start,
            end,
            minutes,
            from_c,
            to_c,
            coolant_l=vehicle.system_volume or _COOLANT_L,
            gas_l=gas,
            cap_bar=vehicle.cap_rating,
            temp_sd=change_sd / 2.0**0.5,
            glycol=_glycol(asked.case),
        )

    try:
        return [read(given)]
    except CannotJudge:
        if given is not None:
            raise
        return [read(gas) for gas in _GAS_ENDS_L]


def _glycol(case: Case) -> Glycol:
    return GLYCOLS.get(case.vehicle.glycol or "", "eg")


def _fall(observation: Observation, case: Case) -> tuple[float, float, float, list[str]]:
    """Start and end pressure, minutes, and what had to be taken for granted."""
    notes: list[str] = []
    if isinstance(observation.answer, dict):
        record = sorted((_minute(label), parse(value, "bar")) for label, value in observation.answer.items())
        if len(record) < 2:
            raise InputError(
                Problem("one pressure is no test", allowed="Write minute and pressure twice or more: {0: 1.1 bar, 10: 1.0 bar}.")
            )
        return record[0][1], record[-1][1], record[-1][0] - record[0][0], notes
    lost = single(observation, "bar")
    start = observation.start_pressure or case.vehicle.cap_rating
    if start is None:
        start = _START_BAR
        notes.append(f"The pressure at the start is not known: taken as {_START_BAR:g} bar.")
    if observation.minutes is None:
        notes.append("How long it took was not said: taken as ten minutes.")
    if lost > start:
        raise CannotJudge(f"{lost:g} bar lost is more than the {start:g} bar it began with: give the pressure that was lost")
    return start, start - lost, observation.minutes or _MINUTES, notes


def _change(observation: Observation) -> tuple[float, float, str]:
    """Change of the engine's temperature during the test [K], its sd, and a note."""
    if observation.temperature_change is not None:
        return parse(observation.temperature_change, "K"), 1.0, ""
    if observation.engine in ("warm", "loaded", "hot_off", "warming", "opened_running"):
        words = (
            f"A warm engine cools during the test and takes pressure with it: allowed {-_COOLS_K:.0f} ± {_COOLS_SD:.0f} K, not measured."
        )
        return _COOLS_K, _COOLS_SD, words
    return 0.0, 0.5, "" if observation.engine == "cold" else "Engine taken as cold and steady: it was not said."


def _minute(label: str) -> float:
    return parse(label, "min")


def pressure_record(asked: Asked) -> Derived:
    """Pressures from a cold start against what heat alone makes there; each line as '0.3 bar at 24 C' under its minute."""
    samples = sorted((_sample(label, value) for label, value in raw_series(asked.observation).items()), key=lambda s: s.minutes)
    vehicle = asked.case.vehicle
    result = cold_start(
        samples,
        vehicle.system_volume or _COOLANT_L,
        asked.observation.gas_volume,
        cap_bar=vehicle.cap_rating,
        glycol=_glycol(asked.case),
    )
    when = (
        [f"It first stands clear of heat after {result.first_clear_minutes:g} minutes."] if result.first_clear_minutes is not None else []
    )
    heat = f"Heat alone makes {result.expected.value:.2f} ± {result.expected.sd:.2f} bar there."
    return banded(asked, result.excess, unique([heat, *when, *result.notes]))


def _sample(label: str, value: str | float) -> Sample:
    parts = re.split(r"\s*(?:\bat\b|@)\s*", str(value), maxsplit=1)
    if len(parts) != 2:
        raise InputError(Problem(f"'{value}' has no temperature", allowed="Write pressure and coolant temperature: 0.3 bar at 24 C."))
    return Sample(_minute(label), parse(parts[1], "degC"), parse(parts[0], "bar"))
