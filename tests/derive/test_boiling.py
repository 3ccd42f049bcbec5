"""Boiling points against SAE J814, ASTM, ASHRAE, IAPWS and an independent evaluation of the same law."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.boiling import boiling_at_pressure, boiling_measure, boiling_point, vapour_pressure
from diagnose.derive.glycol import Glycol, glycol_from_concentrate, volume_from_mass
from diagnose.derive.measure import CannotJudge, Measure

Rows = Callable[[str], "list[dict[str, str]]"]
PSI = 0.0689476


def errors(rows: list[dict[str, str]], glycol: Glycol, source: str, most: float) -> list[float]:
    """Model less table [K] at every row of `source` up to `most` percent."""
    out = []
    for row in rows:
        share = float(row["conc_pct"]) / 100
        if source in row["source"] and share * 100 <= most:
            basis = row["basis"]
            volume = volume_from_mass(share, glycol) if basis == "mass_pct" else share
            volume = glycol_from_concentrate(share, glycol) if basis == "vol_pct_concentrate" else volume
            out.append(boiling_at_pressure(volume, glycol, float(row["p_kPa_abs"]) / 100) - float(row["t_boil_C"]))
    return out


def worst(values: list[float], rows: int) -> float:
    assert len(values) == rows
    return max(abs(v) for v in values)


@pytest.mark.parametrize(("glycol", "most", "rows"), [("eg", 60, 3), ("pg", 70, 4)])
def test_open_boiling_meets_sae_j814(reference: Rows, glycol: Glycol, most: float, rows: int) -> None:
    """SAE J814, concentrate: within 1 K to 60 % (EG) and 70 % (PG). 70 % EG is left out: the sources disagree."""
    assert worst(errors(reference(f"boiling_point_{glycol}"), glycol, "SAE J814", most), rows) <= 1.0


def test_half_mix_meets_the_required_108_within_rounding(reference: Rows) -> None:
    """ASTM D4985 clause 1.1: at least 108 °C (226 °F) at 50 % concentrate; the ideal law lies 0.7 K lower, within ±1 K."""
    assert worst(errors(reference("boiling_point_eg"), "eg", "ASTM D4985", 60), 1) <= 1.0


@pytest.mark.parametrize("glycol", ["eg", "pg"])
def test_same_law_evaluated_elsewhere(reference: Rows, glycol: Glycol) -> None:
    """Raoult by another program with Perry's constants (0.02 K), and with IAPWS-95 water (0.15 K): 54 rows each, 0 to 20 psi."""
    rows = reference(f"boiling_point_{glycol}")
    assert worst(errors(rows, glycol, "Raoult with Perry", 70), 54) <= 0.02
    assert worst(errors(rows, glycol, "Raoult (ideal)", 70), 54) <= 0.15


def test_group_contribution_agrees_for_ethylene_and_not_for_propylene(reference: Rows) -> None:
    """UNIFAC agrees within 0.6 K for EG; for PG it is known to be wrong by 2 to 9 K, so it is no reference there."""
    assert worst(errors(reference("boiling_point_eg"), "eg", "thermo 0.6.1 UNIFAC", 70), 54) <= 0.6
    assert worst(errors(reference("boiling_point_pg"), "pg", "thermo 0.6.1 UNIFAC", 70), 54) > 2.0


def test_ashrae_boiling_table(reference: Rows) -> None:
    """ASHRAE table 4 at 100.7 kPa to 60 mass %: ±1 K, its 1 °F rounding (0.28 K), and its own water 0.17 K too high."""
    assert worst(errors(reference("boiling_point_eg"), "eg", "ASHRAE", 60), 45) <= 1.0 + 0.28 + 0.17


def test_label_figure_for_a_15_psi_cap(reference: Rows) -> None:
    """265 °F for 50/50 at 15 psi (from memory, within 1 K); a general article says 262 °F (found; it is low by up to 1.9 K)."""
    rows = reference("boiling_point_eg")
    assert worst(errors(rows, "eg", "common label figure", 60), 1) <= 1.0
    assert worst(errors(rows, "eg", "general article", 60), 1) <= 1.9


