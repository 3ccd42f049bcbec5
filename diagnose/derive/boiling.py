"""Boiling point of coolant under its cap at an altitude: Raoult's law over two vapour pressures."""

from __future__ import annotations

from math import exp, log

from diagnose.derive.atmosphere import WEATHER_SD_BAR, air_pressure
from diagnose.derive.curve import inverse, slope
from diagnose.derive.glycol import Glycol, kind, mole_fraction
from diagnose.derive.measure import CannotJudge, Measure

# ln P[Pa] = C1 + C2/T + C3 ln T + C4 T^C5, T in K
DIPPR: dict[str, tuple[float, float, float, float, float]] = {
    "water": (73.649, -7258.2, -7.3037, 4.1653e-6, 2.0),
    "eg": (84.09, -10411.0, -8.1976, 1.6536e-18, 6.0),
    "pg": (212.8, -15420.0, -28.109, 2.1564e-5, 2.0),
}
SOURCE = "Raoult with DIPPR-101 vapour pressures (Perry's Chemical Engineers' Handbook, 8th ed., table 2-8)"
COLDEST_C, HOTTEST_C = 50.0, 200.0
HIGHEST_CAP_BAR = 3.0
MOST = 0.70
"""Highest glycol volume fraction: checked to 60 % (EG) and 70 % (PG) against SAE J814."""

CAP_SD_BAR = 0.05
"""Spread of a sound cap's opening about its mark [bar]. Source: 6.25 to 7.5 psi for a 7 psi mark, US TM 5-3895-359-14&P."""

MODEL_SD_K = 0.5
"""Spread of the model [K]: at most 0.6 K from SAE J814 up to 60 volume %."""


def vapour_pressure(temperature_c: float, liquid: str) -> float:
    """Vapour pressure [bar absolute] of pure "water", "eg" or "pg" at 50 to 200 °C.

    >>> round(vapour_pressure(100.0, "water"), 3)
    1.013
    """
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"{temperature_c:.0f} °C is outside {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C for vapour pressure")
    c1, c2, c3, c4, c5 = DIPPR[liquid]
    t = temperature_c + 273.15
    return exp(c1 + c2 / t + c3 * log(t) + c4 * t**c5) / 1e5


def boiling_at_pressure(glycol_volume_fraction: float, glycol: Glycol, pressure_bar_absolute: float) -> float:
    """Boiling point [°C] at an absolute pressure [bar]; glycol volume fraction 0 to 0.70.

    >>> round(boiling_at_pressure(0.5, "eg", 1.01325), 1)
    107.9
    """
    kind(glycol)
    if not 0.0 <= glycol_volume_fraction <= MOST + 1e-9:
        raise CannotJudge(f"{glycol_volume_fraction:.0%} glycol is outside 0 to {MOST:.0%}, where the boiling model was checked")
    x = mole_fraction(glycol_volume_fraction, glycol)

    def total(t: float) -> float:
        return (1.0 - x) * vapour_pressure(t, "water") + x * vapour_pressure(t, glycol)

    found = inverse(total, pressure_bar_absolute, COLDEST_C, HOTTEST_C)
    if found is None:
        raise CannotJudge(f"{pressure_bar_absolute:.2f} bar absolute is outside the boiling model")
    return found


def boiling_point(glycol_volume_fraction: float, glycol: Glycol, cap_bar: float = 0.0, altitude_m: float = 0.0) -> float:
    """Boiling point [°C] under a cap rated `cap_bar` (gauge; 0 is open) at `altitude_m`.

    CannotJudge outside 0 to 3 bar, -500 to 11,000 m, 0 to 70 % glycol.

    >>> round(boiling_point(0.5, "eg", 15 * 0.0689476), 1), round(boiling_point(0.5, "pg"), 1)
    (129.8, 106.1)
    """
    if not 0.0 <= cap_bar <= HIGHEST_CAP_BAR:
        raise CannotJudge(f"a cap of {cap_bar:.2f} bar is outside 0 to {HIGHEST_CAP_BAR:.0f} bar gauge")
    return boiling_at_pressure(glycol_volume_fraction, glycol, air_pressure(altitude_m) + cap_bar)


def boiling_measure(
    concentration: Measure, glycol: Glycol, cap_bar: float = 0.0, altitude_m: float = 0.0, cap_sd_bar: float | None = None
) -> Measure:
    """Boiling point [°C] with the spread of concentration (glycol volume fraction), cap, weather and model.

    `cap_sd_bar` is the cap's own spread [bar]; by default 0.05, and nothing for an open neck. A cap that does not hold is not a
    spread: call with the pressure that it was seen to hold.

    >>> m = boiling_measure(Measure(0.48, 0.02, "glycol volume fraction"), "eg", 1.034)
    >>> round(m.value, 1), round(m.sd, 1)
    (129.2, 1.1)
    """
    f = concentration.value
    value = boiling_point(f, glycol, cap_bar, altitude_m)
    pressure = air_pressure(altitude_m) + cap_bar
    by_mix = slope(lambda x: boiling_point(x, glycol, cap_bar, altitude_m), f, 0.0, MOST)
    by_pressure = slope(lambda p: boiling_at_pressure(f, glycol, p), pressure, 0.2, 5.0)
    cap_sd = (CAP_SD_BAR if cap_bar > 0 else 0.0) if cap_sd_bar is None else cap_sd_bar
    variance = (by_mix * concentration.sd) ** 2 + by_pressure**2 * (cap_sd**2 + WEATHER_SD_BAR**2) + MODEL_SD_K**2
    words = f"temperature where the vapour pressure of the mix reaches the air's plus {cap_bar:.2f} bar of the cap"
    return Measure(value, variance**0.5, "degC", words, SOURCE)
