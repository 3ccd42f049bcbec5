"""Voltage in the coolant: weak evidence, told as such. The practices in use disagree; no standard gives a limit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.measure import CannotJudge
from diagnose.derive.voltage import LIMIT_SPREAD_V, LIMIT_V, Reading, judge


def rest(volts: float, **more) -> dict[str, Reading]:
    return {"engine_off": Reading(volts, 0.0, **more)}


def test_the_limit_and_its_spread_cover_the_practices_in_use(reference):
    """Source: coolant_standards.csv, the trade pages' limits 0.15, 0.3, 0.4, 0.5 V."""
    limits = [float(r["value"]) for r in reference("coolant_standards") if r["unit"] == "V" and r["value"].replace(".", "").isdigit()]
    assert sorted(limits) == [0.15, 0.3, 0.4, 0.5]
    assert all(abs(limit - LIMIT_V) <= 2 * LIMIT_SPREAD_V for limit in limits)


def test_039_and_041_say_nearly_the_same():
    """A limit is a slope."""
    low, high = judge(rest(0.39)), judge(rest(0.41))
    assert abs(low.over - high.over) < 0.08
    assert all(abs(low.likelihood[k] - high.likelihood[k]) < 0.06 for k in low.likelihood)


@given(st.floats(0, 3))
def test_a_rest_voltage_alone_is_weak(volts):
    """Property: it never moves spent against sound by more than three, and cannot part spent from galvanic."""
    likelihood = judge(rest(volts)).likelihood
    assert 1 / 3 <= likelihood["spent inhibitor"] / likelihood["sound coolant"] <= 3
    assert 0.8 <= likelihood["spent inhibitor"] / likelihood["galvanic residue"] <= 1.25


def test_046_purely_galvanic_is_not_called_a_ground_fault(reference):
    """Source: coolant_standards.csv trade note: up to 0.46 V with no stray current; 0.02 V with inhibitor."""
    row = next(r for r in reference("coolant_standards") if r["item"].startswith("galvanic difference"))
    assert row["value"] == "up to 0.46 falling to 0.26 on clean water, 0.02 with inhibitor"
    states = {"battery_off": Reading(0.46), "engine_off": Reading(0.46, 0.0), "idle": Reading(0.47, 0.0)}
    result = judge(states, {"headlamps": Reading(0.46, 0.0), "blower": Reading(0.47, 0.0)})
    assert result.likelihood["galvanic residue"] > result.likelihood["ground fault"] * 3
    sound = judge({"engine_off": Reading(0.02, 0.0)})
    assert max(sound.likelihood, key=sound.likelihood.get) == "sound coolant"


def test_a_rise_with_one_load_is_a_ground_fault_in_that_circuit(reference):
    """Source: coolant_standards.csv, radiator trade article: switch loads off one by one to locate stray current above 0.30 V."""
    assert any(r["item"] == "stray current present above" and "switch loads" in r["note"] for r in reference("coolant_standards"))
    result = judge(rest(0.08), {"blower": Reading(0.62, 0.01), "headlamps": Reading(0.1, 0.01)})
    assert max(result.likelihood, key=result.likelihood.get) == "ground fault"
    assert next(iter(result.circuits)) == "blower"
    assert result.circuits["blower"] > 0.9 > 0.4 > result.circuits["headlamps"]


def test_a_rise_of_the_block_is_not_a_rise_of_the_coolant():
    """Block to battery negative is subtracted: what is left of 0.62 V on a block at 0.55 V is nothing much."""
    result = judge(rest(0.08), {"blower": Reading(0.62, 0.55)})
    assert result.circuits["blower"] < 0.2
    assert result.block_rise["blower"] > 0.9
    assert any("ground strap" in n for n in result.notes)


def test_a_rise_is_doubted_where_the_block_was_not_measured():
    """Rising with loads may be the block's potential, not the coolant's: common practice, no source."""
    sure, unsure = (judge(rest(0.08), {"blower": Reading(0.25, block)}).circuits["blower"] for block in (0.0, None))
    assert 0.5 < unsure < sure


def test_sign_ac_and_missing_block_are_said():
    """Noted, not swallowed."""
    notes = " ".join(judge({"engine_off": Reading(-0.3, None, 0.4)}, temp_c=70).notes)
    for word in ("negative", "AC", "Block to battery", "Above 50"):
        assert word in notes


@given(st.floats(-1, 1))
def test_the_sign_changes_the_note_and_not_the_judgement(volts):
    """Property: size counts."""
    assert judge(rest(volts)).likelihood == judge(rest(-volts)).likelihood


@pytest.mark.parametrize(
    "bad",
    [{}, {"cranking": Reading(0.3)}, {"engine_off": Reading(300.0)}, {"engine_off": Reading(0.3, ac=-1)}, {"blower": Reading(0.1)}],
)
def test_readings_that_cannot_be_judged_are_refused(bad):
    """No rest reading, millivolts read as volts, a load among the states."""
    with pytest.raises(CannotJudge):
        judge(bad)
