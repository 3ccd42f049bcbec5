"""A pressure test read as a leak: the fall, less what cooling explains, as a rate and as a chance that the system holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.expansion import ATMOSPHERE_BAR, closed_pressure
from diagnose.derive.glycol import Glycol
from diagnose.derive.heating import PHYSICS, spread_of
from diagnose.derive.measure import CannotJudge, Measure, bands, below

# Loss per 10 minutes that heat does not explain: below the first a tight system, above the second a leak one can find wet.
_HOLDS = (0.04, 0.02)  # common practice, no source: a good system shows no visible fall on a workshop gauge
_LEAKS = (0.20, 0.08)  # estimate
_MATTERS_BAR = 0.05  # estimate: an unknown gas volume that moves the answer by less is not worth a refusal
_GAS_RANGE_L = (0.3, 1.5)  # estimate: gas space of passenger systems at the mark


@dataclass(frozen=True)
class LeakDown:
    """A pressure test: `fall` seen, `explained` by temperature, `unexplained`, `rate` bar/h, `lost_ml` at test pressure.

    `likelihood` over holds / seeps / leaks sums to 1; `passes`: chance that it holds at the cap's rating (None: unknown).
    """

    fall: Measure
    explained: Measure
    unexplained: Measure
    rate: Measure
    lost_ml: Measure | None
    likelihood: Mapping[str, float]
    passes: float | None
    notes: tuple[str, ...]


def _explained(start: float, c0: float, c1: float, coolant: float, gas: float, concentration: float, glycol: Glycol) -> float:
    return start - closed_pressure(start, c0, c1, coolant, gas, concentration=concentration, glycol=glycol)


def leak_down(
    start_bar: float,
    end_bar: float,
    minutes: float,
    start_c: float,
    end_c: float,
    *,
    coolant_l: float = 6.0,
    gas_l: float | None = None,
    cap_bar: float | None = None,
    gauge_sd: float = 0.02,
    temp_sd: float = 1.0,
    concentration: float = 0.5,
    glycol: Glycol = "eg",
) -> LeakDown:
    """Read a pressure test: gauge `start_bar` to `end_bar` over `minutes`, coolant `start_c` to `end_c` degC, volumes in litres.

    The gas volume includes the tester's hose; unknown (None) it is bounded by 0.3 to 1.5 L, and refused where that matters.
    Source: `expansion.closed_pressure`; limits common practice and estimate. Raises CannotJudge out of range.

    >>> [round(leak_down(1.03, 0.95, 15, 50, 45, gas_l=1).likelihood[k], 1) for k in ("holds", "seeps", "leaks")]
    [0.9, 0.1, 0.0]
    """
    if not (0.1 <= start_bar <= 3.0 and 0.0 <= end_bar <= 3.5 and 1.0 <= minutes <= 1440.0):
        raise CannotJudge("a pressure test is 0.1 to 3 bar over 1 to 1440 minutes")

    def figure(gas: float, first: float, last: float) -> float:
        return _explained(start_bar, first, last, coolant_l, gas, concentration, glycol)

    notes = ["Release the pressure before the tester comes off; never open a hot system."]
    gas, gas_sd = _gas_space(gas_l, figure, start_c, end_c)
    at = {"gas": gas, "first": start_c, "last": end_c}
    one_thermometer = {"gas": gas_sd, "last": temp_sd * sqrt(2.0)}  # the two readings' error as one, on their difference
    explained = Measure(figure(**at), spread_of(figure, at, one_thermometer), "bar", "cooling and shrinkage of the liquid", PHYSICS)
    fall = Measure(start_bar - end_bar, gauge_sd * sqrt(2.0), "bar", "start less end pressure", "reading")
    left = Measure(fall.value - explained.value, sqrt(fall.sd**2 + explained.sd**2), "bar", "fall less what cooling explains", PHYSICS)
    rate = Measure(left.value * 60.0 / minutes, left.sd * 60.0 / minutes, "bar/h", "unexplained fall over time", PHYSICS)
    per_ten = 10.0 / minutes
    shares = bands(left.value * per_ten, left.sd * per_ten, [_HOLDS, _LEAKS])
    if gas_l is None:
        notes.append("Gas volume unknown: bounded by 0.3 to 1.5 L. Lost liquid cannot be said.")
    notes.extend(_test_notes(start_bar, cap_bar, minutes, abs(start_c - end_c), left))
    return LeakDown(
        fall,
        explained,
        left,
        rate,
        _lost(left, gas_l, gas_sd, start_bar),
        dict(zip(("holds", "seeps", "leaks"), shares, strict=True)),
        _passes(shares[0], start_bar, cap_bar, gauge_sd),
        tuple(notes),
    )


def _gas_space(gas_l: float | None, figure: Callable[..., float], start_c: float, end_c: float) -> tuple[float, float]:
    """The gas volume to use and its sd; refuses when it is unknown and moves the answer."""
    if gas_l is not None:
        if gas_l <= 0:
            raise CannotJudge("the gas volume must be above 0 L; a brim-full system holds no pressure: lower the level first")
        return gas_l, 0.2 * gas_l
    low, high = (figure(gas=v, first=start_c, last=end_c) for v in _GAS_RANGE_L)
    if abs(high - low) > _MATTERS_BAR:
        raise CannotJudge(
            f"the temperature moved {abs(end_c - start_c):.1f} K: that alone changes the pressure by "
            f"{min(abs(low), abs(high)):.2f} to "
            f"{max(abs(low), abs(high)):.2f} bar, depending on the gas volume. Say it in litres, or test at a steady temperature"
        )
    return 0.8, 0.3


def _lost(left: Measure, gas_l: float | None, gas_sd: float, start_bar: float) -> Measure | None:
    """Millilitres that left: the gas expands into their place (isothermal)."""
    if gas_l is None:
        return None
    mid = ATMOSPHERE_BAR + start_bar - left.value / 2.0
    ml = 1000.0 * gas_l * left.value / mid
    sd = sqrt((1000.0 * gas_l * left.sd / mid) ** 2 + (ml * gas_sd / gas_l) ** 2)
    return Measure(ml, sd, "mL", "gas volume times unexplained fall over absolute pressure", "Boyle's law")


def _passes(holds: float, start_bar: float, cap_bar: float | None, gauge_sd: float) -> float | None:
    """Chance that it holds at the rating: a test below the rating proves less, down to even chances at half of it."""
    if cap_bar is None:
        return None
    reached = 1.0 - below(0.9 * cap_bar, start_bar, sqrt(gauge_sd**2 + (0.05 * cap_bar) ** 2))
    return holds * (0.5 + 0.5 * reached)


def _test_notes(start_bar: float, cap_bar: float | None, minutes: float, moved_k: float, left: Measure) -> list[str]:
    notes = []
    if cap_bar is None:
        notes.append("Cap rating unknown: pass or fail cannot be said. Read the mark; never test above the vehicle's stated pressure.")
    elif start_bar > cap_bar + 0.1:
        notes.append("Tested above the cap's rating: do not repeat. One military manual allows 3 psi (0.2 bar) more.")
    elif start_bar < 0.9 * cap_bar:
        notes.append("Tested below the cap's rating: a leak that opens only at the rating may be missed.")
    if minutes < 5:
        notes.append("Under 5 minutes only a large leak shows. Leave it on for 15 minutes or more.")
    if moved_k > 3:
        notes.append("The coolant changed temperature during the test: repeat it cold for a firm answer.")
    if left.value < -2 * left.sd and left.value < -0.02:
        notes.append("The pressure rose more than heat explains: check the gauge, the temperatures, or gas entering.")
    notes.append("Tight cold does not prove tight hot: a crack or gasket may open only hot or under combustion.")
    return notes
