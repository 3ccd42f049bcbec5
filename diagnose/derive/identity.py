"""Which glycol is it: two instruments that disagree in the right direction tell."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi, sqrt

from diagnose.derive.curve import inverse, slope
from diagnose.derive.density import COOLANT_INHIBITOR, COOLANT_INHIBITOR_SD, specific_gravity
from diagnose.derive.glycol import Glycol, volume_from_mass
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.refraction import refractive_index

SOURCE = "densities of Melinder 2010 against refractive indices of CRC and of MacBeth & Thompson"
LEAST_MASS = 0.15
"""Below this both glycols are mostly water and no pair of instruments tells them apart. Source: estimate."""

MASS_STEP = 0.605


@dataclass(frozen=True)
class Identity:
    """Likelihoods of ethylene glycol, propylene glycol and `unclear` (a mixture of both, glycerin, something else); sum 1.

    `excess` is measured minus expected specific gravity of ethylene glycol at this refractive index: near 0 for ethylene glycol,
    -0.02 to -0.04 for propylene glycol, between the two for a mixture, above 0 for glycerin.
    """

    eg: float
    pg: float
    unclear: float
    excess: Measure


def _expected(index: float, index_sd: float, glycol: Glycol) -> tuple[float, float]:
    """Specific gravity at 20 °C (and its sd) of the mix of `glycol` that has this refractive index at 20 °C."""
    top = volume_from_mass(MASS_STEP, glycol)
    found = inverse(lambda x: refractive_index(x, glycol), index, volume_from_mass(LEAST_MASS, glycol), top)
    if found is None:
        raise CannotJudge(
            f"a refractive index of {index:.4f} lies outside 15 to 60 % of this glycol by mass: the glycol cannot be told from it"
        )
    by_index = slope(lambda x: specific_gravity(x, glycol), found, 0.0, top) / slope(lambda x: refractive_index(x, glycol), found, 0.0, top)
    return specific_gravity(found, glycol) + COOLANT_INHIBITOR / 1000.0, abs(by_index) * index_sd


def _bell(x: float, sd: float) -> float:
    return exp(-0.5 * (x / sd) ** 2) / (sd * sqrt(2.0 * pi))


def identify(gravity: Measure, index: Measure) -> Identity:
    """Likelihoods of the glycol from specific gravity (20 °C) and refractive index (20 °C) of the same coolant.

    `unclear` spreads its likelihood evenly from glycerin's side (twice the gap above ethylene glycol) to as far below propylene
    glycol: a mixture halfway, or a weight that fits neither, ends there. CannotJudge for thin mixes, where nothing separates them.

    >>> who = identify(Measure(1.067, 0.004, "specific gravity"), Measure(1.3837, 0.001, "refractive index"))
    >>> who.eg > 0.8 > who.unclear
    True
    """
    eg, eg_sd = _expected(index.value, index.sd, "eg")
    pg, pg_sd = _expected(index.value, index.sd, "pg")
    common = sqrt(gravity.sd**2 + (COOLANT_INHIBITOR_SD / 1000.0) ** 2)
    spread_eg, spread_pg = sqrt(common**2 + eg_sd**2), sqrt(common**2 + pg_sd**2)
    gap = eg - pg
    inside = pg - 2.0 * gap <= gravity.value <= eg + 2.0 * gap
    raw = _bell(gravity.value - eg, spread_eg), _bell(gravity.value - pg, spread_pg), 1.0 / (5.0 * gap) if inside else 0.0
    total = sum(raw)
    excess = Measure(gravity.value - eg, spread_eg, "specific gravity", "measured less expected weight of ethylene glycol", SOURCE)
    if total < 1e-9:  # far from everything known
        return Identity(0.0, 0.0, 1.0, excess)
    return Identity(raw[0] / total, raw[1] / total, raw[2] / total, excess)
