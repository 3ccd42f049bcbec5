"""What a plan has to respect in the workshop: money agreed, what is done together, cold before warm, what a repair makes void."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from cut_from_cases import followed
from problems_drawn import draw, enumerate_plans

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.exact import Exact
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.problem import Problem, Repair
from diagnose.plan.problem import Test as Look
from diagnose.plan.settings import Settings
from diagnose.report.console import page

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture
def demo(real_knowledge: Knowledge) -> Case:
    return read_case(CASES / "demo.yaml", None, real_knowledge)


def test_money_used_up_asks_and_says_what_the_next_step_costs_and_tells(demo: Case, real_knowledge: Knowledge) -> None:
    rich = assess(demo, real_knowledge, Settings(labour_rate=80.0, currency="EUR"))
    assert rich.plan is not None
    assert rich.plan.ask is None
    poor = Settings(labour_rate=80.0, currency="EUR", budget=(40.0, 40.0), spent=75.0)
    told = assess(demo, real_knowledge, poor)
    assert told.plan is not None
    ask = told.plan.ask
    assert ask is not None
    assert (ask.agreed, ask.left) == ("80 EUR", "5 EUR")
    assert ask.id == rich.plan.steps[0].id
    assert ask.id not in [p.id for p in told.next]
    assert ask.results
    assert abs(sum(r.chance for r in ask.results) - 1.0) < 0.1
    text = page(told, real_knowledge, 60)
    assert "Ask before going on" in text
    assert all(len(line) <= 60 for line in text.splitlines())


def test_asking_people_is_never_too_dear(demo: Case, real_knowledge: Knowledge) -> None:
    told = assess(demo, real_knowledge, Settings(budget=0.0))
    assert told.next
    for step in told.next:
        procedure = real_knowledge.procedures[step.id]
        assert not procedure.tools
        assert procedure.engine == "any"


def waiting(first_warms: bool) -> Problem:
    """Two equal looks; one leaves the engine warm, the other needs it cold."""
    patterns = (frozenset({"a"}), frozenset({"b"}), frozenset({"c"}), frozenset[str]())
    one = Look("warms", 0.1, ("no", "yes"), ((0.0, 1.0), (1.0, 0.0), (1.0, 0.0), (1.0, 0.0)), leaves=frozenset({"heat"}))
    two = Look("cold", 0.1, ("no", "yes"), ((1.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 0.0)), waits=frozenset({"heat"}))
    repairs = tuple(Repair(n, 5.0, frozenset({n})) for n in "abc")
    tests = (one, two) if first_warms else (two, one)
    return Problem(patterns, (0.34, 0.33, 0.33, 0.0), tests, repairs, dict.fromkeys("abc", 50.0), undo={"heat": 0.5})


@pytest.mark.parametrize("first_warms", [True, False])
def test_cold_comes_before_warm_where_the_wait_costs(first_warms: bool) -> None:
    problem = waiting(first_warms)
    for action in (Exact(problem).value()[1], Lookahead(problem).choose().action):
        assert problem.tests[action[1]].id == "cold"
    free = replace(problem, undo={})
    assert Exact(free).value()[0] < Exact(problem).value()[0] + 1e-12


@pytest.mark.parametrize("seed", range(6))
def test_waits_are_paid_as_enumeration_pays_them(seed: int) -> None:
    problem = draw(Random(seed), 3, 3)
    marks = [(frozenset({"heat"}), frozenset()), (frozenset(), frozenset({"heat"})), (frozenset({"heat"}), frozenset({"heat"}))]
    tests = tuple(replace(t, leaves=m[0], waits=m[1]) for t, m in zip(problem.tests, marks, strict=True))
    hot = replace(problem, tests=tests, undo={"heat": 0.4})
    exact = Exact(hot).value()[0]
    assert enumerate_plans(problem) - 1e-9 <= exact  # nothing gets cheaper
    assert exact == pytest.approx(followed(hot, lambda b, s, left: Exact(hot).value(b, s, left)[1]), abs=1e-6)


def test_what_belongs_together_is_one_action_paid_once(real_knowledge: Knowledge) -> None:
    from diagnose.assess import work_out
    from diagnose.plan.proposal import propose

    case = Case.model_validate({
        "invented": "yes", "vehicle": {"fuel": "diesel"},
        "observations": [{"of": "wet_pump_weep", "answer": "yes"}, {"of": "level_cold", "answer": "low"}],
    })  # fmt: skip
    worked = work_out(case, real_knowledge)
    assert ("replace_pump", "replace_belt") in worked.parts.advice.together
    problem = propose(worked.parts, worked.ready, worked.context, worked.evidence).cut.problem
    pump = next(r for r in problem.repairs if r.id == "replace_pump")
    assert pump.joined == ("replace_belt",)
    whole = pump.cost + sum(problem.access[p] for p in sorted(pump.access))
    alone = [real_knowledge.repairs[n].hours + sum(real_knowledge.repairs[n].parts) / 2 for n in ("replace_pump", "replace_belt")]
    assert alone[0] < whole < sum(alone)
    told = assess(case, real_knowledge)
    assert told.plan is not None
    mended = [s for s in told.plan.steps if s.id == "replace_pump"]
    assert all(s.together for s in mended)


def after_repair(level: str, bubbles: str) -> dict[str, object]:
    seen = [
        {"of": "cap_holds", "answer": "none", "on": "2026-03-01"},
        {"of": "level_cold", "answer": "low", "on": "2026-03-01"},
        {"of": "bubbles_steady_at_idle", "answer": "yes", "engine": "opened_running", "on": "2026-03-01"},
        {"of": "level_cold", "answer": level, "on": "2026-03-09"},
        {"of": "bubbles_steady_at_idle", "answer": bubbles, "engine": "opened_running", "on": "2026-03-09"},
    ]
    done = [{"repair": "replace_cap", "on": "2026-03-02", "found": ["cap_weak"]}]
    return {"invented": "yes", "vehicle": {"fuel": "petrol", "cap_on": "bottle"}, "observations": seen, "done": done}


def test_a_repair_starts_an_epoch_that_the_page_shows(real_knowledge: Knowledge) -> None:
    told = assess(Case.model_validate(after_repair("normal", "no")), real_knowledge)
    (proven,) = told.after_repair
    assert proven.state == "confirmed"
    assert proven.found == [real_knowledge.faults["cap_weak"].name]
    assert "led the list" in proven.feedback
    assert real_knowledge.findings["cap_holds"].name in proven.voided
    assert {c.id: c.accounts for c in told.ranking}.get("head_gasket_gas", 0.0) < 0.05
    assert "PROVEN" in page(told, real_knowledge, 80)


def test_trouble_that_goes_on_after_the_cap_is_a_second_fault_judged_on_new_evidence(real_knowledge: Knowledge) -> None:
    """The dear one is not blamed on what the cheap one spoiled: before the cap is mended it leads less than after."""
    known = {k: v for k, v in after_repair("low", "yes").items() if k != "done"}
    before = assess(Case.model_validate({**known, "observations": known["observations"][:3]}), real_knowledge)  # type: ignore[index]
    after = assess(Case.model_validate(after_repair("low", "yes")), real_knowledge)
    assert after.after_repair[0].state == "second_fault"
    gasket = [{c.id: c.accounts for c in told.ranking}.get("head_gasket_gas", 0.0) for told in (before, after)]
    assert gasket[1] > gasket[0]
    assert before.plan is not None
    assert [s.id for s in before.plan.steps if s.kind == "repair"] in ([], ["replace_cap"])


def test_what_was_found_before_the_repair_is_told_as_void_or_old(real_knowledge: Knowledge) -> None:
    told = assess(Case.model_validate(after_repair("normal", "no")), real_knowledge)
    old = [u for u in told.understood if u.answer == "yes" and u.of == "bubbles_steady_at_idle"]
    assert [u.trust for u in old] == [0.0]
    assert "what was seen since counts" in old[0].reasons[0]
