"""What an infrared thermometer's reading is worth: the emissivity of the spot decides."""

from __future__ import annotations

from math import sqrt

from diagnose.derive.measure import CannotJudge, Measure

_KELVIN = 273.15
_WORTHLESS_K = 15.0  # a reading less sure than this says neither hot nor cold; estimate
# Emissivity and its sd at 8 to 14 µm: general emissivity tables from memory; the spreads are estimates.
SURFACES: dict[str, tuple[float, float]] = {
    "rubber": (0.94, 0.02),
    "tape": (0.95, 0.02),
    "paint": (0.93, 0.03),
    "plastic": (0.93, 0.03),
    "rusty iron": (0.80, 0.10),
    "cast iron": (0.65, 0.15),
    "oxidised aluminium": (0.30, 0.10),
    "bare aluminium": (0.12, 0.05),
    "bare brass": (0.15, 0.07),
}


def infrared(shown_c: float, surface: str, surroundings_c: float, *, set_emissivity: float = 0.95, instrument_sd: float = 2.0) -> Measure:
    """True surface temperature (degC) behind a reading `shown_c` (-30 to 300), with what it is worth.

    The instrument sees emitted plus reflected radiation, each by the fourth power of kelvin (a fair stand-in for 8 to 14 µm).
    `surface`: a key of `SURFACES`; `surroundings_c`: what the spot mirrors. Raises CannotJudge where the answer is unsure by
    more than 15 K: bare metal. Source: Stefan–Boltzmann law.

    >>> round(infrared(85, "rubber", 25).value)
    85
    """
    if surface not in SURFACES:
        raise CannotJudge(f"surface {surface!r} is not known; allowed: {', '.join(SURFACES)}")
    if not (-30.0 <= shown_c <= 300.0 and -40.0 <= surroundings_c <= 150.0 and 0.1 <= set_emissivity <= 1.0):
        raise CannotJudge("a reading of -30 to 300 °C, surroundings of -40 to 150 °C and a setting of 0.1 to 1 can be used")
    emissivity, spread = SURFACES[surface]
    value = _solve(shown_c, surroundings_c, set_emissivity, emissivity)
    steps = (
        _solve(shown_c, surroundings_c, set_emissivity, max(emissivity - spread, 0.02)) - value,
        _solve(shown_c, surroundings_c + 5.0, set_emissivity, emissivity) - value,
        _solve(shown_c + instrument_sd, surroundings_c, set_emissivity, emissivity) - value,
    )
    sd = sqrt(sum(step * step for step in steps))
    if sd > _WORTHLESS_K or value > 300.0:
        raise CannotJudge(f"on {surface} this reading could be {sd:.0f} K wrong: stick matt tape on the spot, wait a minute, read the tape")
    return Measure(value, sd, "°C", f"emitted plus reflected radiation, {surface} {emissivity:g}", "Stefan–Boltzmann law")


def reading_of(true_c: float, surface: str, surroundings_c: float, *, set_emissivity: float = 0.95) -> float:
    """What the instrument shows (degC) on a `surface` that is truly at `true_c`: the inverse of `infrared`. Raises CannotJudge.

    >>> reading_of(90, "bare aluminium", 25) < 40
    True
    """
    if surface not in SURFACES:
        raise CannotJudge(f"surface {surface!r} is not known; allowed: {', '.join(SURFACES)}")
    return _solve(true_c, surroundings_c, SURFACES[surface][0], set_emissivity)


def _solve(shown_c: float, surroundings_c: float, seen: float, wanted: float) -> float:
    """Temperature at emissivity `wanted` that radiates as `shown_c` does at emissivity `seen`."""
    around = (surroundings_c + _KELVIN) ** 4
    fourth = around + seen / wanted * ((shown_c + _KELVIN) ** 4 - around)
    if fourth <= 0:
        raise CannotJudge("the surroundings are given hotter than this reading allows: check what the spot mirrors")
    return float(fourth**0.25) - _KELVIN
