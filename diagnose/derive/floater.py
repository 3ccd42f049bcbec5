"""The float tester: a hydrometer marked in freezing points of ethylene glycol, and what it says in propylene glycol."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.derive.curve import inverse, slope
from diagnose.derive.density import (
    COLDEST_C,
    HOTTEST_C,
    MOST_MASS,
    WATER_AT,
    concentration_from_gravity,
    density_by_mass,
    specific_gravity,
)
from diagnose.derive.freezing import MOST, concentration_from_freezing, freezing_point
from diagnose.derive.glycol import Glycol, volume_from_mass
from diagnose.derive.instrument import FLOAT, SETTLED_AT
from diagnose.derive.measure import CannotJudge, Measure

HEAVIEST_PG = 1.0456
"""Propylene glycol and water never get heavier than this (specific gravity 20/20, at 70 to 75 mass %). Source: Nakanishi 1967."""

COLDEST_IN_PG_C = -18.3
"""So a float for ethylene glycol never reads colder than this in propylene glycol [°C]. Source: the same density, CRC table."""

SOURCE = "Melinder 2010 densities read back through the CRC freezing table"


@dataclass(frozen=True)
class Bounds:
    """What is left of a reading that cannot give a figure: freezing between `warmest_c` and `coldest_c` [°C]; None is open."""

    warmest_c: float
    coldest_c: float | None
    because: str


def float_mark(glycol_volume_fraction: float, glycol: Glycol, temperature_c: float = SETTLED_AT, inhibitor: float = 0.0) -> float:
    """What a float for ethylene glycol says [°C] in this mix at `temperature_c`, uncorrected: shows a wrong or a hot fluid.

    CannotJudge where the mix is heavier than the scale.

    >>> round(float_mark(0.49, "pg"))
    -15
    """
    gravity = specific_gravity(glycol_volume_fraction, glycol, temperature_c, 20.0, inhibitor)
    found = inverse(lambda x: specific_gravity(x, "eg"), gravity, 0.0, MOST["eg"])
    if found is None:
        if gravity <= specific_gravity(0.0, "eg"):
            return 0.0
        raise CannotJudge(f"specific gravity {gravity:.3f} is off the scale of a float")
    return freezing_point(found, "eg")


def gravity_from_float(scale_c: float, sd: float = FLOAT.sd) -> Measure:
    """Specific gravity (20/20) that a float for ethylene glycol marks with the freezing point `scale_c` [°C].

    `sd` is the float's accuracy (specific gravity). CannotJudge off the scale.

    >>> round(gravity_from_float(-37.0).value, 3)
    1.068
    """
    mix = concentration_from_freezing(scale_c, "eg", 0.1)
    value = specific_gravity(mix.value, "eg")
    maker = abs(slope(lambda x: specific_gravity(x, "eg"), mix.value, 0.0, 0.57)) * mix.sd  # scales differ as tables do
    return Measure(value, (sd**2 + maker**2) ** 0.5, "specific gravity", "weight that this mark of the float stands for", SOURCE)


def concentration_from_float(
    scale_c: float,
    glycol: Glycol,
    temperature_c: float,
    compensated: bool = False,
    sd: float = FLOAT.sd,
    temperature_sd: float = 3.0,
) -> Measure:
    """Glycol volume fraction from a float that is marked in freezing points of ethylene glycol.

    `scale_c` the mark [°C], `temperature_c` the coolant's temperature at the reading [°C], `compensated` where the tester's
    own thermometer table was already applied. Hot coolant is light: uncorrected, a 50 % mix at 60 °C seems to freeze at about
    -17 °C. In propylene glycol the answer is wide, or refused where the curve is too flat or cannot be reached.

    >>> round(concentration_from_float(-37.0, "eg", 20.0).value, 2)
    0.46
    """
    at = SETTLED_AT if compensated else temperature_c
    gravity = gravity_from_float(scale_c, sd)
    if glycol == "pg":
        return _in_propylene(scale_c, gravity, at, temperature_sd)
    return concentration_from_gravity(gravity.value, "eg", at, gravity.sd, 20.0, 1.0 if compensated else temperature_sd)


def _in_propylene(scale_c: float, gravity: Measure, temperature_c: float, temperature_sd: float) -> Measure:
    heaviest = heaviest_propylene(temperature_c)
    if gravity.value > heaviest + 2 * gravity.sd:
        raise CannotJudge(
            f"a float reading of {scale_c:.0f} °C is not possible in propylene glycol: it is never heavy enough to read below "
            f"about {COLDEST_IN_PG_C:.0f} °C at 20 °C; this is not propylene glycol, or not the right reading"
        )
    found = concentration_from_gravity(gravity.value, "pg", temperature_c, gravity.sd, 20.0, temperature_sd)
    if found.sd > 0.12 or found.value + found.sd > 0.60:
        raise CannotJudge(
            f"a float for ethylene glycol cannot measure this propylene glycol: at {scale_c:.0f} °C on its scale the weight hardly "
            "changes with concentration; use a refractometer on its propylene scale"
        )
    return found


def heaviest_propylene(temperature_c: float) -> float:
    """Highest specific gravity (water at 20 °C) that propylene glycol and water reach at `temperature_c` [°C].

    The peak at 20 °C moved by the slope of a 60 % mix.

    >>> heaviest_propylene(20.0), round(heaviest_propylene(60.0), 3)
    (1.0456, 1.015)
    """
    cooler = density_by_mass(0.6, temperature_c, "pg") - density_by_mass(0.6, 20.0, "pg")
    return HEAVIEST_PG + cooler / WATER_AT[20.0]


def propylene_bounds(scale_c: float, temperature_c: float = SETTLED_AT, sd: float = FLOAT.sd) -> Bounds:
    """What a float for ethylene glycol leaves open in propylene glycol: the freezing point's warmest and coldest end (2 sd).

    CannotJudge where the reading is impossible in propylene glycol.

    >>> b = propylene_bounds(-14.8)
    >>> b.warmest_c > -32.2, b.coldest_c is None
    (True, True)
    """
    gravity = gravity_from_float(scale_c, sd)
    if gravity.value > heaviest_propylene(temperature_c) + 2 * gravity.sd:
        raise CannotJudge(f"{scale_c:.0f} °C on a float for ethylene glycol is not possible in propylene glycol")
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"{temperature_c:.0f} °C is outside {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C")
    ends = [_propylene_freezing(gravity.value + step * gravity.sd, temperature_c) for step in (-2.0, 2.0)]
    because = "propylene glycol is hardly heavier than water and its weight stops rising near 70 %, so the float reads far too warm"
    return Bounds(ends[0] if ends[0] is not None else -50.0, ends[1], because)


def _propylene_freezing(gravity: float, temperature_c: float) -> float | None:
    """Freezing point of the propylene mix with this specific gravity; 0 for water or lighter, None beyond the tables."""
    if gravity <= specific_gravity(0.0, "pg", temperature_c):
        return 0.0
    if gravity >= specific_gravity(volume_from_mass(MOST_MASS, "pg"), "pg", temperature_c):
        return None
    found = concentration_from_gravity(gravity, "pg", temperature_c, 1e-6).value
    return freezing_point(found, "pg") if found <= 0.6 else None
