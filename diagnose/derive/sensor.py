"""A coolant temperature reading against a second thermometer: real, the sensor, or the wiring."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.measure import CannotJudge, Measure, below
from diagnose.derive.ntc import KELVIN, beta_resistance, beta_temperature

_AGREE_K, _AGREE_SPREAD = 8.0, 4.0  # difference that place and time do not explain; estimate


@dataclass(frozen=True)
class SensorVerdict:
    """`likelihood` of the readings under real / sensor / open circuit / short circuit / extra resistance, the greatest 1.

    `difference`: shown less thermometer, K. `extra_ohm`: series resistance that would explain the reading, where it can be said.
    """

    difference: Measure
    extra_ohm: Measure | None
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


def compare(
    shown_c: float,
    thermometer_c: float,
    *,
    sensor_ohm: float | None = None,
    curve: tuple[float, float] | None = None,
    thermometer_sd: float = 3.0,
) -> SensorVerdict:
    """What the display or scan tool shows (degC) against a second thermometer at the sensor's boss (degC).

    `sensor_ohm`: sensor measured at its plug, unplugged, at the same time; `curve`: its (`ohm_25`, `beta_k`), see `ntc.fit_beta`.
    Chances are estimates. Raises CannotJudge out of range.

    >>> verdict = compare(-40, 60)
    >>> max(verdict.likelihood, key=verdict.likelihood.get)
    'open circuit'
    """
    if not (-60.0 <= shown_c <= 250.0 and -50.0 <= thermometer_c <= 150.0):
        raise CannotJudge("shown temperatures of -60 to 250 °C and thermometer readings of -50 to 150 °C can be compared")
    sd = sqrt(thermometer_sd**2 + 2.0**2)
    difference = Measure(shown_c - thermometer_c, sd, "K", "shown less second thermometer", "readings")
    agree = _agree(difference.value, sd)
    colder = below(-_AGREE_K, difference.value, sqrt(sd**2 + _AGREE_SPREAD**2))
    floor = below(-35.0, shown_c, 3.0) * (1.0 - agree)  # a module that sees no current shows its lowest, usually -40 °C
    roof = (1.0 - below(135.0, shown_c, 8.0)) * (1.0 - agree)  # a shorted line shows the highest
    raw = {
        "real": 0.95 * agree + 0.02,
        "sensor": 0.10 * agree + 0.55 * (1.0 - agree) * (1.0 - 0.6 * max(floor, roof)),
        "open circuit": 0.95 * floor + 0.005,
        "short circuit": 0.95 * roof + 0.005,
        "extra resistance": 0.15 * agree + 0.55 * colder * (1.0 - 0.7 * floor) + 0.01,
    }
    extra = None
    if sensor_ohm is not None and curve is not None:
        extra = _weigh_resistance(raw, sensor_ohm, curve, shown_c, thermometer_c, sd)
    top = max(raw.values())
    return SensorVerdict(difference, extra, {k: v / top for k, v in raw.items()}, _notes(difference.value, agree, sensor_ohm, curve))


def _agree(difference: float, sd: float) -> float:
    total = sqrt(sd**2 + _AGREE_SPREAD**2)
    return max(0.0, below(_AGREE_K, difference, total) - below(-_AGREE_K, difference, total))


def _weigh_resistance(
    raw: dict[str, float], ohm: float, curve: tuple[float, float], shown_c: float, thermometer_c: float, sd: float
) -> Measure | None:
    """The sensor alone, against the thermometer: right there and wrong on the display is wiring, not the sensor."""
    if not 1.0 <= ohm <= 1e6:
        sensor_right = 0.0
    else:
        try:
            sensor_right = _agree(beta_temperature(ohm, *curve) - thermometer_c, sd)
        except CannotJudge:
            sensor_right = 0.0
    for name in raw:
        right = 0.1 if name == "sensor" else 0.95
        raw[name] *= right * sensor_right + (1.0 - right) * (1.0 - sensor_right)
    if shown_c >= thermometer_c - 2.0 or not -50.0 <= shown_c <= 180.0 or not 1.0 <= ohm <= 1e6:
        return None
    seen = beta_resistance(shown_c, *curve)
    per_k = seen * curve[1] / (shown_c + KELVIN) ** 2
    return Measure(seen - ohm, 2.0 * per_k + 0.02 * ohm, "ohm", "resistance that the display implies less the sensor's own", "beta formula")


def _notes(difference: float, agree: float, ohm: float | None, curve: tuple[float, float] | None) -> tuple[str, ...]:
    notes = []
    if agree > 0.5:
        notes.append("Both agree: the temperature is real; do not change the sensor.")
    elif ohm is None or curve is None:
        notes.append("Measure the sensor at its plug against the maker's table: right there means wiring, wrong there means sensor.")
    if difference < -15:
        notes.append("It shows colder than it is. A sensor hanging in steam also reads cold: level first; heater cold, stop the engine.")
    notes.append("Unplug with the ignition off. The fan can start by itself when the sensor is unplugged: hands away.")
    return tuple(notes)
