"""Refractive index of glycol and water, and what a refractometer's scale amounts to."""

from __future__ import annotations

from diagnose.derive.curve import inverse, slope
from diagnose.derive.freezing import MOST, concentration_from_freezing, freezing_point, model_sd
from diagnose.derive.glycol import Glycol, kind, mass_from_volume, volume_from_mass
from diagnose.derive.instrument import BENCH_REFRACTOMETER, REFRACTOMETER, SETTLED_AT
from diagnose.derive.measure import CannotJudge, Measure

# nD = a + b·w + c·w² + d·w³, w in mass %, at the base temperature [°C]
CUBIC: dict[Glycol, tuple[float, tuple[float, float, float, float]]] = {
    "eg": (20.0, (1.33300318, 9.18332e-4, 2.99485e-6, -2.66012e-8)),
    "pg": (25.0, (1.33228881, 1.09997669e-3, 1.33624709e-6, -2.43006993e-8)),
}
SOURCES: dict[Glycol, str] = {
    "eg": "cubic through the CRC Handbook's refractive indices (102nd ed.), within 6e-5",
    "pg": "cubic through MacBeth & Thompson 1951, within 3e-4",
}
INDEX_SD: dict[Glycol, float] = {"eg": 1e-4, "pg": 3e-4}
COLDEST_C, HOTTEST_C = 0.0, 40.0
COMPENSATED_FROM_C, COMPENSATED_TO_C = 10.0, 30.0
"""Range in which a temperature-compensated hand refractometer corrects itself. Source: common practice, no source."""

ADDITIVES_SD = 4e-4
"""Additives and dye of a vehicle coolant shift the index by an unknown amount of this size. Source: estimate."""


def _drift(mass_percent: float, temperature_c: float) -> float:
    """Index relative to that at 20 °C: -0.9e-4/K in water to -2.6e-4/K at 50 %; bends in water. Source: IAPWS R9-97, Gerke 2023."""
    t = temperature_c - SETTLED_AT
    per_kelvin = -(0.9e-4 + 4.4e-6 * mass_percent - 2.0e-8 * mass_percent**2)
    return per_kelvin * t - 1.6e-6 * (1.0 - mass_percent / 100.0) * t * t


def index_by_mass(mass_fraction: float, glycol: Glycol, temperature_c: float = SETTLED_AT) -> float:
    """Refractive index nD by mass fraction, 0 to 0.61 (EG) or 1 (PG), 0 to 40 °C; CannotJudge outside.

    >>> round(index_by_mass(0.5, "eg"), 4), round(index_by_mass(0.5, "pg", 25.0), 4)
    (1.3831, 1.3876)
    """
    kind(glycol)
    most = 0.61 if glycol == "eg" else 1.0
    if not 0.0 <= mass_fraction <= most:
        raise CannotJudge(f"{mass_fraction:.0%} glycol by mass is outside 0 to {most:.0%}, where the index is known")
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"refractive index at {temperature_c:.0f} °C: the model serves {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C")
    base, (a, b, c, d) = CUBIC[glycol]
    w = 100.0 * mass_fraction
    return a + b * w + c * w**2 + d * w**3 + _drift(w, temperature_c) - _drift(w, base)


def refractive_index(glycol_volume_fraction: float, glycol: Glycol, temperature_c: float = SETTLED_AT) -> float:
    """Refractive index nD by glycol volume fraction at 0 to 40 °C.

    >>> round(refractive_index(0.48, "eg"), 4)
    1.3838
    """
    return index_by_mass(mass_from_volume(glycol_volume_fraction, glycol), glycol, temperature_c)


def concentration_from_index(
    index: float, glycol: Glycol, temperature_c: float = SETTLED_AT, sd: float = BENCH_REFRACTOMETER.sd, temperature_sd: float = 1.0
) -> Measure:
    """Glycol volume fraction from a refractive index read at `temperature_c` [°C] without compensation.

    `sd` is the instrument's (index). CannotJudge for an index below water's or beyond 60 % glycol.

    >>> m = concentration_from_index(1.3838, "eg")
    >>> round(m.value, 2), round(m.sd, 3)
    (0.48, 0.005)
    """
    top = volume_from_mass(0.605 if glycol == "eg" else 0.65, glycol)

    def forward(x: float) -> float:
        return refractive_index(x, glycol, temperature_c)

    found = inverse(forward, index, 0.0, top)
    if found is None and abs(index - forward(0.0)) <= 2 * sd + INDEX_SD[glycol]:
        found = 0.0
    if found is None:
        raise CannotJudge(
            f"an index of {index:.4f} at {temperature_c:.0f} °C is outside {forward(0.0):.4f} (water) "
            f"to {forward(top):.4f} ({top:.0%} {kind(glycol).name} by volume)"
        )
    steep = slope(forward, found, 0.0, top)
    additives = ADDITIVES_SD * min(1.0, found / 0.1)
    by_temperature = 2e-4 * temperature_sd
    spread = (sd**2 + INDEX_SD[glycol] ** 2 + additives**2 + by_temperature**2) ** 0.5 / steep
    words = f"concentration of {kind(glycol).name} with this refractive index at this temperature"
    return Measure(found, spread, "glycol volume fraction", words, SOURCES[glycol])


