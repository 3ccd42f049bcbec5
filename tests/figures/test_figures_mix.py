"""The coolant mix in a case: against published points, several readings of one sample, which glycol, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.derive.floater import float_mark

Read = Any
EG = {"glycol": "ethylene", "lowest_ambient": "-20 degC", "cap_rating": "15 psi", "thermostat_opens": "88 degC", "altitude": "0 m"}
REFRACTOMETER = {"instrument": "refractometer", "scale": "ethylene", "sample_temperature": "20 degC"}


def test_half_and_half_by_percent_freezes_as_the_standard_says(read: Read) -> None:
    # ASTM D4985 clause 1.1: 50 % ethylene glycol concentrate freezes at -36.4 °C at the warmest; the limit here is -25.
    margin = read(EG, {"glycol_percent": "50 %", "instrument": "laboratory"})["freeze_margin"][0].measure
    assert margin.value == pytest.approx(36.4 - 25.0, abs=1.5)


def test_half_and_half_boils_at_129_under_15_psi(read: Read) -> None:
    # 129 °C (265 °F) for 50 % under 15 psi at sea level: SAE J814 as commonly printed; judged against 88 + 15 °C.
    margin = read(EG, {"glycol_percent": "50 %", "instrument": "laboratory"})["boil_margin"][0].measure
    assert margin.value == pytest.approx(129.0 - 103.0, abs=1.0)


def test_a_conforming_propylene_mix_of_127_7_is_no_fault(read: Read) -> None:
    # 50 % propylene glycol boils at 127.7 °C under 15 psi (computed from the reference tables); common practice: no fault.
    found = read({**EG, "glycol": "propylene"}, {"glycol_percent": "50 %", "instrument": "strip", "scale": "propylene"})
    assert found["boil_margin"][0].likelihood[0] > 0.95


def test_a_float_in_a_hot_mix_is_corrected(read: Read) -> None:
    # A float in 50 % concentrate (48 % glycol) at 60 °C sinks to about -17 (trade fact; computed by the forward model).
    mark = float_mark(0.48, "eg", 60.0)
    assert -20.0 < mark < -15.0
    hot = read(EG, {"freezing_point": f"{mark:.1f} degC", "instrument": "float", "sample_temperature": "60 degC"})["freeze_margin"][0]
    cool = read(EG, {"freezing_point": f"{mark:.1f} degC", "instrument": "float", "sample_temperature": "20 degC"})["freeze_margin"][0]
    assert hot.measure.value == pytest.approx(12.0, abs=4.0)
    assert hot.likelihood[0] > 0.9 > cool.likelihood[0]


def test_two_readings_of_a_sample_make_one_figure_for_both(read: Read) -> None:
    found = read(EG, {"freezing_point": "-30 degC", **REFRACTOMETER}, {"specific_gravity": "1.062", "sample_temperature": "20 degC"})
    first, second = found["freeze_margin"]
    assert first.likelihood == second.likelihood
    assert first.measure == second.measure
    alone = read(EG, {"freezing_point": "-30 degC", **REFRACTOMETER})["freeze_margin"][0].measure
    assert first.measure.sd <= alone.sd + 1e-9


def test_readings_of_different_days_are_different_samples(read: Read) -> None:
    found = read(EG, {"freezing_point": "-12 degC", **REFRACTOMETER, "on": "2026-09-01"}, {"freezing_point": "-38 degC", **REFRACTOMETER})
    assert found["freeze_margin"][0].measure != found["freeze_margin"][1].measure


def test_float_and_refractometer_apart_the_right_way_mean_propylene(read: Read) -> None:
    # ASTM D3321 clause 4.3: on the wrong scale the error may exceed 10 K; the float errs the other way.
    float_ = {"freezing_point": "-15 degC", "instrument": "float", "sample_temperature": "20 degC"}
    found = read(EG, float_, {"freezing_point": "-44 degC", **REFRACTOMETER})
    assert found["glycol_kind_differs"][0].likelihood[1] > 0.9
    assert found["freeze_margin"][0].measure.value == pytest.approx(32.2 - 25.0, abs=2.0)  # ASHRAE: 49 % propylene glycol


def test_float_and_refractometer_that_agree_speak_for_ethylene(read: Read) -> None:
    float_ = {"freezing_point": "-36 degC", "instrument": "float", "sample_temperature": "20 degC"}
    found = read(EG, float_, {"freezing_point": "-37 degC", **REFRACTOMETER})
    assert found["glycol_kind_differs"][0].likelihood[0] > 0.85


def test_two_ethylene_readings_that_clash_the_wrong_way_judge_nothing(read: Read) -> None:
    found = read(EG, {"glycol_percent": "20 %", "instrument": "laboratory"}, {"freezing_point": "-45 degC", **REFRACTOMETER})
    assert all("disagree" in d.cannot for d in found["freeze_margin"])


def test_an_unknown_glycol_on_a_scale_gives_both_figures_and_no_verdict(read: Read) -> None:
    only = read({"lowest_ambient": "-20 degC"}, {"freezing_point": "-30 degC", **REFRACTOMETER})
    (item,) = only["freeze_margin"]
    assert "no verdict" in item.cannot
    assert "ethylene" in item.cannot
    assert "propylene" in item.cannot
    assert item.likelihood == ()


def test_a_bench_freezing_point_needs_no_glycol(read: Read) -> None:
    found = read({"lowest_ambient": "-20 degC"}, {"freezing_point": "-40 degC", "instrument": "laboratory"})["freeze_margin"][0]
    assert found.measure.value == pytest.approx(15.0)
    assert found.likelihood[0] > 0.99


def test_an_unknown_coldest_place_is_said(read: Read) -> None:
    found = read({"glycol": "ethylene"}, {"freezing_point": "-30 degC", **REFRACTOMETER})["freeze_margin"][0]
    assert "how cold the place gets" in found.cannot


def test_an_unknown_cap_leaves_boiling_unsaid_and_freezing_judged(read: Read) -> None:
    found = read({"glycol": "ethylene", "lowest_ambient": "-20 degC"}, {"freezing_point": "-37 degC", **REFRACTOMETER})
    assert "cap" in found["boil_margin"][0].cannot
    assert found["freeze_margin"][0].likelihood


@pytest.mark.parametrize("mark", ["-5 degC", "-10 degC", "-15 degC"])
def test_a_float_for_ethylene_never_condemns_propylene(read: Read, mark: str) -> None:
    vehicle = {"glycol": "propylene", "lowest_ambient": "-10 degC"}
    found = read(vehicle, {"freezing_point": mark, "instrument": "float", "sample_temperature": "20 degC"})["freeze_margin"][0]
    ethylene = read({**vehicle, "glycol": "ethylene"}, {"freezing_point": mark, "instrument": "float", "sample_temperature": "20 degC"})
    if found.likelihood:
        assert found.measure.value > ethylene["freeze_margin"][0].measure.value - 0.5


def test_a_float_reading_that_propylene_cannot_give_is_refused(read: Read) -> None:
    # Propylene glycol and water never exceed specific gravity 1.0456 (Nakanishi 1967): no float reads -35 in it.
    found = read({"glycol": "propylene", "lowest_ambient": "-10 degC"}, {"freezing_point": "-35 degC", "instrument": "float"})
    assert "not possible" in found["freeze_margin"][0].cannot


def test_a_float_near_the_peak_of_propylene_only_bounds(read: Read) -> None:
    found = read({"glycol": "propylene", "lowest_ambient": "-5 degC"}, {"freezing_point": "-18 degC", "instrument": "float"})
    (item,) = found["freeze_margin"]
    assert item.likelihood[0] == pytest.approx(1.0)
    assert "or colder" in " ".join(item.notes)


def test_the_wrong_scale_is_known_and_corrected(read: Read) -> None:
    # ASTM D3321 clause 4.3 again: the ethylene scale reads propylene some 12 K too cold near -32.
    wrong = read({**EG, "glycol": "propylene"}, {"freezing_point": "-44 degC", **REFRACTOMETER})["freeze_margin"][0].measure
    assert 25.0 + wrong.value == pytest.approx(32.0, abs=2.0)


def test_concentrate_by_percent_is_strong_and_half_is_not(read: Read) -> None:
    # Correction targets stop at 60 %: common practice, no source.
    strong = read(EG, {"glycol_percent": "85 %", "instrument": "strip"})["mix_strong"][0].likelihood
    half = read(EG, {"glycol_percent": "50 %", "instrument": "strip"})["mix_strong"][0].likelihood
    assert strong[1] > 0.95
    assert half[0] > 0.95


def test_heavier_than_the_tables_points_to_strong_without_proving_it(read: Read) -> None:
    item = read(EG, {"specific_gravity": "1.11", "sample_temperature": "20 degC"})["mix_strong"][0]
    assert item.likelihood[1] == 1.0 > item.likelihood[0] > 0.3
    assert "one to one" in item.notes[0]


def test_degrees_under_the_findings_name_are_a_freezing_point_and_kelvin_a_margin(read: Read) -> None:
    point = read(EG, {"freeze_margin": "-37 degC", **REFRACTOMETER})["freeze_margin"][0]
    margin = read(EG, {"freeze_margin": "-12 K"})["freeze_margin"][0]
    assert point.measure.value == pytest.approx(12.0, abs=0.5)
    assert margin.measure.value == -12.0


@settings(max_examples=25, deadline=None)
@given(st.floats(-45.0, -6.0), st.floats(0.5, 6.0))
def test_a_colder_reading_never_looks_worse(read: Read, mark: float, colder: float) -> None:
    def short(value: float) -> tuple[float, float]:
        found = read(EG, {"freezing_point": f"{value:.2f} degC", **REFRACTOMETER})["freeze_margin"][0]
        return found.measure.value, found.likelihood[2]

    (warm_margin, warm_short), (cold_margin, cold_short) = short(mark), short(max(mark - colder, -49.0))
    assert cold_margin >= warm_margin
    assert cold_short <= warm_short + 0.02


def test_the_limit_is_a_slope(read: Read) -> None:
    a, b = (read(EG, {"freezing_point": f"{m} degC", **REFRACTOMETER})["freeze_margin"][0].likelihood for m in (-24.5, -25.5))
    assert all(abs(x - y) < 0.25 for x, y in zip(a, b, strict=True))
