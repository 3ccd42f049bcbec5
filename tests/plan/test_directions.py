"""Plans move the way common sense expects when prices, tools or the vehicle's life change. All: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st
from problems_drawn import draw

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.cost import Costs
from diagnose.plan.exact import Exact
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.settings import Settings

CASES = Path(__file__).parents[2] / "cases"


def case_of(name: str, knowledge: Knowledge) -> Case:
    return read_case(CASES / f"{name}.yaml", None, knowledge)


@limits(deadline=None, max_examples=25)
@given(st.integers(0, 10_000), st.floats(1.1, 4.0))
def test_the_dearer_tests_get_the_less_of_them_is_bought(seed: int, factor: float) -> None:
    """The least of costs that are straight lines in the price of tests rises and bends downwards: its slope is what is bought.

    (That a plan which repaired first never turns to testing first is not true: dearer tests also hit what was tested later.)
    """
    problem = draw(Random(seed), 3, 3)

    def cost(times: float) -> float:
        return Exact(replace(problem, tests=tuple(replace(t, cost=t.cost * times) for t in problem.tests))).value()[0]

    cheap, middle, dear = cost(1.0), cost((1.0 + factor) / 2.0), cost(factor)
    assert cheap - 1e-9 <= middle <= dear + 1e-9
    assert middle >= (cheap + dear) / 2.0 - 1e-9


@limits(deadline=None, max_examples=25)
@given(st.integers(0, 10_000), st.integers(0, 2))
def test_a_missing_tool_makes_nothing_cheaper(seed: int, missing: int) -> None:
    problem = draw(Random(seed), 3, 3)
    without = replace(problem, tests=tuple(t for i, t in enumerate(problem.tests) if i != missing))
    assert Exact(without).value()[0] >= Exact(problem).value()[0] - 1e-9


@limits(deadline=None, max_examples=25)
@given(st.integers(0, 10_000), st.floats(1.0, 3.0))
def test_a_higher_price_of_leaving_a_fault_never_makes_a_plan_stop(seed: int, factor: float) -> None:
    problem = draw(Random(seed), 4, 2)
    worse = replace(problem, leave={f: p if f == "other" else p * factor for f, p in problem.leave.items()})
    if Lookahead(problem).choose().action[0] != "stop":
        assert Exact(worse).value()[1][0] != "stop"


def test_cheap_labour_makes_tests_cheap_beside_parts(real_knowledge: Knowledge) -> None:
    """Where an hour costs little and parts cost the same, the parts weigh more."""
    rates = [Settings(labour_rate=rate, parts_rate=80.0) for rate in (20.0, 80.0, 160.0)]
    hours = [Costs(real_knowledge, s, {}).repair(real_knowledge.repairs["replace_electric_pump"]) for s in rates]
    assert hours[0] > hours[1] > hours[2]
    looks = [Costs(real_knowledge, s, {}).procedure(real_knowledge.procedures["look_for_leaks_cold"]) for s in rates]
    assert looks[0] == looks[1] == looks[2]
    case = case_of("demo", real_knowledge)
    tests = [sum(s.kind == "test" for s in assess(case, real_knowledge, r).plan.steps) for r in rates]  # type: ignore[union-attr]
    assert tests[0] >= tests[2]


def test_own_prices_and_money_agreed_count(real_knowledge: Knowledge) -> None:
    case = case_of("half_a_litre_since_summer_proves_no_gasket_and_asks_for_a_test", real_knowledge)
    usual = assess(case, real_knowledge)
    first = usual.next[0].id
    refused = assess(case, real_knowledge, Settings(refused=(first,)))
    assert first not in [p.id for p in refused.next]
    assert "Was offered and refused." in [c.why for c in refused.not_now if c.id == first]
    poor = assess(case, real_knowledge, Settings(budget=0.15))
    costs = Costs(real_knowledge, Settings(), case.vehicle.model_dump())
    for step in poor.next:
        assert costs.procedure(real_knowledge.procedures[step.id]) <= 0.15
    assert any("ask first" in c.why for c in poor.not_now)


def test_a_tool_that_is_missing_is_not_asked_for(real_knowledge: Knowledge) -> None:
    case = case_of("half_a_litre_since_summer_proves_no_gasket_and_asks_for_a_test", real_knowledge)
    bare = assess(case, real_knowledge, Settings(tools=("torch", "paper", "cardboard"), skill="home"))
    for step in bare.next:
        assert set(step.tools) <= {"torch", "paper", "cardboard", "hand", "eyes"}
    assert bare.plan is not None
    assert all(
        set(real_knowledge.procedures[s.id].tools) <= {"torch", "paper", "cardboard", "hand"} for s in bare.plan.steps if s.kind == "test"
    )


@pytest.mark.parametrize(("field", "mild", "hard", "price"), [
    ("towing", {"towing": "no"}, {"towing": "yes"}, "price_left_this_week"),
    ("towing", {"towing": "no"}, {"towing": "yes"}, "price_left_do_not_drive_far"),
    ("cold", {"lowest_ambient": -5.0}, {"lowest_ambient": -15.0}, "price_left_to_freeze"),
    ("colder", {"lowest_ambient": -15.0}, {"lowest_ambient": -28.0}, "price_left_to_freeze"),
])  # fmt: skip
def test_a_harder_life_makes_leaving_it_dearer(
    real_knowledge: Knowledge, field: str, mild: dict[str, object], hard: dict[str, object], price: str
) -> None:
    assert Costs(real_knowledge, Settings(), hard).price(price) > Costs(real_knowledge, Settings(), mild).price(price), field


def test_a_colder_home_makes_the_weak_mix_worth_mending(real_knowledge: Knowledge) -> None:
    def leaving(coldest: float) -> float:
        return Costs(real_knowledge, Settings(), {"lowest_ambient": coldest}).leave("coolant_weak", "next_service")

    assert leaving(-25.0) > leaving(-15.0) > leaving(-2.0)


def test_dear_labour_turns_from_testing_to_parts(real_knowledge: Knowledge) -> None:
    """The dearer the hour beside the parts, the less is spent on tests first: over open cases the share of plans that begin with one."""
    names = ("a_new_thermostat_and_radiator_cannot_cool_a_wrong_reading", "demo", "bubbles_after_a_refill_are_air")
    hours = []
    for rate in (20.0, 400.0):
        own = Settings(labour_rate=rate, parts_rate=80.0)
        plans = [assess(case_of(n, real_knowledge), real_knowledge, own).plan for n in names]
        hours.append(sum(p.expected_hours for p in plans if p))
    assert hours[0] > hours[1]  # in hours' pay the parts shrink as the hour gets dearer


def test_a_tool_taken_away_never_lowers_what_a_case_is_expected_to_cost(real_knowledge: Knowledge) -> None:
    """Within what two tests ahead can promise: 2 %."""
    case = case_of("half_a_litre_since_summer_proves_no_gasket_and_asks_for_a_test", real_knowledge)
    whole = assess(case, real_knowledge).plan
    bare = assess(case, real_knowledge, Settings(tools=("torch",))).plan
    assert whole is not None
    assert bare is not None
    assert bare.expected_hours >= 0.98 * whole.expected_hours


def life(**vehicle: object) -> Case:
    return Case.model_validate({
        "invented": "yes", "vehicle": {"fuel": "petrol", **vehicle},
        "observations": [{"of": "freeze_margin", "answer": "short"}],
    })  # fmt: skip


def test_a_colder_climate_makes_leaving_a_weak_mix_dear_and_its_plan_not_cheaper(real_knowledge: Knowledge) -> None:
    plans = [assess(life(lowest_ambient=f"{t} degC"), real_knowledge).plan for t in (2, -25)]
    mild, cold = (p.expected_hours for p in plans if p)
    assert cold >= mild
    assert [p.steps[0].kind for p in plans[1:] if p and p.steps] in (["repair"], ["test"])  # in hard frost it is not left alone


def test_a_trailer_never_makes_a_case_cheaper_to_leave(real_knowledge: Knowledge) -> None:
    """Towing is a reason to mend: what stopping would cost rises, so stopping is chosen no more often."""
    for name in ("half_a_litre_since_summer_proves_no_gasket_and_asks_for_a_test", "demo"):
        case = case_of(name, real_knowledge)
        towing = [case.model_copy(update={"vehicle": case.vehicle.model_copy(update={"towing": t})}) for t in ("no", "yes")]
        plans = [assess(c, real_knowledge).plan for c in towing]
        stops = [not p.steps for p in plans if p]
        assert stops[1] <= stops[0]
        assert plans[1].expected_hours >= 0.9 * plans[0].expected_hours  # type: ignore[union-attr]
