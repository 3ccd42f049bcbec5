"""The plan for larger problems: two tests ahead, also behind a repair, and from there the best order of repairs, exactly.

What it returns is the true expected cost of a course of action that anybody can follow, so it is never below the optimum; what
perfect knowledge would cost is never above it. Pairs of tests that help only together are seen; three such are not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from diagnose.plan.exact import STOP, Action
from diagnose.plan.mending import START, Stage, Step, mending
from diagnose.plan.problem import Array, Problem

Value = Callable[[], Array]


@dataclass(frozen=True)
class Choice:
    """Expected cost of each action tried first (sorted, cheapest first), and what perfect knowledge would cost."""

    options: tuple[tuple[float, Action], ...]
    least_possible: float

    @property
    def cost(self) -> float:
        """Expected cost of the best."""
        return self.options[0][0]

    @property
    def action(self) -> Action:
        """What to begin with."""
        return self.options[0][1]

    def cost_of(self, action: Action) -> float:
        """Expected cost when this action is taken first; infinite where it was not looked at."""
        return next((c for c, a in self.options if a == action), float("inf"))


class Lookahead:
    """Looks `depth` tests ahead in a problem."""

    def __init__(self, problem: Problem, depth: int = 2) -> None:
        self.problem, self.depth = problem, depth
        self.mending = mending(problem)
        self._waiting: dict[Stage, list[Array]] = {}
        self._found: dict[Stage, Array] = {}

    def choose(self, belief: Array | None = None, stage: Stage = START, left: int | None = None) -> Choice:
        """Expected cost of each first action. `left`: bit set of the tests not yet done. Beliefs are normalised."""
        problem = self.problem
        held = problem.prior if belief is None else belief / belief.sum()
        left = (1 << len(problem.tests)) - 1 if left is None else left
        self._waiting, self._found = {}, {}
        many = held[None, :]
        waiting: list[tuple[Action, Value]] = [(STOP, lambda: many @ self.mending.stop(stage))]
        for step in self.mending.steps(stage):
            waiting.append((("repair", step.repair), self._repair(many, step, left)))
        for i in range(len(problem.tests)):
            if left >> i & 1:
                waiting.append((("test", i), self._test(many, stage, left, i, self.depth)))
        self._evaluate()
        options = sorted((round(float(value()[0]), 12), action) for action, value in waiting)
        ordered = sorted(options, key=lambda o: (o[0], ("stop", "repair", "test").index(o[1][0]), o[1][1]))
        return Choice(tuple(ordered), float(held @ self.mending.known(stage)))

    def _leaf(self, many: Array, stage: Stage) -> Value:
        """Note the beliefs down; all that are held at one stage are evaluated together."""
        stage = self.mending.bare(stage)
        held = self._waiting.setdefault(stage, [])
        place = sum(len(b) for b in held)
        held.append(many)
        return lambda: self._found[stage][place : place + len(many)]

    def _evaluate(self) -> None:
        self._found = {stage: self.mending.values(np.concatenate(held), stage) for stage, held in self._waiting.items()}

    def _best(self, many: Array, stage: Stage, left: int, depth: int) -> Value:
        values = [self._leaf(many, stage)]
        if depth > 0:
            values += [self._test(many, stage, left, i, depth) for i in range(len(self.problem.tests)) if left >> i & 1]
        return lambda: np.min([v() for v in values], axis=0)

    def _test(self, many: Array, stage: Stage, left: int, test: int, depth: int) -> Value:
        removed, opened = stage
        price = self.problem.price(self.problem.tests[test], opened)
        table = self.problem.tables[test][self.problem.after(removed)]
        size, outcomes = len(many), table.shape[1]
        told = (many[:, None, :] * table.T[None, :, :]).reshape(size * outcomes, -1)
        after = (removed, self.problem.after_test(self.problem.tests[test], opened))
        rest = self._best(told, after, left & ~(1 << test), depth - 1)
        toll = many.sum(axis=1) * price
        return lambda: toll + rest().reshape(size, outcomes).sum(axis=1)

    def _repair(self, many: Array, step: Step, left: int) -> Value:
        toll = many @ step.toll
        rest = self._best(many * step.goes_on, step.to, left, self.depth - 1)
        return lambda: toll + rest()
