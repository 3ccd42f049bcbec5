"""Electrical faults against physics, events, and drawing."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from trace_scenarios import make
from typer.testing import CliRunner
from vehicle_model import shaft_power

from diagnose.cli.trace import app
from diagnose.derive.measure import CannotJudge
from diagnose.derive.trace import plot
from diagnose.derive.trace.sensor import electrical
from diagnose.derive.trace.trip import Trip
from diagnose.derive.trace.verdict import judge


def figure(trip: Trip, name: str) -> float:
    return next(f.measure.value for f in electrical(trip).figures if f.name == name)


@pytest.mark.parametrize("lag", [3.0, 5.0, 8.0])
@pytest.mark.parametrize("step", [1.0, 2.0, 3.0])
def test_a_sensor_that_lags_into_gas_does_not_jump(lag: float, step: float) -> None:
    """A first-order lag of 3 s and more, into gas 32 K colder and back: what physics allows is not electrical."""
    t = np.arange(0.0, 300.0, step)
    target = np.where((t > 100) & (t < 140), 58.0, 90.0)
    y = np.full(len(t), 90.0)
    for i in range(1, len(t)):
        y[i] = target[i] + (y[i - 1] - target[i]) * np.exp(-step / lag)
    assert figure(Trip.of(t, y), "jumps") == 0


@pytest.mark.parametrize("size", [-40.0, -15.0, 20.0])
def test_a_contact_jumps(size: float) -> None:
    t = np.arange(0.0, 300.0)
    y = np.full(len(t), 90.0)
    y[100:103] += size
    assert figure(Trip.of(t, y), "jumps") == 2


def test_ends_of_the_scale_are_a_circuit_but_an_arctic_morning_is_not() -> None:
    t = np.arange(0.0, 300.0)
    assert figure(Trip.of(t, np.full(300, -40.0)), "circuit") == 100
    assert figure(Trip.of(t, np.full(300, 140.0)), "circuit") == 100
    arctic = Trip.of(t, np.full(300, -40.0), {"ambient": np.full(300, -40.0)})
    assert figure(arctic, "circuit") == 0


def test_opening_is_marked_where_the_model_opens() -> None:
    """The first peak lies between the start of opening and full opening: nominal - 3 K to nominal + 12 K and the sensor's noise."""
    found = 0
    for made in make(20, first=41, scenarios=("plain",)):
        verdict = judge(Trip.of(made.seconds, made.coolant))
        for event in verdict.events:
            if event.kind == "opening" and made.nominal is not None and np.nanmin(made.coolant[:10]) < 50:
                found += 1
                assert made.nominal - 4 <= event.value <= made.nominal + 16
    assert found >= 4


def test_road_power_is_textbook() -> None:
    """100 km/h, level: drag 0.39 v³ and rolling 162 v, v in m/s: 8.4 + 4.5 kW (textbook road load of the invented car)."""
    assert shaft_power(np.array([100.0]), np.array([0.0]))[0] == pytest.approx(12.9, abs=0.1)


def write(path: Path) -> Path:
    made = make(1, first=3, scenarios=("late",))[0]
    lines = ["time,ECT (°C),speed (km/h)"]
    speed = made.columns.get("speed", np.zeros(len(made.seconds)))
    lines += [f"{t:.2f},{y:.1f},{v:.0f}" for t, y, v in zip(made.seconds, made.coolant, speed, strict=True)]
    path.write_text("\n".join(lines))
    return path


def test_command_tells_columns_figures_and_verdict(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, [str(write(tmp_path / "log.csv")), "--nominal", "88"])
    assert done.exit_code == 0, done.output
    for word in ("Columns understood", '"ECT (°C)": coolant in degC', "Trip 1:", "regulates at", "rows"):
        assert word in done.output


def test_command_answers_json(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, [str(write(tmp_path / "log.csv")), "--json"])
    answer = json.loads(done.stdout)
    assert answer["trips"][0]["likelihood"]
    assert answer["columns"][1] == {"column": "ECT (°C)", "is": "coolant", "unit": "degC", "unit_guessed": False}


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_pictures_are_written(tmp_path: Path, ending: str) -> None:
    pytest.importorskip("matplotlib")
    out = tmp_path / f"trace.{ending}"
    done = CliRunner().invoke(app, [str(write(tmp_path / "log.csv")), "--svg", str(out)])
    assert done.exit_code == 0, done.output
    assert out.read_bytes().startswith(b"<?xml" if ending == "svg" else b"\x89PNG")


def test_terminal_drawing_has_the_temperatures(tmp_path: Path) -> None:
    pytest.importorskip("plotille")
    done = CliRunner().invoke(app, [str(write(tmp_path / "log.csv")), "--plot"])
    assert "(°C)" in done.output
    assert "minutes" in done.output


def test_other_pictures_are_refused(tmp_path: Path) -> None:
    made = make(1, first=3, scenarios=("plain",))[0]
    trip = Trip.of(made.seconds, made.coolant)
    with pytest.raises(CannotJudge, match="svg or"):
        plot.picture(trip, judge(trip), tmp_path / "trace.gif")
