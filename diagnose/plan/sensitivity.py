"""What would change the answer: how far the leading chance, a price, or one observation can move before another step is better."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp, log

import numpy as np

from diagnose.plan.exact import Action
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.problem import Array, Problem

HALVINGS = 6  # of the interval in which a break-even chance lies: to about 1 % (a choice, not a measurement)
FACTORS = (0.4, 0.1)  # of the odds, at which the leading chance is tried, and their reciprocals
PRICES = (0.5, 2.0)  # a price is tried at half and at double


def tilted(problem: Problem, faults: frozenset[str], chance: float) -> Array:
    """The belief in which patterns with any of `faults` have this share together, the rest in proportion."""
    there = np.array([1.0 if p & faults else 0.0 for p in problem.patterns])
    now = float(problem.prior @ there)
    if not 0.0 < now < 1.0:
        return problem.prior
    scaled: Array = problem.prior * (there * (chance / now) + (1.0 - there) * ((1.0 - chance) / (1.0 - now)))
    return scaled


def share_of(problem: Problem, faults: frozenset[str]) -> float:
    """Share of the patterns in which any of `faults` is there."""
    return float(sum(s for p, s in zip(problem.patterns, problem.share, strict=True) if p & faults))


def first_action(problem: Problem, belief: Array | None = None, depth: int = 1) -> Action:
    """The best first action, looking `depth` tests ahead."""
    return Lookahead(problem, depth).choose(belief).action


def break_even(problem: Problem, faults: frozenset[str], repair: int) -> float | None:
    """Least chance of `faults` from which doing the repair now is the best first action; None where no chance makes it so."""

    def now(chance: float) -> bool:
        return first_action(problem, tilted(problem, faults, chance)) == ("repair", repair)

    return _border(now, 0.001, 0.999)


def next_border(problem: Problem, faults: frozenset[str], now: Action) -> list[tuple[float, Action]]:
    """Chances of `faults`, one below and one above theirs, at which another action than `now` becomes the first, and which; those
    that exist. Tried at a few odds between, so what holds only within a narrow band may be missed."""
    here = share_of(problem, faults)
    if not 0.0 < here < 1.0:
        return []
    out = []
    odds = here / (1.0 - here)
    for factors in (FACTORS, tuple(1.0 / f for f in FACTORS)):
        for factor in factors:
            chance = odds * factor / (1.0 + odds * factor)
            then = first_action(problem, tilted(problem, faults, chance))
            if then != now:
                out.append((chance, then))
                break
    return sorted(out, key=lambda x: x[0])


def _border(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    if not holds(high):
        return None
    if holds(low):
        return low
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def moved(chance: float, weight: float) -> float:
    """A chance after a finding of this weight (natural log-odds) is taken away."""
    chance = min(max(chance, 1e-6), 1.0 - 1e-6)
    return 1.0 / (1.0 + exp(-(log(chance / (1.0 - chance)) - weight)))


def with_price(problem: Problem, action: Action, factor: float) -> Problem:
    """The problem with one action's price multiplied."""
    kind, i = action
    if kind == "test":
        tests = tuple(replace(t, cost=t.cost * factor) if k == i else t for k, t in enumerate(problem.tests))
        return replace(problem, tests=tests)
    repairs = tuple(replace(r, cost=r.cost * factor) if k == i else r for k, r in enumerate(problem.repairs))
    return replace(problem, repairs=repairs)
