"""Density and specific gravity of glycol and water, and concentration from them."""

from __future__ import annotations

from diagnose.derive.curve import inverse, slope
from diagnose.derive.glycol import Glycol, kind, mass_from_volume, volume_from_mass
from diagnose.derive.instrument import SETTLED_AT
from diagnose.derive.measure import CannotJudge, Measure

SOURCE = "Melinder 2010, Properties of Secondary Working Fluids for Indirect Systems (IIR)"
MOST_MASS = 0.605
COLDEST_C, HOTTEST_C = -35.0, 100.0

# (base mass %, base °C, rows of temperature polynomials by rising power of concentration), kg/m³
MELINDER: dict[Glycol, tuple[float, float, tuple[tuple[float, ...], ...]]] = {
    "eg": (30.8462, 31.728, (
        (1034.0, -0.4781, -0.002692, 4.725e-6),
        (1.311, -0.006876, 4.805e-5, 1.69e-8),
        (7.49e-5, 7.855e-5, -3.995e-7, 4.982e-9),
        (-1.062e-4, 1.229e-6, -1.153e-8),
        (-9.623e-7, -7.211e-8),
        (4.891e-8,),
    )),
    "pg": (30.7031, 32.7083, (
        (1018.0, -0.5406, -0.002666, 1.347e-5),
        (0.7604, -0.00945, 5.541e-5, -1.343e-7),
        (-0.002498, 2.7e-5, -4.018e-7, 3.376e-9),
        (-1.55e-4, 2.829e-6, -7.175e-9),
        (-1.131e-6, -2.221e-8),
        (2.342e-8,),
    )),
}  # fmt: skip

INHIBITOR = 4.0
"""Inhibited heat-transfer fluids are denser than glycol and water alone by about this [kg/m³]. Source: ASHRAE against Melinder."""

COOLANT_INHIBITOR, COOLANT_INHIBITOR_SD = 2.0, 2.0
"""What to allow for a vehicle coolant of unknown make [kg/m³]: between none (military table) and 4 (ASHRAE). Source: estimate."""

ADDITIVE_DRIFT = 0.06
"""Additives change the slope with temperature too: up to this away from 20 °C [kg/m³ per K]. Source: ASHRAE against Melinder."""

WATER_AT: dict[float, float] = {15.6: 999.016, 20.0: 998.207, 25.0: 997.047}
"""Density of water [kg/m³] at the reference temperatures of specific gravity. Source: IAPWS-95."""


def density_by_mass(mass_fraction: float, temperature_c: float, glycol: Glycol) -> float:
    """Density [kg/m³] of uninhibited mix, mass fraction 0 to 0.6, -35 to 100 °C. CannotJudge outside.

    >>> round(density_by_mass(0.5, 20.0, "eg"), 2), round(density_by_mass(0.5, 60.0, "pg"), 2)
    (1064.93, 1010.46)
    """
    kind(glycol)
    if not 0.0 <= mass_fraction <= MOST_MASS:
        raise CannotJudge(f"{mass_fraction:.0%} glycol by mass is outside 0 to {MOST_MASS:.0%}, where the density model holds")
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"{temperature_c:.0f} °C is outside {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C for density")
    base_x, base_t, table = MELINDER[glycol]
    x, t = 100.0 * mass_fraction - base_x, temperature_c - base_t
    return sum(c * x**i * t**j for i, row in enumerate(table) for j, c in enumerate(row))


def density(glycol_volume_fraction: float, temperature_c: float, glycol: Glycol, inhibitor: float = 0.0) -> float:
    """Density [kg/m³] by glycol volume fraction; `inhibitor` [kg/m³] is what the additives add (0 none, 4 heavily inhibited).

    >>> round(density(0.5, 20.0, "eg"), 1)
    1068.3
    """
    return density_by_mass(mass_from_volume(glycol_volume_fraction, glycol), temperature_c, glycol) + inhibitor


def specific_gravity(
    glycol_volume_fraction: float,
    glycol: Glycol,
    temperature_c: float = SETTLED_AT,
    reference_c: float = 20.0,
    inhibitor: float = 0.0,
) -> float:
    """Specific gravity of the mix at `temperature_c` against water at `reference_c` (15.6, 20 or 25 °C).

    >>> round(specific_gravity(0.48, "eg"), 3)
    1.068
    """
    if reference_c not in WATER_AT:
        raise CannotJudge(f"specific gravity is referred to water at {', '.join(map(str, WATER_AT))} °C, not {reference_c}")
    return density(glycol_volume_fraction, temperature_c, glycol, inhibitor) / WATER_AT[reference_c]


def concentration_from_gravity(
    gravity: float, glycol: Glycol, temperature_c: float, sd: float = 0.0015, reference_c: float = 20.0, temperature_sd: float = 2.0
) -> Measure:
    """Glycol volume fraction from a specific gravity read at `temperature_c` [°C], corrected for that temperature.

    `sd` is the instrument's (specific gravity), `temperature_sd` [K] how well the coolant's temperature is known. Vehicle coolant's
    additives are allowed for. CannotJudge outside the model: too light for water, or heavier than 60 % by mass.

    >>> round(concentration_from_gravity(1.067, "eg", 20.0).value, 2)
    0.46
    """
    top = volume_from_mass(MOST_MASS, glycol)

    def forward(x: float) -> float:
        # additives come with the glycol: none in plain water
        return specific_gravity(x, glycol, temperature_c, reference_c, COOLANT_INHIBITOR * min(1.0, x / 0.1))

    found = inverse(forward, gravity, 0.0, top)
    if found is None and forward(0.0) - 2 * sd <= gravity < forward(0.0):
        found = 0.0
    if found is None:
        raise CannotJudge(
            f"a specific gravity of {gravity:.3f} at {temperature_c:.0f} °C is outside {forward(0.0):.3f} (water) "
            f"to {forward(top):.3f} (60 % {kind(glycol).name} by mass)"
        )
    steep = slope(forward, found, 0.0, top)
    per_kelvin = slope(lambda t: specific_gravity(found or 0.0, glycol, t, reference_c), temperature_c, COLDEST_C, HOTTEST_C, 0.5)
    unknown = (COOLANT_INHIBITOR_SD**2 + (ADDITIVE_DRIFT * (temperature_c - SETTLED_AT)) ** 2) ** 0.5
    additives = unknown / 1000.0 * min(1.0, found / 0.1)
    spread = (sd**2 + additives**2 + (per_kelvin * temperature_sd) ** 2) ** 0.5 / abs(steep)
    words = f"concentration of {kind(glycol).name} with this specific gravity at the temperature of the reading"
    return Measure(found, spread, "glycol volume fraction", words, SOURCE)
