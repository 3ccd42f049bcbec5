"""Between two questions less is worked out than for a page; what is worked out is the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.assess import Sketcher, assess
from diagnose.assessment import Assessment
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.yaml"))
SAME = ("urgency", "urgency_because", "drive", "verdict", "headline", "next", "not_now", "cautions", "notes", "exact")


def hold_together(short: Assessment, full: Assessment) -> None:
    """All that both tell is the same; chances to the last place that is ever shown."""
    for name in SAME:
        assert getattr(short, name) == getattr(full, name), name
    assert [c.id for c in short.ranking] == [c.id for c in full.ranking]
    assert [c.chance for c in short.ranking] == pytest.approx([c.chance for c in full.ranking], abs=1.5e-4)
    assert [x.id for x in short.leaders] == [x.id for x in full.leaders]
    assert short.plan is not None
    assert full.plan is not None
    first = full.plan.steps[0].kind if full.plan.steps else "stop"
    assert (short.plan.steps[0].kind, short.plan.expected_hours) == (first, full.plan.expected_hours)


def test_the_short_assessment_says_what_the_whole_one_says(knowledge: Knowledge) -> None:
    case = read_case(CASES[3], None, knowledge)
    sketch = Sketcher(knowledge)
    unplanned = sketch(case, False)
    hold_together(sketch(case, True), assess(case, knowledge))
    assert unplanned.ranking == sketch(case, True).ranking


@pytest.mark.slow
def test_it_does_so_over_many_cases_in_a_row_with_the_same_rules_kept_ready(knowledge: Knowledge) -> None:
    sketch = Sketcher(knowledge)
    for path in CASES[::12]:
        case = read_case(path, None, knowledge)
        hold_together(sketch(case, True), assess(case, knowledge))


def test_what_is_left_out_is_not_planned_with(knowledge: Knowledge) -> None:
    case = read_case(CASES[3], None, knowledge)
    sketch = Sketcher(knowledge, Settings())
    first = sketch(case, True).next[0].id
    assert first not in [p.id for p in sketch(case, True, (first,)).next]
    assert first in [p.id for p in sketch(case, True).next]
