"""Figures inside an assessment: shown with value, spread, unit, formula and source; and no reading counts twice."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.case.observation import SILENT
from diagnose.figures.figures import FIGURES, reading_of
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge

CASES = Path(__file__).parents[2] / "cases"
VEHICLE = {"fuel": "petrol", "glycol": "ethylene", "lowest_ambient": "-25 degC", "cap_rating": "15 psi"}
WEAK = {"freezing_point": "-15 degC", "instrument": "refractometer", "scale": "ethylene", "sample_temperature": "20 degC"}


def assessed(knowledge: Knowledge, vehicle: dict[str, Any], *observations: dict[str, Any]) -> Assessment:
    case = Case.model_validate({"why_here": "routine", "vehicle": vehicle, "observations": list(observations)})
    return assess(case, knowledge, plan=False)


def chances(made: Assessment) -> dict[str, float]:
    return {c.id: c.chance for c in (*made.ranking, *made.beside)}


def test_a_figure_is_shown_with_all_that_stands_behind_it(knowledge: Knowledge) -> None:
    made = assessed(knowledge, VEHICLE, WEAK)
    line = next(u for u in made.understood if u.finding == "freeze_margin")
    assert line.figure is not None
    assert line.figure.value == pytest.approx(-15.0, abs=0.5)
    assert line.figure.sd > 1.0
    assert line.figure.unit == "K"
    assert line.figure.formula
    assert line.figure.source
    assert any("freezes at" in r for r in line.reasons)


def test_a_refusal_is_told(knowledge: Knowledge) -> None:
    made = assessed(knowledge, {"fuel": "petrol"}, WEAK)
    line = next(u for u in made.understood if u.finding == "freeze_margin")
    assert line.level == "cannot_judge"
    assert any("no verdict" in r for r in line.reasons)


@pytest.mark.parametrize("again", [1, 3])
def test_the_same_reading_again_changes_next_to_nothing(knowledge: Knowledge, again: int) -> None:
    once = chances(assessed(knowledge, VEHICLE, WEAK))
    more = chances(assessed(knowledge, VEHICLE, *[WEAK] * (1 + again)))
    assert once["coolant_weak"] == pytest.approx(more["coolant_weak"], abs=0.02)


def test_the_order_of_readings_changes_nothing(knowledge: Knowledge) -> None:
    float_ = {"freezing_point": "-14 degC", "instrument": "float", "sample_temperature": "20 degC"}
    assert chances(assessed(knowledge, VEHICLE, WEAK, float_)) == chances(assessed(knowledge, VEHICLE, float_, WEAK))


def test_a_reading_that_cannot_be_judged_changes_no_chance(knowledge: Knowledge) -> None:
    nothing = chances(assessed(knowledge, {"fuel": "petrol"}, {"boiled_over": "no"}))
    refused = chances(assessed(knowledge, {"fuel": "petrol"}, {"boiled_over": "no"}, WEAK))
    assert nothing == refused


def test_the_limit_moves_the_chance_without_a_jump(knowledge: Knowledge) -> None:
    values = [
        chances(assessed(knowledge, VEHICLE, {**WEAK, "freezing_point": f"{m} degC"})).get("coolant_weak", 0.0) for m in range(-34, -9, 2)
    ]
    assert values == sorted(values)
    assert values[-1] > 5.0 * values[0]
    assert all(b - a < 0.35 for a, b in pairwise(values))


def test_every_figure_has_two_worked_cases_at_least(knowledge: Knowledge) -> None:
    under = {r.finding: r for r in knowledge.readings.values() if r.takes != "nothing"}
    count = dict.fromkeys(FIGURES, 0)
    for path in sorted(CASES.glob("*.yaml")):
        case = read_case(path, None, knowledge)
        readings = [reading_of(o, knowledge, under) for o in case.observations if o.answer not in SILENT]
        for figure in {r.figure for r in readings if r is not None}:
            count[figure] += 1
    assert {f: n for f, n in count.items() if n < 2} == {}
