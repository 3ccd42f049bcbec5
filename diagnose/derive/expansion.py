"""What a closed cooling system does when its temperature changes: the liquid swells, the gas above it is squeezed and warmed."""

from __future__ import annotations

from math import exp, log

from diagnose.derive.boiling import DIPPR
from diagnose.derive.glycol import Glycol, kind, mole_fraction
from diagnose.derive.measure import CannotJudge

ATMOSPHERE_BAR = 1.01325
_KELVIN = 273.15
# ln(volume at T / volume at 20 degC) = k · (x, x f, x f², x², x² f, x² f²), x = T - 20 K, f = volume fraction of glycol.
# Fitted to the ASHRAE secondary-coolant density tables, -10 to 120 degC, 10 to 60 vol %: within 0.0002 of every entry.
_SWELL: dict[Glycol, tuple[float, ...]] = {
    "eg": (2.87113e-4, 2.27196e-4, 1.21679e-5, 2.635230e-6, -5.19203e-7, 3.98114e-7),
    "pg": (2.75140e-4, 5.73174e-4, -1.61991e-4, 2.508561e-6, 8.04699e-7, -8.19218e-7),
}


def check_mix(concentration: float, glycol: Glycol) -> None:
    """Refuse a mix outside the model: glycol volume fraction 0 to 0.6 of eg or pg. Raises CannotJudge."""
    kind(glycol)
    if not 0.0 <= concentration <= 0.6:
        raise CannotJudge(f"a mix of {concentration:.0%} glycol is outside 0 to 60 %")


def check_temperature(temp_c: float) -> None:
    """Refuse a coolant temperature outside the model, -10 to 120 degC. Raises CannotJudge."""
    if not -10.0 <= temp_c <= 120.0:
        raise CannotJudge(f"{temp_c:g} °C is outside -10 to 120 °C, where the expansion of coolant is known")


def volume_ratio(from_c: float, to_c: float, *, concentration: float = 0.5, glycol: Glycol = "eg") -> float:
    """Volume of the same coolant at `to_c` over its volume at `from_c` (degC, -10 to 120).

    `concentration` is the glycol volume fraction, 0 to 0.6. Raises CannotJudge outside.
    Source: fit to ASHRAE Handbook-Fundamentals density tables, within 0.0002; plain water within 0.002.

    >>> round(volume_ratio(20, 90), 4)
    1.0412
    """
    check_mix(concentration, glycol)
    check_temperature(from_c)
    check_temperature(to_c)
    return exp(_log_swell(to_c, concentration, glycol) - _log_swell(from_c, concentration, glycol))


def _log_swell(temp_c: float, concentration: float, glycol: Glycol) -> float:
    x, f = temp_c - 20.0, concentration
    a, b, c, d, e, g = _SWELL[glycol]
    return x * (a + b * f + c * f * f) + x * x * (d + e * f + g * f * f)


def vapour_bar(temp_c: float, *, concentration: float = 0.5, glycol: Glycol = "eg") -> float:
    """Pressure of the water vapour above coolant at `temp_c` degC, bar absolute: Raoult's law, glycol's own vapour left out.

    Source: DIPPR-101 water constants (Perry's, 8th ed.). Raises CannotJudge outside -10 to 120 degC, a fraction of 0 to 0.6.

    >>> round(vapour_bar(100, concentration=0), 2)
    1.01
    """
    check_mix(concentration, glycol)
    check_temperature(temp_c)
    kelvin = temp_c + _KELVIN
    c1, c2, c3, c4, c5 = DIPPR["water"]  # not boiling.vapour_pressure: that begins at 50 °C, these constants at the triple point
    pure = exp(c1 + c2 / kelvin + c3 * log(kelvin) + c4 * kelvin**c5) / 1e5
    return float(pure * (1.0 - mole_fraction(concentration, glycol)))


def closed_pressure(
    start_bar: float,
    from_c: float,
    to_c: float,
    coolant_l: float,
    gas_l: float,
    *,
    concentration: float = 0.5,
    glycol: Glycol = "eg",
) -> float:
    """Gauge pressure (bar) of a sealed system taken from `start_bar` gauge at `from_c` to `to_c`: nothing enters, nothing leaves.

    `coolant_l` litres of liquid and `gas_l` litres of gas at the start; walls taken as stiff. Source: expansion of the liquid
    (`volume_ratio`), ideal gas, saturated vapour (`vapour_bar`). Raises CannotJudge when the liquid would fill the gas space.

    >>> round(closed_pressure(0, 20, 40, 6, 1), 2)
    0.17
    """
    if coolant_l <= 0 or gas_l < 0:
        raise CannotJudge("the coolant volume must be above 0 L and the gas volume not below 0 L")
    if start_bar <= -0.9:
        raise CannotJudge("a start pressure below -0.9 bar gauge is not a cooling system")
    left = gas_l - coolant_l * (volume_ratio(from_c, to_c, concentration=concentration, glycol=glycol) - 1.0)
    if left <= max(0.001 * coolant_l, 0.05 * gas_l):  # so little gas that a hose or a litre wrong decides everything
        raise CannotJudge(
            f"brim-full: {gas_l:g} L of gas does not take up the swelling of {coolant_l:g} L of coolant "
            f"from {from_c:g} to {to_c:g} °C; "
            "the pressure rises at once with the first heat, up to the cap's opening pressure"
        )
    dry = max(ATMOSPHERE_BAR + start_bar - vapour_bar(from_c, concentration=concentration, glycol=glycol), 0.01)
    warmed = dry * gas_l / left * (to_c + _KELVIN) / (from_c + _KELVIN)
    return warmed + vapour_bar(to_c, concentration=concentration, glycol=glycol) - ATMOSPHERE_BAR
