"""Expansion and vapour against published density and boiling tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.expansion import closed_pressure, vapour_bar, volume_ratio
from diagnose.derive.measure import CannotJudge


@pytest.mark.parametrize(("glycol", "name"), [("EG", "eg"), ("PG", "pg")])
def test_volume_ratio_is_the_inverse_density_ratio_of_the_ashrae_tables(reference, glycol, name):
    """Source: ASHRAE Handbook-Fundamentals density tables (density.csv), 10 to 60 vol %, -10 to 120 degC."""
    table = {
        (float(r["conc_pct"]), float(r["T_C"])): float(r["rho_kg_m3"])
        for r in reference("density")
        if r["glycol"] == glycol and r["basis"] == "vol_pct" and "ASHRAE" in r["source"]
    }
    checked = 0
    for (percent, temp), rho in table.items():
        if percent <= 60 and -10 <= temp <= 120 and (percent, 20.0) in table:
            truth = table[(percent, 20.0)] / rho
            assert volume_ratio(20.0, temp, concentration=percent / 100, glycol=name) == pytest.approx(truth, abs=2.5e-4)
            checked += 1
    assert checked > 60


def test_water_vapour_reaches_one_atmosphere_at_100_degrees():
    """Source: definition of the normal boiling point, 1.01325 bar at 99.97 to 100 degC."""
    assert vapour_bar(100.0, concentration=0) == pytest.approx(1.01325, rel=0.002)


def test_vapour_over_a_50_percent_mix_is_one_atmosphere_near_its_open_boiling_point(reference):
    """Source: boiling_point_eg.csv through pressure_cap_and_leak_test.csv, EG50 open 107.8 degC, computed by Raoult."""
    row = next(r for r in reference("pressure_cap_and_leak_test") if r["item"].startswith("EG50 boil"))
    open_c, capped_c = (float(x) for x in row["value"].split("/"))
    assert vapour_bar(open_c) == pytest.approx(1.01325, rel=0.04)
    with pytest.raises(CannotJudge):
        vapour_bar(capped_c)  # beyond the expansion's range: refused, not guessed


@given(st.floats(-10, 119), st.floats(0.1, 1), st.floats(0, 60), st.sampled_from(["eg", "pg"]))
def test_pressure_never_falls_when_the_system_is_warmed(temp, step, percent, glycol):
    """Property: a closed system's pressure is monotonic in temperature (above 5 degC, where the liquid swells)."""
    temp = max(temp, 6.0)
    warm = min(temp + step, 120.0)
    assert closed_pressure(0, temp, warm, 6, 2, concentration=percent / 100, glycol=glycol) >= 0


@given(st.floats(20, 90), st.floats(20, 90), st.floats(0.6, 3))
def test_there_and_back_gives_the_start_pressure(start, end, gas):
    """Property: heating and cooling back undo each other, gas volume taken as it is at each end."""
    try:
        up = closed_pressure(0.1, start, end, 6, gas)
        gas_there = gas - 6 * (volume_ratio(start, end) - 1)
        back = closed_pressure(up, end, start, 6 * volume_ratio(start, end), gas_there)
    except CannotJudge:
        return
    assert back == pytest.approx(0.1, abs=1e-9)


@pytest.mark.parametrize("bad", [{"concentration": 0.7}, {"concentration": -0.01}, {"concentration": 50}, {"glycol": "oil"}])
def test_a_mix_outside_the_model_is_refused(bad):
    """No answer outside 0 to 60 vol % of the two glycols."""
    with pytest.raises(CannotJudge):
        volume_ratio(20, 40, **bad)


@pytest.mark.parametrize("temp", [-11, 121])
def test_a_temperature_outside_the_model_is_refused(temp):
    """No answer outside -10 to 120 degC."""
    with pytest.raises(CannotJudge, match="outside"):
        volume_ratio(20, temp)
