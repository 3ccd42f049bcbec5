"""The float for ethylene glycol: in its own fluid, hot, and in propylene glycol."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.density import INHIBITOR, concentration_from_gravity, specific_gravity
from diagnose.derive.floater import (
    COLDEST_IN_PG_C,
    HEAVIEST_PG,
    concentration_from_float,
    float_mark,
    gravity_from_float,
    propylene_bounds,
)
from diagnose.derive.freezing import freezing_point
from diagnose.derive.glycol import volume_from_mass
from diagnose.derive.measure import CannotJudge

Rows = Callable[[str], "list[dict[str, str]]"]


def test_a_float_in_propylene_reads_what_the_table_says(reference: Rows) -> None:
    """eg_scale_misreads_pg.csv to 60 mass %: the float's mark within 1.5 K, its weight within 0.003."""
    used = 0
    for row in reference("eg_scale_misreads_pg"):
        if float(row["pg_mass_pct"]) <= 60:
            volume = volume_from_mass(float(row["pg_mass_pct"]) / 100, "pg")
            expected = float(row["eg_hydrometer_freeze_C"])
            assert float_mark(volume, "pg") == pytest.approx(expected, abs=1.5)
            assert gravity_from_float(expected).value == pytest.approx(float(row["sg_20_20"]), abs=0.003)
            used += 1
    assert used == 13


def test_half_propylene_reads_far_too_warm() -> None:
    """Reference README: says -14.8 °C where the truth is -32.2."""
    volume = volume_from_mass(0.5, "pg")
    assert float_mark(volume, "pg") == pytest.approx(-14.8, abs=1.0)
    assert freezing_point(volume, "pg") == pytest.approx(-32.2, abs=1.0)


def test_never_colder_than_about_minus_18(reference: Rows) -> None:
    """eg_scale_misreads_pg.csv: the coldest mark over all strengths is -18.3 °C at a weight of 1.0456."""
    rows = reference("eg_scale_misreads_pg")
    assert min(float(r["eg_hydrometer_freeze_C"]) for r in rows) == COLDEST_IN_PG_C
    assert max(float(r["sg_20_20"]) for r in rows) == HEAVIEST_PG
    assert gravity_from_float(COLDEST_IN_PG_C).value == pytest.approx(HEAVIEST_PG, abs=0.001)


@pytest.mark.parametrize("mark", [-28.0, -37.0])
def test_a_cold_mark_cannot_be_propylene(mark: float) -> None:
    with pytest.raises(CannotJudge, match="not possible"):
        concentration_from_float(mark, "pg", 20.0)
    with pytest.raises(CannotJudge, match="not possible"):
        propylene_bounds(mark)


@pytest.mark.parametrize("mark", [-17.0, -18.0])
def test_near_the_flat_end_the_float_is_refused_in_propylene(mark: float) -> None:
    with pytest.raises(CannotJudge, match="refractometer"):
        concentration_from_float(mark, "pg", 20.0)


@given(st.floats(0.05, 0.40))
def test_bounds_hold_the_truth_in_propylene(volume: float) -> None:
    bounds = propylene_bounds(float_mark(volume, "pg", inhibitor=2.0))
    truth = freezing_point(volume, "pg")
    assert truth <= bounds.warmest_c + 1e-6
    assert bounds.coldest_c is None or bounds.coldest_c <= truth + 1e-6


def test_a_hot_float_reads_too_warm_and_is_corrected(reference: Rows) -> None:
    """Reference README: EG 50 vol % at 60 °C says -19.5 °C uncorrected (ASHRAE, inhibited); within 2.5 K across sources.

    Corrected for temperature, the truth (ASHRAE -37.1) lies within twice the stated spread.
    """
    row = next(
        r for r in reference("density") if (r["glycol"], r["conc_pct"], r["T_C"]) == ("EG", "50.0", "60.0") and "ASHRAE" in r["source"]
    )
    heavier = (float(row["rho_kg_m3"]) - INHIBITOR) / 998.207  # the float is marked in the same inhibited fluid
    uncorrected = freezing_point(concentration_from_gravity(heavier, "eg", 20.0).value, "eg")
    assert uncorrected == pytest.approx(-19.5, abs=2.5)
    mark = float_mark(0.48, "eg", 60.0)
    assert mark > -37.0 + 15.0
    assert freezing_point(concentration_from_float(mark, "eg", 60.0).value, "eg") == pytest.approx(-37.0, abs=3.0)


@given(st.floats(0.05, 0.53), st.floats(0.0, 60.0))
def test_concentration_comes_back_within_the_floats_accuracy(volume: float, t: float) -> None:
    gravity = specific_gravity(volume, "eg", t)
    if specific_gravity(0.0, "eg") < gravity < specific_gravity(0.578, "eg"):  # hot and thin, or cold and strong: off the scale
        mark = float_mark(volume, "eg", t)
        found = concentration_from_float(mark, "eg", t)
        assert abs(found.value - volume) <= 2 * found.sd


def test_a_corrected_tester_is_not_corrected_again() -> None:
    once = concentration_from_float(-30.0, "eg", 60.0, compensated=True)
    assert once.value == pytest.approx(concentration_from_float(-30.0, "eg", 20.0).value)


@pytest.mark.parametrize("mark", [5.0, -70.0])
def test_a_mark_off_the_scale_is_refused(mark: float) -> None:
    with pytest.raises(CannotJudge):
        concentration_from_float(mark, "eg", 20.0)
