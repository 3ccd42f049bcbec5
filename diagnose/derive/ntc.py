"""A coolant temperature sensor (NTC): resistance to temperature and back, by beta or Steinhart–Hart."""

from __future__ import annotations

from math import exp, log

from diagnose.derive.measure import CannotJudge

KELVIN = 273.15


def _check_ohm(ohm: float) -> None:
    if not 1.0 <= ohm <= 1e6:
        raise CannotJudge(f"{ohm:g} ohm is outside 1 ohm to 1 megohm: an open or a shorted sensor has no temperature")


def _check_result(temp_c: float) -> float:
    if not -50.0 <= temp_c <= 180.0:
        raise CannotJudge(f"that resistance would be {temp_c:.0f} °C, outside -50 to 180 °C: wrong curve, or a broken sensor")
    return temp_c


def beta_temperature(ohm: float, ohm_25: float, beta_k: float) -> float:
    """Temperature (degC) of an NTC by the beta formula; `ohm_25` at 25 degC, `beta_k` 2000 to 5000 K. Raises CannotJudge.

    Source: thermistor texts (definition).

    >>> round(beta_temperature(2500, 2500, 3450), 2)
    25.0
    """
    _check_ohm(ohm)
    _check_beta(ohm_25, beta_k)
    return _check_result(1.0 / (1.0 / 298.15 + log(ohm / ohm_25) / beta_k) - KELVIN)


def _check_beta(ohm_25: float, beta_k: float) -> None:
    _check_ohm(ohm_25)
    if not 2000.0 <= beta_k <= 5000.0:
        raise CannotJudge("beta of a coolant sensor is 2000 to 5000 K")


def beta_resistance(temp_c: float, ohm_25: float, beta_k: float) -> float:
    """Resistance (ohm) of an NTC at `temp_c` (-50 to 180 degC): inverse of `beta_temperature`. Raises CannotJudge.

    >>> round(beta_resistance(90, 2500, 3450))
    315
    """
    _check_beta(ohm_25, beta_k)
    _check_result(temp_c)
    return ohm_25 * exp(beta_k * (1.0 / (temp_c + KELVIN) - 1.0 / 298.15))


def fit_beta(ohm_1: float, temp_1: float, ohm_2: float, temp_2: float) -> tuple[float, float]:
    """(`ohm_25`, `beta_k`) from two points of the maker's table, degC and ohm, 10 K or more apart. Raises CannotJudge.

    >>> ohm_25, beta = fit_beta(2350, 48.9, 712.5, 93.3)
    >>> round(beta, -1)
    3170.0
    """
    _check_ohm(ohm_1)
    _check_ohm(ohm_2)
    if abs(temp_1 - temp_2) < 10.0:
        raise CannotJudge("two points 10 K or more apart are needed for a curve")
    k1, k2 = 1.0 / (temp_1 + KELVIN), 1.0 / (temp_2 + KELVIN)
    beta = log(ohm_1 / ohm_2) / (k1 - k2)
    ohm_25 = ohm_1 * exp(beta * (1.0 / 298.15 - k1))
    _check_beta(ohm_25, beta)
    return ohm_25, beta


def steinhart_hart(ohm: float, a: float, b: float, c: float) -> float:
    """Temperature (degC) by 1/T = a + b ln R + c (ln R)³. Raises CannotJudge.

    Source: Steinhart & Hart, Deep-Sea Res. 15 (1968) 497.

    >>> round(steinhart_hart(10000, 1.129148e-3, 2.34125e-4, 8.76741e-8), 2)
    25.0
    """
    _check_ohm(ohm)
    inverse = a + b * log(ohm) + c * log(ohm) ** 3
    if inverse <= 0:
        raise CannotJudge("these coefficients give no temperature for that resistance")
    return _check_result(1.0 / inverse - KELVIN)


def steinhart_hart_resistance(temp_c: float, a: float, b: float, c: float) -> float:
    """Resistance (ohm) at `temp_c` degC, inverse of `steinhart_hart` by bisection over 1 ohm to 1 megohm. Raises CannotJudge.

    >>> round(steinhart_hart_resistance(25.0, 1.129148e-3, 2.34125e-4, 8.76741e-8))
    10000
    """
    _check_result(temp_c)
    want = 1.0 / (temp_c + KELVIN)
    low, high = log(1.0), log(1e6)
    if b <= 0 or c < 0 or not a + b * low + c * low**3 <= want <= a + b * high + c * high**3:
        raise CannotJudge("these coefficients do not reach that temperature between 1 ohm and 1 megohm")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if a + b * middle + c * middle**3 < want else (low, middle)
    return exp(0.5 * (low + high))
