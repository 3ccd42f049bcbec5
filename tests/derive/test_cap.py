"""A cap's own test against the published window and holding time."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.cap import cap_test, window
from diagnose.derive.measure import CannotJudge

PSI = 0.06894757


def test_the_window_is_the_published_one(reference):
    """Source: US TM 5-3895-359-14&P, 7 psi cap opens at 6.25 to 7.5 psi."""
    row = next(r for r in reference("pressure_cap_and_leak_test") if r["item"] == "7 psi cap opening window")
    assert [x / PSI for x in window(7 * PSI)] == pytest.approx([float(x) for x in row["value"].split("-")])


def test_edges_of_the_window_are_even_chances_and_the_middle_is_sound():
    """A limit is a slope: at the edge, even; well inside, sound; well outside, not."""
    low, _ = window(1.1)
    assert cap_test(1.1, low).likelihood["opens low"] == pytest.approx(0.5, abs=0.02)
    assert cap_test(1.1, 1.09).likelihood["in its window"] > 0.85
    assert cap_test(1.1, 1.6).likelihood["opens high"] > 0.99


def test_a_minute_of_holding(reference):
    """Source: US Navy derived training text, holds rated pressure 60 s or longer."""
    assert ">= 60" in next(r for r in reference("pressure_cap_and_leak_test") if r["item"] == "cap test")["value"]
    long, short = cap_test(1.1, 1.1, held_s=120, still_held=True), cap_test(1.1, 1.1, held_s=10)
    assert long.holds is not None
    assert short.holds is not None
    assert long.holds > 0.95
    assert short.holds < 0.01
    stopped_early = cap_test(1.1, 1.1, held_s=5, still_held=True).holds
    assert stopped_early == pytest.approx(0.5, abs=0.02)  # nothing known: even


def test_vacuum_valve(reference):
    """Source: US TM 5-3895-359-14&P, vacuum valve opens at 0.625 psi."""
    psi = float(next(r for r in reference("pressure_cap_and_leak_test") if r["item"] == "vacuum valve opens at")["value"])
    good = cap_test(1.1, 1.1, vacuum_bar=psi * PSI).vacuum
    stuck = cap_test(1.1, 1.1, vacuum_bar=0.3, vacuum_never=True).vacuum
    assert good is not None
    assert stuck is not None
    assert good > 0.9
    assert stuck < 0.01


@given(st.floats(0.2, 2.5), st.floats(0, 4))
def test_bands_sum_to_one(mark, opened):
    """Property: the three bands are a whole; a lower opening never makes "opens low" less likely."""
    result = cap_test(mark, opened).likelihood
    assert sum(result.values()) == pytest.approx(1)
    if opened > 0.1:
        assert cap_test(mark, opened - 0.1).likelihood["opens low"] >= result["opens low"] - 1e-12


@pytest.mark.parametrize("bad", [(7.0, 7.0), (1.1, -0.1)])
def test_a_wrong_unit_is_refused(bad):
    """A cap "7 bar" is psi read as bar."""
    with pytest.raises(CannotJudge):
        cap_test(*bad)


def test_a_vacuum_valve_that_was_hardly_tried_is_not_judged():
    """Not open at 0.02 bar of suction proves nothing: even chances."""
    assert cap_test(1.1, 1.1, vacuum_bar=0.02, vacuum_never=True).vacuum == pytest.approx(0.5, abs=0.05)
