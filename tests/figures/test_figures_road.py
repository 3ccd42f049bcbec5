"""Temperatures on the road, hoses, loss, age, gas and codes in a case, each on both sides of its decision."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

Read = Any
WAX = {"thermostat": "wax", "thermostat_opens": "88 degC"}


def running(read: Read, vehicle: dict[str, Any], value: float, **also: Any) -> tuple[float, ...]:
    found = read(vehicle, {"coolant_temperature": f"{value} degC", "engine": "warm", "instrument": "scan_tool", **also})
    return tuple(found["running_temperature"][0].likelihood)  # normal, high, very_high, low


def test_the_eleven_kelvin_below_nominal(read: Read) -> None:
    # Within 20 °F (11.1 K) of nominal: 13 CCR 1968.2 (e)(10.2.1)(A)(ii): 76.9 °C for an 88 °C thermostat.
    assert running(read, WAX, 76.9)[3] == pytest.approx(0.5, abs=0.1)
    assert running(read, WAX, 68.0)[3] > 0.95
    assert running(read, WAX, 88.0)[0] > 0.98


def test_full_open_is_normal_and_far_above_is_not(read: Read) -> None:
    # Fully open 12 K above its stamp: US TM 5-3825-229-14&P para 4-46A.
    assert running(read, WAX, 98.0)[0] > 0.75
    assert running(read, WAX, 120.0)[2] > 0.8


@pytest.mark.parametrize("value", [86.0, 95.0, 105.0, 108.0])
def test_a_map_controlled_thermostat_runs_anywhere_up_to_105(read: Read, value: float) -> None:
    # Common practice, no source: 105 °C and more is normal.
    assert running(read, {"thermostat": "map"}, value)[0] > 0.9


def test_105_on_an_unknown_thermostat_is_left_open(read: Read) -> None:
    normal, high, *_ = running(read, {}, 105.0)
    assert normal > 0.2
    assert high > 0.2


def test_what_it_usually_shows_goes_before_the_stamp(read: Read) -> None:
    assert running(read, {}, 105.0, usual="104 degC")[0] > 0.95


def test_an_engine_that_is_warming_has_no_running_temperature(read: Read) -> None:
    found = read(WAX, {"coolant_temperature": "60 degC", "engine": "warming"})["running_temperature"][0]
    assert "warmed through" in found.cannot


def test_kelvin_over_nominal_stay_kelvin(read: Read) -> None:
    assert read(WAX, {"running_temperature": "12 K", "engine": "warm"})["running_temperature"][0].measure.value == 12.0
    assert read(WAX, {"running_temperature": "98 degC", "engine": "warm"})["running_temperature"][0].measure.value == 10.0


@settings(max_examples=25, deadline=None)
@given(st.floats(60.0, 125.0), st.floats(0.5, 10.0))
def test_hotter_never_looks_cooler(read: Read, value: float, more: float) -> None:
    a, b = running(read, WAX, value), running(read, WAX, value + more)
    assert b[3] <= a[3] + 1e-9
    assert b[2] >= a[2] - 1e-9


def test_opening_within_three_kelvin_is_right(read: Read) -> None:
    # Start within ±3 K: the same TM; plain wax only.
    def bands(value: float, vehicle: dict[str, Any] = WAX) -> Any:
        return read(vehicle, {"thermostat_opened_at": f"{value} degC", "instrument": "log"})["opening_temperature"][0]

    assert bands(86.0).likelihood[0] > 0.8
    assert bands(70.0).likelihood[1] > 0.95
    assert bands(104.0).likelihood[2] > 0.95
    assert "heater" in bands(86.0, {"thermostat": "map"}).cannot
    assert "rotary" in bands(86.0, {"thermostat": "rotary", "thermostat_opens": "88 degC"}).cannot
    assert "stamped" in bands(86.0, {"thermostat": "wax"}).cannot


def hoses(read: Read, vehicle: dict[str, Any], also: dict[str, Any] | None = None, **at: float) -> Any:
    return read(vehicle, {"hose_temperatures": {k: f"{v} degC" for k, v in at.items()}, "engine": "warm", **(also or {})})


def test_a_cold_radiator_counts_only_once_the_thermostat_must_be_open(read: Read) -> None:
    assert hoses(read, WAX, engine=110, upper=105, lower=35)["upper_hot_lower_cold"][0].likelihood[1] > 0.9
    assert hoses(read, WAX, engine=102, upper=95, lower=85)["upper_hot_lower_cold"][0].likelihood[0] > 0.9
    assert "need not be open" in hoses(read, WAX, engine=84, upper=45, lower=30)["upper_hot_lower_cold"][0].cannot
    for kind in ("map", "rotary"):  # both are turned by the control, and may rightly be shut
        assert "map" in hoses(read, {"thermostat": kind}, engine=105, upper=60, lower=30)["upper_hot_lower_cold"][0].cannot


def test_hoses_by_infrared_on_bare_metal_are_refused(read: Read) -> None:
    found = hoses(read, WAX, {"instrument": "infrared", "surface": "bare_metal"}, engine=108, upper=100, lower=35)
    assert "tape" in found["upper_hot_lower_cold"][0].cannot


def test_the_heater_drops_five_to_twenty_kelvin(read: Read) -> None:
    # Common practice, no source.
    assert hoses(read, WAX, engine=92, heater_in=88, heater_out=76)["heater_hoses_one_cold"][0].likelihood[0] > 0.9
    assert hoses(read, WAX, engine=92, heater_in=88, heater_out=35)["heater_hoses_one_cold"][0].likelihood[1] > 0.9
    both_cold = hoses(read, WAX, engine=92, heater_in=35, heater_out=33)["heater_hoses_one_cold"][0].likelihood
    assert both_cold[0] > 0.9


def test_one_hose_is_compared_with_nothing(read: Read) -> None:
    assert "Two hoses" in hoses(read, WAX, engine=92, upper=88)["upper_hot_lower_cold"][0].cannot


def test_a_cold_patch_and_an_even_fall(read: Read) -> None:
    def core(third: float) -> tuple[float, ...]:
        spots = {"a": 88, "b": 86, "c": third, "d": 82, "e": 80, "f": 78}
        return tuple(read({}, {"core_temperatures": spots, "engine": "warm"})["radiator_cold_patches"][0].likelihood)

    assert core(84.0)[0] > 0.9
    assert core(55.0)[1] > 0.9


def test_loss_by_distance_by_date_and_without_either(read: Read) -> None:
    # A sound closed system loses next to nothing: common practice, no source.
    both = {"2026-05-01 at 84000 km": "0.3 L", "2026-06-01 at 85000 km": "0.5 L", "2026-07-01 at 86000 km": "0.5 L"}
    measured = read({}, {"top_ups": both})["loss_rate"][0]
    assert measured.measure.value == pytest.approx(0.5)  # the first fill only sets the mark
    assert measured.likelihood[2] > 0.8
    dated = read({}, {"top_ups": {"2026-05-01": "0.3 L", "2026-06-30": "1.0 L"}})["loss_rate"][0]
    assert dated.measure.value == pytest.approx(0.5)
    assert dated.measure.sd > measured.measure.sd
    assert read({}, {"top_ups": "0.2 L", "over_distance": "12000 km"})["loss_rate"][0].likelihood[0] > 0.7
    assert "distance" in read({}, {"top_ups": "0.2 L"})["loss_rate"][0].cannot
    assert "no beginning" in read({}, {"top_ups": {"2026-05-01": "0.3 L"}})["loss_rate"][0].cannot


def test_the_order_of_a_series_does_not_matter(read: Read) -> None:
    fills = {"84000 km": "0.3 L", "85000 km": "0.5 L", "86000 km": "0.4 L"}
    turned = dict(reversed(list(fills.items())))
    assert read({}, {"top_ups": fills})["loss_rate"][0] == read({}, {"top_ups": turned})["loss_rate"][0]


def test_what_was_lost_before_a_repair_is_left_out(read: Read) -> None:
    fills = {
        "2026-05-01 at 80000 km": "0.3 L",
        "2026-06-01 at 81000 km": "1.5 L",
        "2026-07-01 at 82000 km": "0.1 L",
        "2026-09-01 at 85000 km": "0 L",
    }
    before = read({}, {"top_ups": fills})["loss_rate"][0].measure
    since = read({}, {"top_ups": fills}, done=[{"what": "hose renewed", "on": "2026-06-05"}])["loss_rate"][0]
    assert before.value > 0.3
    assert since.measure.value == pytest.approx(0.0)
    assert "since 2026-06-05" in since.notes[0]


def test_age_by_kind(read: Read) -> None:
    # Two to three years inorganic, five and more organic: common practice, no source.
    def bands(kind: str | None, years: float) -> tuple[float, ...]:
        vehicle = {"coolant_type": kind} if kind else {}
        return tuple(read(vehicle, {"coolant_age": f"{years} years"})["coolant_age"][0].likelihood)

    assert bands("organic", 3.5)[0] > 0.9
    assert bands("inorganic", 3.5)[0] < 0.1
    assert bands("organic", 9.0)[2] > 0.85
    assert bands(None, 1.0)[0] > 0.9


def test_a_date_needs_the_day_of_the_look_and_no_clock(read: Read) -> None:
    assert "no clock" in read({}, {"coolant_filled": "2021-05"})["coolant_age"][0].cannot
    dated = read({}, {"coolant_filled": "2021-05-15", "on": "2026-05-15"})["coolant_age"][0].measure
    assert dated.value == pytest.approx(5.0, abs=0.01)
    assert "after" in read({}, {"coolant_filled": "2027-05-15", "on": "2026-05-15"})["coolant_age"][0].cannot


def test_age_by_odometer(read: Read) -> None:
    found = read({"distance": "120000 km"}, {"coolant_filled": "60000 km"})["coolant_age"][0].measure
    assert found.value == pytest.approx(4.0)
    assert found.sd > 1.0


def gas(read: Read, fuel: str | None, engine: str, **figures: str) -> Any:
    return read({"fuel": fuel} if fuel else {}, {"neck_gas": figures, "engine": engine})["neck_analyser"][0]


def test_exhaust_over_the_neck_and_room_air(read: Read) -> None:
    # Petrol exhaust holds about 15 % CO2 (stoichiometry); limits of 50 ppm and 0.5 % are common practice, no source.
    assert gas(read, "petrol", "loaded", hc="300 ppm", co2="3 %").likelihood[2] > 0.95
    assert gas(read, "petrol", "loaded", hc="10 ppm", co2="0.05 %").likelihood[0] > 0.8
    assert "petrol or diesel" in gas(read, None, "loaded", hc="10 ppm").cannot.lower()


def test_room_air_over_an_idling_diesel_says_next_to_nothing(read: Read) -> None:
    blind = gas(read, "diesel", "opened_running", hc="10 ppm").likelihood
    assert min(blind) > 0.6 * max(blind)


def test_a_rise_with_load_is_a_finding_of_its_own(read: Read) -> None:
    found = read({"fuel": "petrol"}, {"neck_gas": {"co2": "2 %", "idle_co2": "0.4 %"}, "engine": "loaded"})
    assert found["bubbles_more_with_load"][0].likelihood[1] > 0.8


@pytest.mark.parametrize(
    ("code", "finding"),
    [
        ("P0128", "code_thermostat"),
        ("p0125", "code_thermostat"),
        ("P0117", "code_sensor_circuit"),
        ("P2185", "code_sensor_circuit"),
        ("P0480", "code_fan_circuit"),
        ("P0691", "code_fan_circuit"),
        ("P0217", "code_overtemperature"),
        ("P0302", "misfire_code"),
    ],
)
def test_codes_by_their_names(read: Read, code: str, finding: str) -> None:
    # Names: SAE J2012 / ISO 15031-6.
    found = read({}, {"code": code})
    assert list(found) == [finding]
    assert found[finding][0].likelihood == (0.0, 1.0)
    assert any("What it tests" in n for n in found[finding][0].notes)


@pytest.mark.parametrize("code", ["P0298", "P0218"])
def test_oil_and_transmission_codes_are_told_and_judge_nothing(read: Read, code: str) -> None:
    (item,) = read({}, {"code": code})["code_thermostat"]
    assert "Not a coolant code" in item.cannot
    assert item.likelihood == ()


def test_an_unknown_code_is_said_and_not_refused(read: Read) -> None:
    assert "maker's own" in read({}, {"code": "P1234"})["code_thermostat"][0].cannot
    assert "not a trouble code" in read({}, {"code": "hello"})["code_thermostat"][0].cannot


def test_a_list_of_codes_feeds_each_finding_once(read: Read) -> None:
    found = read({}, {"code": ["P0128", "P0125", "P0117"]})
    assert {k: len(v) for k, v in found.items()} == {"code_thermostat": 1, "code_sensor_circuit": 1}


def test_no_codes_is_absent_for_all_four(read: Read) -> None:
    found = read({}, {"code": "none"})
    assert {d.likelihood for v in found.values() for d in v} == {(1.0, 0.0)}
    assert len(found) == 4
