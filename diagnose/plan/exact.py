"""The plan of least expected cost, exactly: dynamic programming over beliefs, pruned by what free answers would cost.

The bound: were all tests left free, and patterns of several faults known outright (a repair changes what tests show of them),
nothing could cost less. A branch whose bound is not below the best so far is not looked into.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from diagnose.plan.mending import START, Mending, Stage, Step, mending
from diagnose.plan.problem import Array, Problem

Action = tuple[str, int]  # ("test", position), ("repair", position) or ("stop", 0)
STOP: Action = ("stop", 0)
TINY = 1e-12
WIDE = 400  # joint outcomes up to which the bound takes all tests; beyond, the first ones, and patterns known (looser, still a bound)


class TooLarge(Exception):
    """More beliefs than allowed would have to be looked at."""


@dataclass
class Exact:
    """Exact values of one problem. `most`: how many beliefs may be looked at before TooLarge is raised."""

    problem: Problem
    most: int = 500_000
    mending: Mending = field(init=False)
    _kept: dict[tuple[Stage, int, bytes], tuple[float, Action]] = field(default_factory=dict)
    _joint: dict[tuple[frozenset[str], int], Array | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.mending = mending(self.problem)
        self._several = np.array([1.0 if len(p) > 1 else 0.0 for p in self.problem.patterns])

    def value(self, belief: Array | None = None, stage: Stage = START, left: int | None = None) -> tuple[float, Action]:
        """Least expected cost and the action to begin with. `left`: bit set of the tests not yet done. Raises TooLarge."""
        held = self.problem.prior if belief is None else belief / belief.sum()
        return self._value(held, stage, (1 << len(self.problem.tests)) - 1 if left is None else left)

    @property
    def size(self) -> int:
        """Number of beliefs looked at."""
        return len(self._kept)

    def bound(self, belief: Array, stage: Stage, left: int) -> float:
        """No plan with the tests `left` can cost less than this from here."""
        joint = self._answers(stage[0], left)
        known = self.mending.known(stage)
        if joint is None:
            return float(belief @ known)
        single = belief * (1.0 - self._several)
        return float((belief * self._several) @ known + self.mending.values(single[None, :] * joint, stage).sum())

    def _answers(self, removed: frozenset[str], left: int) -> Array | None:
        """Likelihood of every joint answer of the tests left, [answer, pattern]; None where there are too many."""
        key = (removed, left)
        if key not in self._joint:
            there = self.problem.after(removed)
            joint: Array | None = np.ones((1, len(self.problem.patterns)))
            for i, table in enumerate(self.problem.tables):
                if left >> i & 1 and joint is not None:
                    joint = (joint[:, None, :] * table[there].T[None, :, :]).reshape(-1, joint.shape[1])
                    if len(joint) > WIDE:
                        joint = None
            self._joint[key] = joint
        return self._joint[key]

    def _value(self, belief: Array, stage: Stage, left: int) -> tuple[float, Action]:
        key = (stage, left, np.round(belief, 12).tobytes())
        held = self._kept.get(key)
        if held is not None:
            return held
        if len(self._kept) >= self.most:
            raise TooLarge
        least, first = self.mending.best(belief, stage)
        action: Action = STOP if first is None else ("repair", first)
        removed, opened = stage
        tests = [(self.problem.price(t, opened), i) for i, t in enumerate(self.problem.tests) if left >> i & 1]
        free = self.bound(belief, stage, left) if tests else least
        for price, i in sorted(tests):
            after = (removed, self.problem.after_test(self.problem.tests[i], opened))
            low = free if after == stage else self.bound(belief, after, left)
            if price + low < least - TINY:
                cost = self._test(belief, price + low, after, i, left & ~(1 << i), least)
                if cost < least - TINY:
                    least, action = cost, ("test", i)
        if tests and free < least - TINY:
            for step in self.mending.steps(stage):
                cost = self._repair(belief, step, left, least)
                if cost < least - TINY:
                    least, action = cost, ("repair", step.repair)
        self._kept[key] = (least, action)
        return least, action

    def _test(self, belief: Array, low: float, after: Stage, test: int, left: int, least: float) -> float:
        """Cost of a test, or something not below `least` where it turns out not to be better. `low`: its bound."""
        told = (belief[:, None] * self.problem.tables[test][self.problem.after(after[0])]).T
        bounds = [self.bound(b, after, left) for b in told]
        whole = left | (1 << test)
        cost = low + sum(bounds) - self.bound(belief, after, whole)
        for held, known in zip(told, bounds, strict=True):
            if cost >= least:
                return cost
            mass = float(held.sum())
            if mass > TINY:
                cost += mass * self._value(held / mass, after, left)[0] - known
        return cost

    def _repair(self, belief: Array, step: Step, left: int, least: float) -> float:
        cost = float(belief @ step.toll)
        held = belief * step.goes_on
        mass = float(held.sum())
        if mass <= TINY:
            return cost
        if cost + self.bound(held, step.to, left) >= least - TINY:
            return least
        return cost + mass * self._value(held / mass, step.to, left)[0]
