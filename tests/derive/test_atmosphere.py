"""Air pressure against two independent libraries' 1976 standard atmosphere."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.atmosphere import air_pressure, air_pressure_measure
from diagnose.derive.measure import CannotJudge

Rows = Callable[[str], "list[dict[str, str]]"]


def test_pressure_agrees_with_the_standard_atmosphere_at_every_row(reference: Rows) -> None:
    """boiling_altitude.csv: fluids ATMOSPHERE_1976 and ambiance; within 2 Pa."""
    table = reference("boiling_altitude")
    assert len(table) == 12
    for row in table:
        for column in ("p_fluids_Pa", "p_ambiance_Pa"):
            assert air_pressure(float(row["altitude_m"])) * 1e5 == pytest.approx(float(row[column]), abs=2.0)


@given(st.floats(-500, 10_990))
def test_pressure_falls_with_altitude(altitude: float) -> None:
    assert air_pressure(altitude + 10) < air_pressure(altitude)


@pytest.mark.parametrize("altitude", [-501.0, 11_001.0, float("nan")])
def test_altitude_outside_the_troposphere_is_refused(altitude: float) -> None:
    with pytest.raises(CannotJudge):
        air_pressure(altitude)


def test_the_weather_counts_as_spread() -> None:
    assert air_pressure_measure(1000).sd > 0
