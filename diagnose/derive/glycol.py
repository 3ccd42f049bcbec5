"""The two glycols of engine coolant, and the ways in which their concentration is stated.

Three bases are in use and must not be confused:

- *mass fraction* of pure glycol: what laboratories tabulate;
- *glycol volume fraction*: pure glycol over the sum of the volumes poured together, at 20 °C (mixing shrinks the sum by
  about 1 %; the usual convention ignores it);
- *concentrate fraction*: the same, counting what is sold as concentrate, which is not pure glycol.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.derive.measure import CannotJudge

Glycol = Literal["eg", "pg"]

WATER_DENSITY = 998.207
"""Water at 20 °C [kg/m³]. Source: IAPWS-95 / CRC Handbook."""

WATER_MOLAR_MASS = 18.015
"""[g/mol]"""


@dataclass(frozen=True)
class Kind:
    """One glycol: `density` at 20 °C [kg/m³], `molar_mass` [g/mol], `concentrate`: pure glycol per volume of concentrate."""

    name: str
    density: float
    molar_mass: float
    concentrate: float


KINDS: dict[Glycol, Kind] = {
    # Densities: CRC Handbook (EG), Nakanishi 1967 moved to 20 °C (PG). The factor 0.96 makes SAE J814 and the CRC table agree
    # (5 % water and inhibitor are allowed in a concentrate); propylene glycol tables agree with 1.0.
    "eg": Kind("ethylene glycol", 1113.5, 62.068, 0.96),
    "pg": Kind("propylene glycol", 1036.1, 76.094, 1.0),
}


def kind(glycol: str) -> Kind:
    """The constants of `glycol`, "eg" or "pg"; CannotJudge for any other word."""
    for key, found in KINDS.items():
        if key == glycol:
            return found
    raise CannotJudge(f'unknown glycol "{glycol}": use eg (ethylene glycol) or pg (propylene glycol)')


def fraction(value: float, what: str = "concentration", most: float = 1.0) -> float:
    """`value` if it lies in 0 to `most` (a fraction, not percent), else CannotJudge."""
    if not 0.0 <= value <= most + 1e-9:
        raise CannotJudge(f"{what} {value:.3g} is outside 0 to {most:.3g} (a fraction: write 0.5 for 50 %)")
    return value


def glycol_from_concentrate(concentrate_fraction: float, glycol: Glycol) -> float:
    """Glycol volume fraction of a mix with this concentrate fraction (0..1). Source: SAE J814 against the CRC table.

    >>> glycol_from_concentrate(0.5, "eg"), glycol_from_concentrate(0.5, "pg")
    (0.48, 0.5)
    """
    return fraction(concentrate_fraction, "concentrate fraction") * kind(glycol).concentrate


def concentrate_from_glycol(glycol_volume_fraction: float, glycol: Glycol) -> float:
    """Concentrate fraction that holds this glycol volume fraction; CannotJudge above pure concentrate.

    >>> concentrate_from_glycol(0.48, "eg")
    0.5
    """
    return fraction(fraction(glycol_volume_fraction) / kind(glycol).concentrate, "concentrate fraction")


def mass_from_volume(glycol_volume_fraction: float, glycol: Glycol) -> float:
    """Mass fraction (0..1) from the glycol volume fraction, volumes before mixing at 20 °C.

    >>> round(mass_from_volume(0.48, "eg"), 4)
    0.5073
    """
    volume = fraction(glycol_volume_fraction)
    heavy = volume * kind(glycol).density
    return heavy / (heavy + (1.0 - volume) * WATER_DENSITY)


def volume_from_mass(mass_fraction: float, glycol: Glycol) -> float:
    """Glycol volume fraction (0..1) from the mass fraction, volumes before mixing at 20 °C.

    >>> round(volume_from_mass(mass_from_volume(0.3, "pg"), "pg"), 9)
    0.3
    """
    mass = fraction(mass_fraction, "mass fraction")
    light = mass / kind(glycol).density
    return light / (light + (1.0 - mass) / WATER_DENSITY)


def mole_fraction(glycol_volume_fraction: float, glycol: Glycol) -> float:
    """Mole fraction of glycol (0..1), for vapour pressure.

    >>> round(mole_fraction(0.5, "eg"), 3)
    0.245
    """
    mass = mass_from_volume(glycol_volume_fraction, glycol)
    moles = mass / kind(glycol).molar_mass
    return moles / (moles + (1.0 - mass) / WATER_MOLAR_MASS)
