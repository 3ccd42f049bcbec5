"""What to do next in a problem: exactly where it is small, two tests ahead where it is not, and which of the two is said."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.plan.exact import STOP, Action, Exact, TooLarge
from diagnose.plan.lookahead import Choice, Lookahead
from diagnose.plan.mending import START, Stage
from diagnose.plan.problem import Array, Problem

SMALL = 12  # beliefs up to which the exact plan is worked out within an answer's time
FEW_TESTS = 4  # more than these are not tried exactly within an answer's time
SCREENED = 4  # tests kept by what they save alone, and as many by what they tell an hour


@dataclass(frozen=True)
class Plan:
    """The action to begin with; expected cost of it and of each other first action; what no plan can go below; whether exact."""

    action: Action
    cost: float
    choice: Choice
    exact: bool


def plan(problem: Problem, belief: Array | None = None, stage: Stage = START, left: int | None = None, small: int = SMALL) -> Plan:
    """The first action of the plan of least expected cost. Bounded: at most `small` beliefs exactly, else two tests ahead."""
    choice = Lookahead(problem).choose(belief, stage, left)
    if choice.cost <= choice.least_possible + 1e-9:
        return Plan(choice.action, choice.cost, choice, True)
    if small == SMALL and len(problem.tests) > FEW_TESTS:
        return Plan(choice.action, choice.cost, choice, False)
    try:
        cost, action = Exact(problem, small).value(belief, stage, left)
    except TooLarge:
        return Plan(choice.action, choice.cost, choice, False)
    return Plan(action, cost, choice, True)


def screen(problem: Problem, telling: list[int], most: int = SCREENED) -> list[int]:
    """The tests worth looking at two deep: the best by expected cost when done alone, and the first of `telling` (by what they tell),
    so that a pair that helps only together is not lost."""
    choice = Lookahead(problem, 1).choose()
    alone = [i for _, (kind, i) in choice.options if kind == "test"]
    return sorted({*alone[:most], *[i for i in telling if i < len(problem.tests)][:most]})


__all__ = ["STOP", "Action", "Plan", "plan", "screen"]
