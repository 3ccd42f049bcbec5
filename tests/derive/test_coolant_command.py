"""`diagnose coolant`: what a person types, and what comes back."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner, Result

from diagnose.cli.coolant import app
from diagnose.errors import DiagnoseError, InputError


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def figures(*words: str) -> dict:  # type: ignore[type-arg]
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)  # type: ignore[no-any-return]


def test_opposite_errors_identify_propylene() -> None:
    """A float at -14.8 °C and an ethylene scale at -44.7 °C: eg_scale_misreads_pg.csv at 50 mass %."""
    found = figures("mix", "--float", "-14.8 °C", "--refractometer", "-44.7 °C")
    assert found["glycol_likelihood"]["pg"] > 0.8
    assert "cannot_judge" in found["if_it_is"][0]
    assert found["if_it_is"][1]["freezing_point"]["value"] == pytest.approx(-32.2, abs=2.5)


def test_fahrenheit_and_psi_are_understood() -> None:
    """-34 °F and 15 psi: 50 % ethylene concentrate, 129 °C (SAE J814, common practice)."""
    found = figures("mix", "--glycol", "eg", "--refractometer", "-34 °F", "--cap", "15 psi", "--hottest", "230 °F", "--coldest", "-20 °C")
    one = found["if_it_is"][0]
    assert one["concentrate"]["value"] == pytest.approx(0.5, abs=0.02)
    assert one["boiling_point"]["value"] == pytest.approx(129, abs=1.0)
    assert one["boiling_margin"]["value"] == pytest.approx(19, abs=1.0)
    assert one["freezing_margin"]["value"] == pytest.approx(11.7, abs=1.0)
    assert found["glycol_likelihood"] is None


def test_the_instruments_accuracy_may_be_stated() -> None:
    marks = ("mix", "--glycol", "eg", "--refractometer", "-30 °C")
    good, poor = (figures(*marks, "--refractometer-accuracy", k)["if_it_is"][0]["freezing_point"]["sd"] for k in ("0.5 K", "5 K"))
    assert poor > 2 * good
    strip = ("mix", "--glycol", "eg", "--strip", "50 %", "--strip-accuracy", "2 %")
    assert figures(*strip)["if_it_is"][0]["concentrate"]["sd"] == pytest.approx(0.02)


def test_unknown_glycol_gives_both_and_no_verdict() -> None:
    result = run("mix", "--refractometer", "-30 °C")
    assert "no verdict" in result.output
    assert "ethylene" in result.output
    assert "propylene" in result.output
    assert "cold engine" in result.output


def test_words_tell_readings_margins_and_refusals() -> None:
    result = run("mix", "--glycol", "pg", "--float", "-17 °C", "--strip", "45 %", "--coldest", "-10 °C", "--hottest", "105 °C")
    assert "Not used: float tester" in result.output
    assert "Margin against freezing" in result.output
    assert "Margin against boiling" in result.output


def test_instruments_that_speak_against_the_stated_glycol_are_told() -> None:
    result = run("mix", "--glycol", "pg", "--float", "-16 °C", "--refractometer", "-16 °C", "--strip", "30 %")
    assert "speak against propylene glycol" in result.output


def test_the_chart_puts_marks_where_the_temperatures_are() -> None:
    words = (
        "mix",
        "--glycol",
        "eg",
        "--freezing",
        "-37 °C",
        "--cap",
        "1 bar",
        "--hottest",
        "110 °C",
        "--coldest",
        "-20 °C",
        "--chart",
    )
    labels = ("freezes", "needed", "hottest", "boils")
    rows = {line.split()[0]: line for line in run(*words).output.splitlines() if line[:8].strip() in labels}
    assert rows["needed"].index("|") > rows["freezes"].index("*")
    assert rows["boils"].index("*") > rows["hottest"].index("|") > rows["needed"].index("|")
    assert "-25 °C" in rows["needed"]


def test_the_picture_is_well_formed(tmp_path: Path) -> None:
    file = tmp_path / "mix.svg"
    assert run("mix", "--glycol", "eg", "--strip", "50 %", "--coldest", "-20 °C", "--svg", str(file)).exit_code == 0
    drawn = ElementTree.fromstring(file.read_text(encoding="utf-8"))
    texts = [e.text for e in drawn.iter("{http://www.w3.org/2000/svg}text")]
    assert "needed" in texts
    assert "freezes" in texts
    missing = run("mix", "--strip", "50 %", "--svg", str(tmp_path / "no" / "mix.svg"))
    assert isinstance(missing.exception, InputError)


def test_a_correction_by_climate() -> None:
    found = figures("correct", "--volume", "8 L", "--present", "30 %", "--coldest", "-31 °C")
    assert found["target"] == 0.5
    assert found["plans"][0]["drained_l"] == pytest.approx(2.29, abs=0.01)
    assert "cannot" in found["plans"][2]


def test_a_correction_in_words() -> None:
    result = run("correct", "--volume", "8 L", "--present", "0.3", "--target", "50 %", "--drainable", "2 L", "--missing", "0.5 L")
    assert result.exit_code == 0
    assert "times: drain cold" in result.output
    assert "add 0.5 L" not in result.output
    topped = run("correct", "--volume", "10 L", "--present", "0.45", "--target", "0.5", "--missing", "1 L", "--add", "concentrate")
    assert "drain nothing" in topped.output


def test_refill_and_purity() -> None:
    found = figures("refill", "--volume", "10 L", "--drainable", "7 L", "--target", "50 %", "--purity", "5 %")
    assert (found["product_l"], found["water_l"], found["rounds"]) == (5.0, 2.0, 3)
    assert "cannot be filled at once" in run("refill", "--volume", "10 L", "--drainable", "4 L", "--target", "50 %").output
    assert "rounds of drain" in run("refill", "--volume", "10 L", "--drainable", "4 L", "--purity", "5 %").output


def test_due_by_life_and_by_readings() -> None:
    found = figures(
        "due", "--on", "2026-01-01", "--filled", "2022-01-01", "--life-years", "5", "--reading", "2022-01-01=10",
        "--reading", "2024-01-01=8.1", "--reading", "2026-01-01=6.2", "--limit", "3", "--accuracy", "0.5",
    )  # fmt: skip
    assert found["by"]["maker"]["due"] == "2027-01-01"
    assert found["by"]["trend"]["due"][:4] == "2029"
    assert found["due"] <= found["by"]["maker"]["due"]
    assert found["chance_overdue"] < 0.2


def test_due_says_what_it_cannot_judge() -> None:
    words = ("due", "--on", "2026-01-01", "--filled", "2024-01-01", "--life-distance", "100000 km", "--distance-a-year", "20000 km")
    result = run(*words, "--reading", "2025-01-01=6", "--limit", "3", "--accuracy", "0.5")
    assert "Cannot judge the readings" in result.output
    assert "Due about 20" in result.output


@pytest.mark.parametrize(
    "words",
    [
        ("mix", "--glycol", "honey", "--strip", "50 %"),
        ("mix", "--float", "cold"),
        ("correct", "--volume", "8 L", "--present", "30 %"),
        ("correct", "--volume", "8 L", "--present", "30 %", "--target", "50 %", "--glycol", "unknown"),
        ("due", "--on", "yesterday", "--life-years", "5", "--filled", "2020-01-01"),
        ("due", "--on", "2026-01-01", "--life-years", "5"),
        ("due", "--on", "2026-01-01", "--reading", "2025-01-01=6"),
        ("due", "--on", "2026-01-01", "--reading", "soon", "--limit", "3", "--accuracy", "1"),
    ],
)
def test_bad_input_is_told_with_what_is_allowed(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert isinstance(result.exception, InputError)
    assert all(p.allowed for p in result.exception.problems)


@pytest.mark.parametrize(
    "words",
    [
        ("mix",),
        ("mix", "--glycol", "pg", "--float", "-37 °C"),
        ("correct", "--volume", "8 L", "--present", "30 %", "--coldest", "-60 °C"),
        ("correct", "--volume", "8 L", "--present", "30 %", "--target", "50 %", "--add", "water"),
        ("refill", "--volume", "8 L", "--drainable", "9 L"),
        ("due", "--on", "2026-01-01"),
    ],
)
def test_what_cannot_be_judged_ends_in_a_sentence(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert isinstance(result.exception, DiagnoseError)
    assert "Cannot judge" in str(result.exception)


def test_importing_the_command_loads_no_physics() -> None:
    code = (
        "import sys, diagnose.cli.coolant; "
        "print([m for m in sys.modules if m.startswith('diagnose.derive') or m in ('numpy', 'pint', 'networkx')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_physics_needs_the_standard_library_only() -> None:
    code = (
        "import sys, diagnose.derive.sample, diagnose.derive.correction, diagnose.derive.interval, diagnose.derive.boiling; "
        "print([m for m in ('numpy', 'pint', 'scipy', 'pydantic', 'networkx') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
