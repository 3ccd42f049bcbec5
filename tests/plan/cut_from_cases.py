"""Sub-problems cut from the real knowledge: a worked case's problem, fewer faults and tests of it; a policy followed to its end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np

from diagnose.assess import work_out
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.cost import Costs
from diagnose.plan.cut import cut
from diagnose.plan.exact import Action
from diagnose.plan.mending import START, Mending, Stage
from diagnose.plan.next_step import Allowed, candidates
from diagnose.plan.problem import Array, Problem
from diagnose.plan.proposal import _leaders, _outlook
from diagnose.rank.build import build

CASES = sorted(p for p in (Path(__file__).parents[2] / "cases").glob("*.yaml"))


def whole_problem(path: Path, knowledge: Knowledge, most: int = 14) -> Problem:
    """The problem of a worked case with the tests that tell most a minute."""
    worked = work_out(read_case(path, None, knowledge), knowledge)
    parts = worked.parts
    leaders = _leaders(parts, ())
    unseen = [f for f in knowledge.findings if f not in parts.seen.findings and f in worked.ready.links.into]
    network = build(knowledge, worked.ready.links, worked.context, [*worked.evidence, *unseen])
    outlook = _outlook(parts, network, leaders, unseen)
    costs = Costs(knowledge, parts.settings, worked.context.facts)
    found, _ = candidates(knowledge, network, outlook.worlds, unseen, costs, Allowed({}, {}, ""))
    return cut(parts, outlook, network, found[:most], costs).problem


def part_of(rng: Random, whole: Problem, most_faults: int = 6, most_tests: int = 7) -> Problem:
    """At most so many faults and tests of a problem; what remains of the shares adds up to 1 again."""
    faults = sorted({f for p in whole.patterns for f in p})
    kept = set(rng.sample(faults, min(len(faults), rng.randint(2, most_faults))))
    place = [i for i, p in enumerate(whole.patterns) if p <= kept]
    every = np.array([whole.share[i] + (0.0 if whole.patterns[i] == frozenset() else 1e-6) for i in place])
    share = tuple(float(x) for x in every / every.sum())
    repairs = tuple(replace(r, removes=r.removes & kept) for r in whole.repairs if r.removes & kept)
    count = rng.randint(2, most_tests)
    tests = tuple(
        replace(t, likelihood=tuple(t.likelihood[i] for i in place)) for t in rng.sample(whole.tests, min(count, len(whole.tests)))
    )
    return replace(
        whole, patterns=tuple(whole.patterns[i] for i in place), share=share, tests=tests, repairs=repairs
    )  # fmt: skip


Choose = Callable[[Array, Stage, int], Action]


def followed(problem: Problem, choose: Choose) -> float:
    """Expected cost of following a policy to its end, by walking through every outcome."""
    mending = Mending(problem)

    def walk(belief: Array, stage: Stage, left: int) -> float:
        mass = float(belief.sum())
        if mass < 1e-10:
            return 0.0
        kind, i = choose(belief, stage, left)
        if kind == "stop":
            return float(belief @ mending.stop(stage))
        if kind == "repair":
            step = next(s for s in mending.steps(stage) if s.repair == i)
            return float(belief @ step.toll) + walk(belief * step.goes_on, step.to, left)
        removed, opened = stage
        test = problem.tests[i]
        table = problem.tables[i][problem.after(removed)]
        after = (removed, problem.after_test(test, opened))
        return mass * problem.price(test, opened) + sum(walk(belief * table[:, k], after, left & ~(1 << i)) for k in range(table.shape[1]))

    return walk(problem.prior, START, (1 << len(problem.tests)) - 1)
