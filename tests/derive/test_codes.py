"""Trouble codes against the J2012 names and the thermostat rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.codes import held, lookup, thermostat_threshold, warm_up
from diagnose.derive.measure import CannotJudge


def test_every_listed_code_has_its_published_name(reference):
    """Source: SAE J2012 / ISO 15031-6 names as in a public list (two names from memory, marked so)."""
    rows = reference("obd_dtcs")
    assert {r["code"] for r in rows} == set(held())
    for row in rows:
        code = lookup(row["code"])
        assert code.name == row["name"]
        assert code.tests
        assert code.notes
        assert any("from memory" in n for n in code.notes) == (row["status"] == "from_memory")


def test_oil_and_transmission_codes_are_not_coolant(reference):
    """Source: SAE J2012 names: P0298 engine OIL over temperature, P0218 TRANSMISSION over temperature, P0217 engine."""
    assert (lookup("P0298").coolant, lookup("P0298").part) == (False, "engine oil")
    assert (lookup("P0218").coolant, lookup("P0218").part) == (False, "transmission")
    assert lookup("P0217").coolant
    names = {r["code"]: r["name"] for r in reference("obd_dtcs")}
    for code in held():  # what names oil, transmission, air, misfire or catalyst is not a coolant code
        if any(word in names[code] for word in ("Oil", "Transmission", "Air", "Misfire", "Catalyst", "System too")):
            assert not lookup(code).coolant, code
        if "Coolant" in names[code]:
            assert lookup(code).coolant, code


def test_thermostat_threshold_at_the_published_example(reference):
    """Source: 13 CCR 1968.2 (e)(10.2.1)(A)(ii): within 20 °F of nominal: 88 degC -> 76.9; 82 -> 70.9; 91 -> 79.9; 105 -> 93.9."""
    row = next(r for r in reference("thermostat_sensor") if r["item"].startswith("example P0128"))
    assert thermostat_threshold(88).value == pytest.approx(float(row["value"]), abs=0.05)
    for nominal, limit in ((82, 70.9), (91, 79.9), (105, 93.9)):
        assert thermostat_threshold(nominal).value == pytest.approx(limit, abs=0.05)


def test_the_thermostat_code_says_what_else_sets_it():
    """Low level, fan or sensor also set the code: common practice, no source."""
    also = " ".join(lookup("P0128").also_sets)
    for word in ("level", "sensor", "fan"):
        assert word in also


@given(st.floats(60, 115), st.floats(-40, 150), st.floats(0, 0.5))
def test_a_warmer_warm_up_never_sets_the_code_more(nominal, highest, step):
    """Property: monotonic, and half a kelvin moves the chance by less than 0.1."""
    a, b = (warm_up(min(h, 150), nominal).would_set for h in (highest, highest + step))
    assert b <= a + 1e-12
    assert a - b < 0.1


def test_codes_are_read_as_people_write_them():
    """Case, spaces and hyphens do not matter."""
    assert lookup(" p 01-28 ").code == "P0128"


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("P1128", "maker's own"),
        ("P3000", "maker's own"),
        ("B2100", "maker's own"),
        ("U0100", "not held"),
        ("P0999", "not held"),
        ("overheat", "not a trouble code"),
        ("", "not a"),
    ],
)
def test_what_is_not_held_is_refused_with_a_reason(code, says):
    """A maker's own code, another system's, or no code."""
    with pytest.raises(CannotJudge, match=says):
        lookup(code)


@pytest.mark.parametrize("nominal", [20, 200])
def test_an_impossible_thermostat_is_refused(nominal):
    """Outside 60 to 115 degC."""
    with pytest.raises(CannotJudge):
        thermostat_threshold(nominal)