def test_altitude_table(reference: Rows) -> None:
    """boiling_altitude.csv: five columns at twelve altitudes, water by IAPWS-97, within 0.15 K."""
    table = reference("boiling_altitude")
    for row in table:
        at = float(row["altitude_m"])
        for column, mix, glycol, cap in (
            ("t_water_C", 0.0, "eg", 0.0),
            ("t_eg50vol_open_C", 0.5, "eg", 0.0),
            ("t_eg50vol_15psi_cap_C", 0.5, "eg", 15 * PSI),
            ("t_pg50vol_open_C", 0.5, "pg", 0.0),
            ("t_pg50vol_15psi_cap_C", 0.5, "pg", 15 * PSI),
        ):
            assert boiling_point(mix, glycol, cap, at) == pytest.approx(float(row[column]), abs=0.15)  # type: ignore[arg-type]
    assert len(table) == 12


def test_slopes_with_altitude() -> None:
    """Reference README: -3.5 K/km open, -1.8 K/km under 15 psi."""
    assert boiling_point(0.5, "eg", 0, 1000) - boiling_point(0.5, "eg", 0, 0) == pytest.approx(-3.5, abs=0.1)
    assert boiling_point(0.5, "eg", 15 * PSI, 1000) - boiling_point(0.5, "eg", 15 * PSI, 0) == pytest.approx(-1.9, abs=0.15)


def test_thirteen_psi_and_propylene_are_not_faults() -> None:
    """Trade notes: EG 50 % at 13 psi 127.5, PG 50 % at 15 psi 127.7 °C."""
    assert boiling_point(0.5, "eg", 13 * PSI) == pytest.approx(127.5, abs=0.2)
    assert boiling_point(0.5, "pg", 15 * PSI) == pytest.approx(127.7, abs=0.2)


@pytest.mark.parametrize("temperature", [60.0, 90.0, 100.0, 120.0, 140.0])
def test_water_vapour_pressure_against_iapws(temperature: float) -> None:
    """IAPWS-IF97 through a general library: within 0.5 %."""
    iapws = pytest.importorskip("iapws")
    expected = iapws.IAPWS97(T=temperature + 273.15, x=0).P * 10
    assert vapour_pressure(temperature, "water") == pytest.approx(expected, rel=5e-3)


@given(st.sampled_from(["eg", "pg"]), st.floats(0.0, 0.68), st.floats(0.0, 1.8), st.floats(0.0, 4000.0))
def test_boiling_rises_with_glycol_and_cap_and_falls_with_altitude(glycol: Glycol, mix: float, cap: float, altitude: float) -> None:
    here = boiling_point(mix, glycol, cap, altitude)
    assert boiling_point(mix + 0.01, glycol, cap, altitude) > here
    assert boiling_point(mix, glycol, cap + 0.05, altitude) > here
    assert boiling_point(mix, glycol, cap, altitude + 50) < here


@given(st.sampled_from(["eg", "pg"]), st.floats(0.0, 0.7), st.floats(0.5, 3.0))
def test_pressure_comes_back(glycol: Glycol, mix: float, pressure: float) -> None:
    from diagnose.derive.glycol import mole_fraction

    t, x = boiling_at_pressure(mix, glycol, pressure), mole_fraction(mix, glycol)
    assert (1 - x) * vapour_pressure(t, "water") + x * vapour_pressure(t, glycol) == pytest.approx(pressure, rel=1e-6)


@pytest.mark.parametrize(("mix", "cap"), [(0.75, 1.0), (-0.1, 1.0), (0.5, -0.1), (0.5, 3.5)])
def test_outside_the_model_is_refused(mix: float, cap: float) -> None:
    with pytest.raises(CannotJudge):
        boiling_point(mix, "eg", cap)


def test_an_open_neck_has_no_cap_spread() -> None:
    mix = Measure(0.48, 0.0, "glycol volume fraction")
    assert boiling_measure(mix, "eg").sd < boiling_measure(mix, "eg", 0.0, 0.0, cap_sd_bar=0.05).sd
    assert boiling_measure(mix, "eg", 1.0).sd > boiling_measure(mix, "eg", 1.0, cap_sd_bar=0.0).sd
