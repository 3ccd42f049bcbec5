"""Refractive index and freezing scales against CRC, MacBeth & Thompson, Gerke, IAPWS and ASTM D3321."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.freezing import concentration_from_freezing, freezing_measure, freezing_point
from diagnose.derive.glycol import Glycol, volume_from_mass
from diagnose.derive.measure import CannotJudge
from diagnose.derive.refraction import (
    concentration_from_index,
    concentration_from_scale,
    index_at_20,
    index_by_mass,
    index_from_scale,
    refractive_index,
    scale_mark,
)

Rows = Callable[[str], "list[dict[str, str]]"]


def errors(rows: list[dict[str, str]], glycol: str, source: str, most: float = 100.0) -> list[float]:
    return [
        index_by_mass(float(r["conc_pct"]) / 100, glycol.lower(), float(r["T_C"])) - float(r["nD"])  # type: ignore[arg-type]
        for r in rows
        if r["glycol"] == glycol and source in r["source"] and float(r["conc_pct"]) <= most
    ]


def test_ethylene_index_meets_crc(reference: Rows) -> None:
    """CRC Handbook, 20 °C, 26 rows to 60 mass %: ±2e-4 (measured 6e-5)."""
    found = errors(reference("refractive_index"), "EG", "CRC Handbook")
    assert len(found) == 26
    assert max(map(abs, found)) <= 2e-4


def test_propylene_index_meets_macbeth_and_thompson(reference: Rows) -> None:
    """MacBeth & Thompson 1951, 25 °C, 11 rows: ±4e-4."""
    found = errors(reference("refractive_index"), "PG", "MacBeth")
    assert len(found) == 11
    assert max(map(abs, found)) <= 4e-4


def test_propylene_index_meets_gerke(reference: Rows) -> None:
    """Gerke 2023, 20, 25, 30 °C, 27 rows: ±4e-4 and its own 2e-4; it differs from MacBeth & Thompson by 3e-4 itself."""
    found = errors(reference("refractive_index"), "PG", "Gerke")
    assert len(found) == 27
    assert max(map(abs, found)) <= 6e-4


def test_drift_of_water_with_temperature_follows_iapws(reference: Rows) -> None:
    """IAPWS R9-97, 10 to 40 °C relative to 20 °C (its vacuum index is 3.6e-4 higher throughout): within 1e-4."""
    water = {float(r["T_C"]): float(r["nD"]) for r in reference("refractive_index") if r["glycol"] == "water"}
    for t in (10.0, 15.0, 25.0, 30.0, 40.0):
        assert index_by_mass(0.0, "eg", t) - index_by_mass(0.0, "eg", 20.0) == pytest.approx(water[t] - water[20.0], abs=1e-4)


def test_drift_of_a_half_mix_with_temperature(reference: Rows) -> None:
    """Gerke 2023: -2.6e-4 to -2.7e-4 per K at 50 and 60 mass % propylene glycol."""
    rows = {(r["conc_pct"], r["T_C"]): float(r["nD"]) for r in reference("refractive_index") if "Gerke" in r["source"]}
    for percent in ("50", "60", "70"):
        measured = (rows[percent, "30"] - rows[percent, "20"]) / 10
        model = (index_by_mass(float(percent) / 100, "pg", 30.0) - index_by_mass(float(percent) / 100, "pg", 20.0)) / 10
        assert model == pytest.approx(measured, abs=0.3e-4)


def test_the_ethylene_scale_misreads_propylene(reference: Rows) -> None:
    """eg_scale_misreads_pg.csv, rows on the scale: what an ethylene scale says in propylene glycol, within 1.5 K."""
    used = 0
    for row in reference("eg_scale_misreads_pg"):
        if row["eg_refractometer_freeze_C"]:
            volume = volume_from_mass(float(row["pg_mass_pct"]) / 100, "pg")
            assert scale_mark(volume, "pg", "eg") == pytest.approx(float(row["eg_refractometer_freeze_C"]), abs=1.5)
            used += 1
    assert used == 11


def test_wrong_scale_error_reaches_what_astm_d3321_warns_of() -> None:
    """ASTM D3321 clause 4.3: the wrong scale can exceed 18 °F (10 K). Too cold by that at 50 % propylene glycol."""
    volume = 0.49
    assert scale_mark(volume, "pg", "eg") - freezing_point(volume, "pg") < -10.0
    assert scale_mark(0.48, "eg", "pg") - freezing_point(0.48, "eg") > 8.0  # and too warm the other way round


@pytest.mark.parametrize("percent", [10, 20, 30, 40, 50])
def test_knowing_the_glycol_the_wrong_scale_still_serves(reference: Rows, percent: int) -> None:
    """eg_scale_misreads_pg.csv: from the misread mark back to the true freezing point, within 2.5 K across sources."""
    row = next(r for r in reference("eg_scale_misreads_pg") if r["pg_mass_pct"] == str(percent))
    found = concentration_from_scale(float(row["eg_refractometer_freeze_C"]), "eg", "pg")
    assert freezing_point(found.value, "pg") == pytest.approx(float(row["true_pg_freeze_C"]), abs=2.5)


@given(st.sampled_from(["eg", "pg"]), st.floats(0.02, 0.55), st.floats(0.0, 40.0))
def test_concentration_comes_back_from_the_index(glycol: Glycol, volume: float, t: float) -> None:
    found = concentration_from_index(refractive_index(volume, glycol, t), glycol, t)
    assert found.value == pytest.approx(volume, abs=1e-4)


@given(st.sampled_from(["eg", "pg"]), st.floats(-48.0, -3.0))
def test_own_scale_gives_back_its_mark_and_the_accuracy_of_astm_d3321(glycol: Glycol, mark: float) -> None:
    mix = concentration_from_scale(mark, glycol, glycol)
    freezing = freezing_measure(mix, glycol)
    assert abs(freezing.value - mark) <= 0.1
    assert freezing.sd >= 1.0


@given(st.sampled_from(["eg", "pg"]), st.floats(0.0, 0.56), st.floats(0.0, 38.0))
def test_index_rises_with_glycol_and_falls_with_temperature(glycol: Glycol, volume: float, t: float) -> None:
    here = refractive_index(volume, glycol, t)
    assert refractive_index(volume + 0.01, glycol, t) > here
    assert refractive_index(volume, glycol, t + 2.0) < here


def test_an_uncompensated_instrument_in_the_cold_reads_too_strong_and_is_corrected() -> None:
    """At 5 °C the index of a 50 % mix is 0.0037 higher: uncorrected it would claim several kelvin too much protection."""
    true = -30.0
    cold = refractive_index(concentration_from_freezing(true, "eg").value, "eg", 5.0)
    mark = freezing_point(concentration_from_index(cold, "eg", 20.0).value, "eg")
    assert mark < true - 4.0
    corrected = concentration_from_scale(mark, "eg", "eg", 5.0, compensated=False)
    assert freezing_point(corrected.value, "eg") == pytest.approx(true, abs=1.0)


def test_compensation_is_trusted_less_outside_its_range() -> None:
    assert index_from_scale(-30.0, "eg", 2.0).sd > 1.5 * index_from_scale(-30.0, "eg", 20.0).sd


def test_index_moved_to_20_degrees() -> None:
    for t in (5.0, 30.0, 38.0):
        for glycol in ("eg", "pg"):
            moved = index_at_20(refractive_index(0.4, glycol, t), t)  # type: ignore[arg-type]
            assert moved.value == pytest.approx(refractive_index(0.4, glycol), abs=2 * moved.sd)  # type: ignore[arg-type]


@pytest.mark.parametrize(("index", "t"), [(1.30, 20.0), (1.45, 20.0), (1.38, 60.0), (1.38, -5.0)])
def test_an_impossible_index_is_refused(index: float, t: float) -> None:
    with pytest.raises(CannotJudge):
        concentration_from_index(index, "eg", t)


def test_a_mark_off_the_scale_is_refused() -> None:
    with pytest.raises(CannotJudge):
        index_from_scale(-60.0, "eg")
    with pytest.raises(CannotJudge, match="settle"):
        index_from_scale(-30.0, "eg", 70.0)
    with pytest.raises(CannotJudge, match="off"):
        scale_mark(0.60, "pg", "eg")
