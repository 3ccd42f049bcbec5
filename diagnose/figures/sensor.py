"""The coolant temperature sensor: its resistance against the maker's table, and what is shown against a second thermometer."""

from __future__ import annotations

from math import log10, sqrt

from diagnose.derive.measure import CannotJudge, Measure, below
from diagnose.derive.ntc import beta_temperature, fit_beta
from diagnose.derive.sensor import compare
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived, banded
from diagnose.figures.series import named, pairs, single, unique
from diagnose.figures.spot import spot, worth

_OPEN_OHM, _SHORT_OHM, _DECADES = 300e3, 15.0, 0.25
"""Beyond these no coolant sensor reads between -40 and 130 °C: 100 kΩ and 90 Ω are the ends of common ones. Source: estimate, from
a beta of 3450 K and 2.5 kΩ at 25 °C; the spread is in powers of ten."""
_FITS_K, _FITS_SPREAD_K = 6.0, 2.0
"""Difference from the table that tolerance and the measuring place do not explain [K]. Source: estimate."""
_TABLE_SD_K, _PLACE_SD_K = 2.0, 2.0
_SHOWN = {"shown": "degC", "gauge": "degC", "scan_tool": "degC", "thermometer": "degC", "ohm": "ohm"}
_OUT = "Unplug with the ignition off. The fan can start by itself when the sensor is unplugged: hands away."


def sensor_resistance(asked: Asked) -> Derived:
    """Bands fits / off / open / short. Open and short need no table; fits and off need the maker's and the temperature."""
    observation = asked.observation
    ohm = single(observation, "ohm")
    size = log10(max(ohm, 0.1))
    short = below(log10(_SHORT_OHM), size, _DECADES)
    open_ = 1.0 - below(log10(_OPEN_OHM), size, _DECADES)
    between = max(0.0, 1.0 - short - open_)
    if max(short, open_) > 0.9:
        shown = Measure(ohm, 0.02 * ohm, "ohm", "as read", "reading")
        return Derived(asked.about, asked.finding.id, (0.0, 0.5 * between, open_ + 0.5 * between, short)[:4], shown, notes=(_OUT,))
    if observation.table is None or observation.sample_temperature is None:
        need = "the maker's table (two points)" if observation.table is None else "the sensor's temperature"
        raise CannotJudge(f"{ohm:g} ohm is neither open nor shorted; whether it is right needs {need}")
    points = pairs(observation.table, "degC", "ohm")
    if len(points) != 2:
        raise InputError(Problem(f"{len(points)} points of the table", allowed="Give two: 25 C = 2500 ohm, 90 C = 310 ohm."))
    (t1, r1), (t2, r2) = points
    found = beta_temperature(ohm, *fit_beta(r1, t1, r2, t2))
    off = Measure(
        found - observation.sample_temperature,
        sqrt(_TABLE_SD_K**2 + _PLACE_SD_K**2),
        "K",
        "by the table less by the thermometer",
        "beta formula",
    )
    total = sqrt(off.sd**2 + _FITS_SPREAD_K**2)
    fits = max(0.0, below(_FITS_K, off.value, total) - below(-_FITS_K, off.value, total))
    told = f"By the table it stands at {found:.0f} °C, by the thermometer at {observation.sample_temperature:.0f} °C."
    return Derived(asked.about, asked.finding.id, (between * fits, between * (1.0 - fits), open_, short), off, notes=(told, _OUT))


def against_thermometer(asked: Asked) -> Derived:
    """Shown less thermometer [K], whichever way: bands agrees / off / far off. With the sensor's ohms and table, what it speaks for."""
    observation = asked.observation
    if not isinstance(observation.answer, dict):
        difference = Measure(abs(single(observation, "K")), asked.finding.accuracy or 3.0, "K", "difference as given", asked.finding.source)
        return banded(asked, difference)
    seen = named(observation, _SHOWN)
    shown = next((seen[n] for n in ("scan_tool", "shown", "gauge") if n in seen), None)
    if shown is None or "thermometer" not in seen:
        raise CannotJudge("what is shown (gauge or scan_tool) and the second thermometer (thermometer) are both needed")
    second = spot(observation, seen["thermometer"])
    curve = None
    if observation.table is not None and len(points := pairs(observation.table, "degC", "ohm")) == 2:
        curve = fit_beta(points[0][1], points[0][0], points[1][1], points[1][0])
    verdict = compare(shown, second.value, sensor_ohm=seen.get("ohm"), curve=curve, thermometer_sd=second.sd)
    likely = [name for name, chance in sorted(verdict.likelihood.items()) if chance > 0.5]
    gauge = "A needle is often flattened: it may stand still over 20 K and more." if "gauge" in seen else ""
    notes = unique([f"Fits best: {', '.join(likely)}.", gauge, worth(observation), *verdict.notes])
    d = verdict.difference
    return banded(asked, Measure(abs(d.value), d.sd, d.unit, d.formula, d.source), notes)
