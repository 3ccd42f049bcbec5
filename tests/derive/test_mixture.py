"""Several readings of one sample, and the margins drawn from them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.density import specific_gravity
from diagnose.derive.freezing import freezing_point
from diagnose.derive.glycol import (
    Glycol,
    concentrate_from_glycol,
    glycol_from_concentrate,
    mass_from_volume,
    mole_fraction,
    volume_from_mass,
)
from diagnose.derive.margin import boiling_margin, freezing_limit, freezing_margin
from diagnose.derive.measure import CannotJudge, Measure, below
from diagnose.derive.mixture import combine, concentration_from_strip
from diagnose.derive.refraction import refractive_index
from diagnose.derive.sample import Sample, mix_of


def m(value: float, sd: float) -> Measure:
    return Measure(value, sd, "glycol volume fraction")


@given(st.lists(st.tuples(st.floats(0.45, 0.47), st.floats(0.01, 0.05)), min_size=1, max_size=5))
def test_a_mean_lies_among_its_readings_and_is_no_wider_than_the_best(readings: list[tuple[float, float]]) -> None:
    found = combine([m(*r) for r in readings])
    assert min(v for v, _ in readings) - 1e-9 <= found.value <= max(v for v, _ in readings) + 1e-9
    assert found.sd <= min(sd for _, sd in readings) * 1.5


def test_readings_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(CannotJudge, match="disagree"):
        combine([m(0.30, 0.01), m(0.50, 0.01)])


def test_no_reading_is_refused() -> None:
    with pytest.raises(CannotJudge):
        combine([])
    with pytest.raises(CannotJudge):
        mix_of(Sample(), "eg")


def test_readings_of_different_kinds_are_a_programming_error() -> None:
    with pytest.raises(ValueError, match="different units"):
        combine([m(0.3, 0.01), Measure(0.3, 0.01, "concentrate fraction")])


@given(st.sampled_from(["eg", "pg"]), st.floats(0.15, 0.45))
def test_all_instruments_agree_on_a_true_sample(glycol: Glycol, volume: float) -> None:
    sample = Sample(
        gravity=specific_gravity(volume, glycol, 35.0) + 0.002,
        gravity_temperature_c=35.0,
        index=refractive_index(volume, glycol, 25.0),
        index_temperature_c=25.0,
        freezing_c=freezing_point(volume, glycol),
        strip=volume / (0.96 if glycol == "eg" else 1.0),
        scale_c=freezing_point(volume, glycol),
        scale=glycol,
    )
    found = mix_of(sample, glycol)
    assert len(found.readings) == 5
    assert not found.refused
    assert found.concentration.value == pytest.approx(volume, abs=max(0.01, 2 * found.concentration.sd))


def test_a_refused_instrument_is_told_and_the_others_are_used() -> None:
    found = mix_of(Sample(float_c=-17.0, strip=0.5), "pg")
    assert [name for name, _ in found.readings] == ["test strip"]
    assert "or colder" in found.refused[0]


def test_ethylene_marks_on_propylene_contradict_as_ethylene() -> None:
    with pytest.raises(CannotJudge, match="disagree"):
        mix_of(Sample(float_c=-14.8, scale_c=-44.7, scale="eg"), "eg")


@given(st.sampled_from(["eg", "pg"]), st.floats(0.0, 0.95))
def test_bases_convert_back(glycol: Glycol, volume: float) -> None:
    assert volume_from_mass(mass_from_volume(volume, glycol), glycol) == pytest.approx(volume, abs=1e-12)
    assert glycol_from_concentrate(concentrate_from_glycol(volume, glycol), glycol) == pytest.approx(volume, abs=1e-12)
    assert mole_fraction(volume, glycol) <= mass_from_volume(volume, glycol) + 1e-12


@pytest.mark.parametrize("share", [-0.1, 1.2, 50.0])
def test_percent_for_a_fraction_is_refused(share: float) -> None:
    with pytest.raises(CannotJudge):
        mass_from_volume(share, "eg")
    with pytest.raises(CannotJudge):
        concentration_from_strip(share, "eg")


def test_freezing_is_judged_against_the_colder_of_two_limits() -> None:
    """Trade notes: coldest place less 5 K, and the maker's minimum."""
    assert freezing_limit(-20.0) == -25.0
    assert freezing_limit(-20.0, -37.0) == -37.0
    assert freezing_limit(-45.0, -37.0) == -50.0
    with pytest.raises(ValueError, match="coldest"):
        freezing_limit()


def test_a_conforming_mix_is_not_a_fault() -> None:
    """ASTM D4985: -36.4 °C conforms. Against a maker's -37 it is a near thing, not a clear failure."""
    margin = freezing_margin(Measure(-36.4, 1.0, "degC"), maker_minimum_c=-37.0)
    assert 0.5 < below(0.0, margin.value, margin.sd) < 0.8


def test_margins_carry_the_readings_spread() -> None:
    wide, narrow = (freezing_margin(Measure(-30.0, sd, "degC"), -20.0).sd for sd in (4.0, 1.0))
    assert wide > narrow
    hot = boiling_margin(Measure(107.0, 1.0, "degC"), 112.0)
    assert hot.value == -5.0
    assert below(0.0, hot.value, hot.sd) > 0.97
