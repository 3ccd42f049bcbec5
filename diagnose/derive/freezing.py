"""Freezing point of glycol and water: where the first crystals form. Slush stops the flow soon below; a solid block comes later."""

from __future__ import annotations

from diagnose.derive.curve import interpolate, inverse, slope
from diagnose.derive.glycol import Glycol, fraction, kind, mass_from_volume, volume_from_mass
from diagnose.derive.measure import CannotJudge, Measure

EG_MASS_PERCENT: tuple[tuple[float, float], ...] = (
    (0, 0.0), (0.5, -0.15), (1, -0.30), (2, -0.61), (3, -0.92), (4, -1.24), (5, -1.58), (6, -1.91), (7, -2.26), (8, -2.62),
    (9, -2.99), (10, -3.37), (12, -4.16), (14, -5.01), (16, -5.91), (18, -6.89), (20, -7.93), (24, -10.28), (28, -13.03),
    (32, -16.23), (36, -19.82), (40, -23.84), (44, -28.32), (48, -33.30), (52, -38.81), (56, -44.83), (60, -51.23),
)  # fmt: skip
"""(mass %, °C) of ethylene glycol. Source: CRC Handbook of Chemistry and Physics, 102nd ed., concentrative properties."""

PG_VOLUME_PERCENT: tuple[tuple[float, float], ...] = (
    (0, 0.0), (4.8, -1.6), (9.6, -3.3), (14.5, -5.1), (19.4, -7.1), (24.4, -9.6), (29.4, -12.7), (32.4, -14.8), (35.5, -17.3),
    (37.5, -19.1), (39.6, -21.1), (41.6, -23.2), (43.7, -25.5), (45.7, -27.9), (47.8, -30.6), (49.9, -33.5), (51.9, -36.6),
    (54.0, -39.8), (56.0, -43.3), (58.0, -47.1), (60.0, -51.1),
)  # fmt: skip
"""(volume %, °C) of propylene glycol. Source: ASHRAE Handbook-Fundamentals, secondary coolants, table 5."""

SOURCES: dict[Glycol, str] = {
    "eg": "CRC Handbook of Chemistry and Physics, 102nd ed., by mass %",
    "pg": "ASHRAE Handbook-Fundamentals, secondary coolants, by volume %",
}
MOST: dict[Glycol, float] = {"eg": volume_from_mass(0.605, "eg"), "pg": 0.60}
"""Highest glycol volume fraction that the tables serve (60 % concentrate). Above about 58 mass % laboratories disagree."""


def freezing_point(glycol_volume_fraction: float, glycol: Glycol) -> float:
    """Freezing point [°C] of a mix, glycol volume fraction 0 to 0.58 (EG) or 0.60 (PG); CannotJudge above.

    >>> round(freezing_point(0.48, "eg"), 1), round(freezing_point(0.50, "pg"), 1)
    (-37.1, -33.7)
    """
    kind(glycol)
    if glycol_volume_fraction > MOST[glycol] + 1e-9:
        raise CannotJudge(
            f"{glycol_volume_fraction:.0%} glycol by volume is above what the tables serve ({MOST[glycol]:.0%}): below -50 °C "
            "laboratories disagree how far, and still more glycol freezes sooner again"
        )
    fraction(glycol_volume_fraction)
    if glycol == "eg":
        return interpolate(100.0 * mass_from_volume(glycol_volume_fraction, "eg"), EG_MASS_PERCENT)
    return interpolate(100.0 * glycol_volume_fraction, PG_VOLUME_PERCENT)


def model_sd(freezing_c: float) -> float:
    """How far published tables lie apart at this freezing point [K]: 0.3 K near 0 °C, 1 K at -37 °C, 2.5 K at -50 °C.

    Source: the spread of CRC, ASHRAE, SAE J814, Melinder and military tables (estimate).

    >>> model_sd(0.0), model_sd(-37.0), model_sd(-52.0)
    (0.3, 1.0, 2.5)
    """
    return min(2.5, interpolate(-freezing_c, [(0.0, 0.3), (37.0, 1.0), (50.0, 2.5)]))


def freezing_measure(concentration: Measure, glycol: Glycol) -> Measure:
    """Freezing point [°C] from a glycol volume fraction with its uncertainty.

    >>> m = freezing_measure(Measure(0.48, 0.01, "glycol volume fraction"), "eg")
    >>> round(m.value, 1), round(m.sd, 1)
    (-37.1, 1.7)
    """
    value = freezing_point(concentration.value, glycol)
    steep = slope(lambda x: freezing_point(x, glycol), concentration.value, 0.0, MOST[glycol])
    sd = ((steep * concentration.sd) ** 2 + model_sd(value) ** 2) ** 0.5
    return Measure(value, sd, "degC", f"freezing point of {kind(glycol).name} and water at this concentration", SOURCES[glycol])


def concentration_from_freezing(freezing_c: float, glycol: Glycol, sd: float = 1.0) -> Measure:
    """Glycol volume fraction from a freezing point [°C] with its standard deviation `sd` [K].

    CannotJudge above 0 °C or below the tables (about -51 °C).

    >>> round(concentration_from_freezing(-37.0, "eg").value, 2)
    0.48
    """
    kind(glycol)
    most = MOST[glycol]
    found = inverse(lambda x: freezing_point(x, glycol), freezing_c, 0.0, most)
    if found is None:
        last = freezing_point(most, glycol)
        raise CannotJudge(f"a freezing point of {freezing_c:.1f} °C is outside 0 to {last:.0f} °C, all that the tables serve")
    steep = abs(slope(lambda x: freezing_point(x, glycol), found, 0.0, most))
    spread = (sd**2 + model_sd(freezing_c) ** 2) ** 0.5 / steep
    return Measure(found, spread, "glycol volume fraction", "concentration that freezes at this temperature", SOURCES[glycol])
