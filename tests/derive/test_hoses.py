"""Infrared and contact temperatures."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.derive.hoses import across_radiator, across_thermostat, cold_patches, heater
from diagnose.derive.infrared import SURFACES, infrared, reading_of
from diagnose.derive.measure import CannotJudge


def best(result) -> str:
    return max(result.likelihood, key=result.likelihood.get)


def test_the_same_emissivity_needs_no_correction():
    """Source: Stefan–Boltzmann law; the correction vanishes at the set emissivity, and when all is at one temperature."""
    assert infrared(90, "tape", 25).value == pytest.approx(90)
    assert infrared(25, "cast iron", 25).value == pytest.approx(25)


def test_a_black_body_mirror_hand_calculation():
    """Worked by hand: true 363.15 K at 0.65, surroundings 298.15 K, read at 0.95: shown = (Ts⁴ + 0.65/0.95 (T⁴ - Ts⁴))^(1/4)."""
    shown = (298.15**4 + 0.65 / 0.95 * (363.15**4 - 298.15**4)) ** 0.25 - 273.15
    assert reading_of(90, "cast iron", 25) == pytest.approx(shown)
    assert shown == pytest.approx(73.2, abs=0.1)
    assert infrared(shown, "cast iron", 25).value == pytest.approx(90)


def test_bare_metal_is_refused_and_tape_is_advised():
    """Infrared needs tape on bare metal: common practice, no source."""
    with pytest.raises(CannotJudge, match="tape"):
        infrared(35, "bare aluminium", 25)
    assert infrared(88, "rubber", 25).sd < 5


@given(st.sampled_from(sorted(SURFACES)), st.floats(0, 140), st.floats(-10, 40))
def test_infrared_undoes_its_own_error(surface, true, around):
    """Property: inverse of forward within the instrument's error, or a refusal."""
    try:
        assert infrared(reading_of(true, surface, around), surface, around).value == pytest.approx(true, abs=1e-6)
    except CannotJudge:
        assume(False)


def test_thermostat_states():
    """Start within ±3 K of nominal, fully open 12 K above: US TM 5-3825-229-14&P; the hose side is common practice, no source."""
    assert best(across_thermostat(70, 30, 88)) == "shut as it should"
    assert best(across_thermostat(60, 57, 88)) == "stuck open"
    assert best(across_thermostat(108, 40, 88)) == "stuck shut"
    assert best(across_thermostat(102, 98, 88)) == "open"


def test_a_cold_engine_says_nothing_about_its_thermostat():
    """Cold, both sides are alike."""
    with pytest.raises(CannotJudge, match="warm"):
        across_thermostat(20, 20, 88)


@given(st.floats(50, 115), st.floats(20, 115), st.floats(75, 105))
def test_thermostat_has_no_cliff(engine, hose, nominal):
    """Property: half a kelvin never flips the state, and none is ruled out."""
    a, b = across_thermostat(engine, hose, nominal).likelihood, across_thermostat(engine + 0.5, hose, nominal).likelihood
    assert min(a.values()) > 0
    assert all(abs(a[k] - b[k]) < 0.3 for k in a)


def test_radiator_drop(reference):
    """Drop 5 to 10 K: general references, from memory (thermostat_sensor.csv); beside it only that 0 and 40 K are not usual."""
    row = next(r for r in reference("thermostat_sensor") if r["item"] == "radiator coolant temperature drop")
    low, high = (float(x) for x in row["value"].split("-"))
    assert best(across_radiator(95, 95 - (low + high) / 2, 20)) == "usual"
    assert best(across_radiator(95, 95, 20)) == "little"
    assert best(across_radiator(100, 55, 20)) == "large"
    with pytest.raises(CannotJudge):
        across_radiator(40, 30, 20)


@given(st.floats(60, 110), st.floats(0, 60))
def test_radiator_bands_are_a_whole(inlet, drop):
    """Property: they sum to 1."""
    assert sum(across_radiator(inlet, inlet - drop, 20).likelihood.values()) == pytest.approx(1)


def test_heater_hoses():
    """In hot, out a little cooler: flowing. In hot, out cold: restricted. In cold: no flow. common practice, no source."""
    assert best(heater(88, 78, 90)) == "flowing"
    assert best(heater(85, 40, 90)) == "restricted"
    assert best(heater(35, 30, 90)) == "no flow"
    with pytest.raises(CannotJudge):
        heater(30, 30, 30)


def test_a_cold_patch_stands_out_of_the_even_fall():
    """A sound cross-flow core falls evenly; the tube that is cold in the middle is found, the even fall is not."""
    rows = [f"r{i}" for i in range(9)]
    even = {r: 90.0 - 3 * i for i, r in enumerate(rows)}
    assert max(cold_patches(even, rows=rows).patches.values()) < 0.1
    blocked = {**even, "r4": even["r4"] - 25}
    found = cold_patches(blocked, rows=rows)
    assert [k for k, p in found.patches.items() if p > 0.5] == ["r4"]
    assert found.coldest.value == pytest.approx(25, abs=1)


@pytest.mark.parametrize("spots", [{"a": 80.0}, {str(i): 500.0 for i in range(6)}])
def test_patches_need_spots_and_sense(spots):
    """Too few, or out of range."""
    with pytest.raises(CannotJudge):
        cold_patches(spots)
