"""Which glycol: opposite errors tell; mixtures and glycerin do not pass for either."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.density import specific_gravity
from diagnose.derive.glycol import Glycol
from diagnose.derive.identity import identify
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.refraction import refractive_index
from diagnose.derive.sample import Sample, identify_sample

Rows = Callable[[str], "list[dict[str, str]]"]


def weight(value: float, sd: float = 0.0015) -> Measure:
    return Measure(value, sd, "specific gravity")


def index(value: float, sd: float = 5e-4) -> Measure:
    return Measure(value, sd, "refractive index")


@given(st.sampled_from(["eg", "pg"]), st.floats(0.33, 0.53))
def test_either_glycol_is_recognised(glycol: Glycol, volume: float) -> None:
    who = identify(weight(specific_gravity(volume, glycol) + 0.002), index(refractive_index(volume, glycol)))
    assert (who.eg if glycol == "eg" else who.pg) > 0.8
    assert who.eg + who.pg + who.unclear == pytest.approx(1.0)


def test_published_opposite_errors_identify_propylene(reference: Rows) -> None:
    """eg_scale_misreads_pg.csv, 40 to 50 mass %: float too warm, refractometer too cold."""
    for row in reference("eg_scale_misreads_pg"):
        if row["pg_mass_pct"] in ("40", "45", "50"):
            marks = Sample(float_c=float(row["eg_hydrometer_freeze_C"]), scale_c=float(row["eg_refractometer_freeze_C"]), scale="eg")
            who = identify_sample(marks)
            assert who.pg > 0.75
            assert who.eg < 0.02


def test_a_half_and_half_mixture_is_unclear_with_good_instruments() -> None:
    """ASTM D3321 clause 4.4: mixed glycols are wrong on either scale. Halfway in weight between the two at one index."""
    n = refractive_index(0.45, "eg")
    who_eg = identify(weight(specific_gravity(0.45, "eg") + 0.002), index(n))
    gap = 0.032  # weight between the two glycols at this index, computed from the same tables
    mixed = identify(weight(specific_gravity(0.45, "eg") + 0.002 - gap / 2), index(n))
    assert who_eg.eg > 0.9
    assert mixed.unclear > 0.8


def test_glycerin_is_unclear() -> None:
    """Glycerol 45 mass %: 20 °C density 1112 kg/m³, index 1.3911 (CRC Handbook, from memory; the direction is what matters)."""
    who = identify(weight(1.112 / 0.9982), index(1.3911))
    assert who.unclear > 0.95
    assert who.excess.value > 0.02


def test_a_poor_float_decides_less() -> None:
    n, sg = refractive_index(0.35, "pg"), specific_gravity(0.35, "pg") + 0.002
    assert identify(weight(sg, 0.012), index(n)).pg < identify(weight(sg, 0.0015), index(n)).pg


def test_thin_mixes_are_refused() -> None:
    with pytest.raises(CannotJudge, match="cannot be told"):
        identify(weight(1.01), index(1.340))


def test_one_instrument_never_tells() -> None:
    with pytest.raises(CannotJudge, match="refractometer"):
        identify_sample(Sample(float_c=-20.0))
    with pytest.raises(CannotJudge, match="float"):
        identify_sample(Sample(scale_c=-20.0))
