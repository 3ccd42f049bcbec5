"""The chemistry of a gas indicator fluid: carbon dioxide makes it acid and turns bromothymol blue from blue to yellow."""

from __future__ import annotations

from math import log10, sqrt

from diagnose.derive.measure import CannotJudge

_PK_INDICATOR = 7.1  # bromothymol blue, standard indicator tables (7.0 to 7.3)
_PK_CARBONIC = 6.35  # first apparent pK of CO2 in water at 25 degC, CRC / Harned & Davis, from memory
_HENRY = 0.0346  # mol/L/atm at 25 degC, Sander temperature dependence
_AIR_PER_FUEL_H = {"petrol": 1.87, "diesel": 1.80}  # hydrogen per carbon of the fuel
_NITROGEN_PER_OXYGEN = 3.773


def exhaust_co2(lambda_: float, fuel: str) -> float:
    """Dry CO2 of complete combustion, vol %, at air ratio `lambda_` 1 to 10; fuel petrol or diesel. Raises CannotJudge.

    Source: stoichiometry, air N2/O2 3.773. A petrol engine runs near 1; a diesel near 1.3 to 2 loaded, 5 to 8 idling.

    >>> round(exhaust_co2(1, "petrol"), 1), round(exhaust_co2(7, "diesel"), 1)
    (15.3, 2.1)
    """
    if fuel not in _AIR_PER_FUEL_H:
        raise CannotJudge(f"fuel {fuel!r} is not known here: say petrol or diesel")
    if not 1.0 <= lambda_ <= 10.0:
        raise CannotJudge("an air ratio of 1 to 10 can be computed")
    oxygen = 1.0 + _AIR_PER_FUEL_H[fuel] / 4.0
    dry = 1.0 + (lambda_ - 1.0) * oxygen + lambda_ * oxygen * _NITROGEN_PER_OXYGEN
    return 100.0 / dry


def indicator_ph(co2_percent: float, bicarbonate_mm: float = 1.0) -> float:
    """pH of a reagent of `bicarbonate_mm` mmol/L (0.05 to 20) in balance with gas of `co2_percent` vol % (0.03 to 100) at 25 degC.

    Source: carbonate equilibrium, good to 0.1 pH. Raises CannotJudge.

    >>> round(indicator_ph(1.0), 2)
    6.81
    """
    if not (0.03 <= co2_percent <= 100.0 and 0.05 <= bicarbonate_mm <= 20.0):
        raise CannotJudge("CO2 of 0.03 to 100 % and bicarbonate of 0.05 to 20 mmol/L can be computed")
    dissolved = _HENRY * co2_percent / 100.0
    return _PK_CARBONIC + log10(bicarbonate_mm / 1000.0 / dissolved)


def blue_share(ph: float) -> float:
    """Share of bromothymol blue in its blue form at `ph`; 1 blue, 0 yellow, green between.

    >>> round(blue_share(7.1), 2)
    0.5
    """
    return float(1.0 / (1.0 + 10.0 ** (_PK_INDICATOR - ph)))


def turning_co2(bicarbonate_mm: float = 1.0, ph: float = 6.8) -> float:
    """CO2 (vol %) at which the fluid is seen to turn: the `ph` where it is plainly green-yellow (estimate 6.8 ± 0.3).

    >>> round(turning_co2(), 1)
    1.0
    """
    if not 0.05 <= bicarbonate_mm <= 20.0:
        raise CannotJudge("bicarbonate of 0.05 to 20 mmol/L can be computed")
    return float(100.0 * bicarbonate_mm / 1000.0 / _HENRY / 10.0 ** (ph - _PK_CARBONIC))


def turning_spread() -> float:
    """Spread of `turning_co2` in natural logarithm: 0.3 pH of eye and 0.1 pH of chemistry.

    >>> round(turning_spread(), 2)
    0.73
    """
    return 2.302585 * sqrt(0.3**2 + 0.1**2)
