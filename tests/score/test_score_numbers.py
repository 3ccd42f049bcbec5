"""Moving one number of a case's network moves that number and no other; what is looked at; what is taken away."""

from __future__ import annotations

from math import log

import pytest

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.compiled import compiled
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.network import Cause, Choice, Network, Node
from diagnose.score import coverage, robustness, simulated
from diagnose.score.ground import answer, posterior, prepare
from diagnose.score.near import heard, near
from diagnose.score.numbers import Number, moved, numbers_of, shifted, without
from diagnose.score.sensitivity import least, turning

NETWORK = Network(
    {
        "e": Node("e", (0.2,)),
        "part:p": Choice("part:p", (0.1, 0.3), ((("e", 0.5),), ())),
        "f": Node("f", (0.05,)),
        "x": Node("x", (0.01, 0.03), (Cause("part:p", (0.3, 0.2), 2), Cause("f", (0.0, 0.6)))),
    },
    {"e": ("e", 1), "shut": ("part:p", 1), "open": ("part:p", 2), "f": ("f", 1)},
    frozenset({"e"}),
)
CASE = {
    "observations": [
        {"of": "bubbles_at_neck", "answer": "yes", "engine": "warm"},
        {"of": "white_exhaust", "answer": "yes", "engine": "warm"},
        {"of": "puddle_coolant", "answer": "no"},
    ]
}


def test_every_number_has_its_name() -> None:
    assert sorted(str(n) for n in numbers_of(NETWORK, NETWORK.nodes)) == [
        "link f → x",
        "link open → x",
        "misread x",
        "prior e",
        "prior f",
        "prior open",
        "prior shut",
        "raises e → shut",
    ]


def test_moving_one_number() -> None:
    """Odds of 1 in log-odds by log 3 become odds of 3: 0.5 becomes 0.75, shared among the bands as before."""
    node = shifted(NETWORK, Number("link", "open", "x"), log(3)).nodes["x"]
    assert isinstance(node, Node)
    assert node.causes[0].push == pytest.approx((0.45, 0.3))
    assert node.causes[1] == Cause("f", (0.0, 0.6))
    assert node.leak == (0.01, 0.03)
    part = shifted(NETWORK, Number("prior", "open"), log(7 / 3)).nodes["part:p"]
    assert isinstance(part, Choice)
    assert part.priors == pytest.approx((0.1, 0.5))  # odds 3:7 times 7/3


def test_moving_nothing_changes_nothing_and_a_link_can_be_taken_away() -> None:
    assert moved(NETWORK, lambda _: 0.0) == NETWORK
    node = without(NETWORK, Number("link", "open", "x")).nodes["x"]
    assert isinstance(node, Node)
    assert [c.parent for c in node.causes] == ["f"]


def test_noise_is_the_same_for_a_number_wherever_it_is_met_and_as_wide_as_it_says() -> None:
    row = [robustness.noise(0, 0, Number("prior", f"f{i}")) for i in range(4000)]
    assert row[7] == robustness.noise(0, 0, Number("prior", "f7"))
    assert row[7] != robustness.noise(0, 1, Number("prior", "f7"))
    assert (sum(x * x for x in row) / len(row)) ** 0.5 == pytest.approx(robustness.NOISE, rel=0.05)
    assert sum(row) / len(row) == pytest.approx(0.0, abs=0.03)


def test_the_least_move_that_turns_an_answer() -> None:
    assert least(lambda by: ("leader",) if by <= -0.7 else (), -2.0) == pytest.approx(-0.7, abs=0.13)
    assert least(lambda by: (), 2.0) is None


def test_the_short_way_says_what_an_assessment_says(real_knowledge: Knowledge) -> None:
    case = Case.model_validate(CASE)
    told = assess(case, real_knowledge, plan=False)
    ground = prepare(case, real_knowledge)
    ranked = posterior(ground)
    assert ranked.order == tuple(c.id for c in told.ranking)
    assert answer(ground, real_knowledge) == (told.ranking[0].id, told.urgency)
    for candidate in told.ranking:
        assert ranked.chance[candidate.id] == pytest.approx(candidate.chance, abs=5.1e-5)


def test_numbers_near_a_case_stand_on_the_way_to_what_was_looked_at(real_knowledge: Knowledge) -> None:
    ground = prepare(Case.model_validate(CASE), real_knowledge)
    ranked = posterior(ground)
    found = near(ground, ranked)
    assert Number("prior", ranked.leader) in found
    links = {n for n in found if n.kind == "link"}
    assert links < set(heard(ground))
    assert {n.to for n in links if n.to in real_knowledge.findings} <= set(ground.evidence)


def test_a_rule_that_is_taken_away_is_taken_away_alone(real_knowledge: Knowledge) -> None:
    program = compiled(real_knowledge).interpret
    name = sorted(program.items)[0]
    assert set(coverage.less(program, name).items) == set(program.items) - {name}
    assert name in program.items


@pytest.mark.slow
def test_coverage_and_turning_numbers_of_one_case(real_knowledge: Knowledge) -> None:
    case = Case.model_validate(CASE)
    touched = coverage.touch(real_knowledge, case)
    told = assess(case, real_knowledge, plan=False)
    assert set(touched.fired) == {f.rule for f in told.rules_fired}
    assert set(touched.decides) <= set(touched.fired)
    assert set(touched.links_decide) <= set(touched.links)
    tried, turned = turning(real_knowledge, case)
    assert tried >= len({t.number for t in turned})
    assert all(t.changes and 0.0 < abs(t.by) <= 2.0 for t in turned)


def test_a_simulated_case_is_the_same_for_a_seed(real_knowledge: Knowledge) -> None:
    drawn = simulated.simulate(real_knowledge, (0, 5))
    assert drawn == simulated.simulate(real_knowledge, (0, 5))
    assert all(chance >= simulated.PAIR_FROM for _, chance, _ in drawn.pairs)


@pytest.mark.slow
def test_simulated_chances_are_calibrated(real_knowledge: Knowledge) -> None:
    """Pairs of 300 drawn cases; the documented figure is of 10,000."""
    drawn = [simulated.simulate(real_knowledge, (1, i)) for i in range(300)]
    found = simulated.summary(drawn, real_knowledge, 1, 0.0)["pairs"]
    assert found["of"] > 1000
    assert found["error"]["value"] < 0.05
    assert 0.85 < found["slope"]["value"] < 1.15