def index_at_20(index: float, temperature_c: float, sd: float = BENCH_REFRACTOMETER.sd) -> Measure:
    """An index read at `temperature_c` [°C] moved to 20 °C, whichever the glycol: both drift alike. CannotJudge outside 0 to 40 °C.

    >>> round(index_at_20(1.3867, 30.0).value, 4)
    1.3895
    """
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"refractive index at {temperature_c:.0f} °C: the model serves {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C")
    w = max(0.0, min(100.0, (index - CUBIC["eg"][1][0]) / 1.0e-3))  # good enough for the slope
    moved = _drift(w, temperature_c)
    words = "index moved to 20 °C by the drift of glycol and water"
    return Measure(index - moved, (sd**2 + (0.15 * moved) ** 2) ** 0.5, "refractive index", words, "IAPWS R9-97, Gerke 2023")


def scale_mark(glycol_volume_fraction: float, glycol: Glycol, scale: Glycol) -> float:
    """What a refractometer's freezing scale of `scale` says [°C] on a mix of `glycol` at 20 °C. CannotJudge off the scale.

    >>> round(scale_mark(0.49, "pg", "eg")), round(scale_mark(0.48, "eg", "eg"))
    (-44, -37)
    """
    index = refractive_index(glycol_volume_fraction, glycol)
    found = inverse(lambda x: refractive_index(x, scale), index, 0.0, MOST[scale])
    if found is None:
        if index <= refractive_index(0.0, scale):
            return 0.0
        raise CannotJudge(f"an index of {index:.4f} is off the {kind(scale).name} scale")
    return freezing_point(found, scale)


def index_from_scale(
    scale_c: float,
    scale: Glycol,
    temperature_c: float = SETTLED_AT,
    compensated: bool = True,
    sd: float = REFRACTOMETER.sd,
    table_sd: bool = True,
) -> Measure:
    """Refractive index at 20 °C behind a reading on a freezing-point scale.

    `scale_c` is what the scale says [°C], `scale` whose scale it is, `temperature_c` that of prism and drop (they agree after
    half a minute), `compensated` whether the instrument corrects for it, `sd` its accuracy [K]. Outside 10 to 30 °C
    compensation is trusted less. CannotJudge off the scale or outside 0 to 40 °C.

    >>> round(index_from_scale(-37.0, "eg").value, 4)
    1.3838
    """
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise CannotJudge(f"let drop and prism settle between {COLDEST_C:.0f} and {HOTTEST_C:.0f} °C, not {temperature_c:.0f} °C")
    pure = concentration_from_freezing(scale_c, scale, 0.1)
    apparent = refractive_index(pure.value, scale)
    steep_freezing = slope(lambda x: freezing_point(x, scale), pure.value, 0.0, MOST[scale])
    steep_index = slope(lambda x: refractive_index(x, scale), pure.value, 0.0, MOST[scale])
    # makers of scales differ as tables do; read back through the same table (table_sd False) that cancels
    table = model_sd(scale_c) if table_sd else 0.0
    spread = abs(steep_index / steep_freezing) * (sd**2 + table**2) ** 0.5
    w = 100.0 * mass_from_volume(pure.value, scale)
    off = temperature_c - SETTLED_AT
    if compensated:
        beyond = max(0.0, COMPENSATED_FROM_C - temperature_c, temperature_c - COMPENSATED_TO_C)
        value, extra = apparent, 0.15 * abs(_drift(w, temperature_c)) + 2e-4 * beyond
    else:
        value, extra = apparent - _drift(w, temperature_c), 0.15 * abs(_drift(w, temperature_c)) + 1e-5 * abs(off)
    sd_all = (spread**2 + extra**2) ** 0.5
    return Measure(value, sd_all, "refractive index", "index that this mark of the scale stands for", SOURCES[scale])


def concentration_from_scale(
    scale_c: float,
    scale: Glycol,
    glycol: Glycol,
    temperature_c: float = SETTLED_AT,
    compensated: bool = True,
    sd: float = REFRACTOMETER.sd,
) -> Measure:
    """Glycol volume fraction from a refractometer's freezing scale, even where the scale is the other glycol's.

    An ethylene scale on propylene glycol reads too cold by some 12 K at -32 °C (ASTM D3321: 18 °F and more). Knowing the
    glycol, the index behind the reading still gives the concentration.

    >>> round(concentration_from_scale(-37.0, "eg", "eg").value, 2)
    0.48
    >>> round(freezing_point(concentration_from_scale(-44.7, "eg", "pg").value, "pg"))
    -33
    """
    index = index_from_scale(scale_c, scale, temperature_c, compensated, sd, table_sd=scale != glycol)
    found = concentration_from_index(index.value, glycol, SETTLED_AT, index.sd, 0.0)
    words = f"concentration of {kind(glycol).name} behind {scale_c:.0f} °C on the {kind(scale).name} scale"
    return Measure(found.value, found.sd, found.unit, words, found.source)
