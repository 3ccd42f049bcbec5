"""Whole sessions with the real assessment, played from worked cases by a mechanic who answers what the case lists."""

from __future__ import annotations

from pathlib import Path

import pytest
from mechanic import play, right

from diagnose.assess import assess
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings
from diagnose.session.casewriter import written

CASES = Path(__file__).parents[2] / "cases"
PLAYED = (
    "a_cap_that_weeps_and_holds_nothing_is_a_weak_cap",
    "a_radiator_hose_that_warms_at_once_is_a_thermostat_stuck_open",
    "vapour_at_minus_5_two_minutes_after_the_start_is_condensation",
)

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", PLAYED)
def test_a_session_ends_by_itself_with_the_decision_of_the_case(knowledge: Knowledge, name: str) -> None:
    truth = read_case(CASES / f"{name}.yaml", None, knowledge)
    signs = [o.of for o in truth.observations if o.answer == "yes"][:2]
    played = play(truth, knowledge, told=signs, words=False)
    assert played.prompts <= 40
    assert right(played.end, truth.expect or {}) is not False
    case = played.course.state.case()
    again = assess(read_case(None, written(case), knowledge), knowledge, Settings())
    assert again.model_dump_json() == played.course.whole().model_dump_json()
