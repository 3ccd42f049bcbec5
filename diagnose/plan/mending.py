"""What it costs from here when no more is tested: stop, or repair and see, in the best order. Exact, and for many beliefs at once.

Repairs done so far and places open make a *stage*. After a repair a proof is run: nothing left of the trouble ends the job (what
the proof overlooked comes back and is paid); trouble that goes on excludes all patterns that would be gone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.plan.problem import NOTHING, Array, Problem

Stage = tuple[frozenset[str], frozenset[str]]  # faults removed, shared places open
START: Stage = (NOTHING, NOTHING)


@dataclass(frozen=True)
class Step:
    """One repair that leads to stage `to`: `toll` is its cost for each pattern, `goes_on` the chance that trouble is then seen to go on."""

    repair: int
    to: Stage
    toll: Array
    goes_on: Array


@dataclass(frozen=True)
class _Reach:
    """A stage and all that follow it, the last first; one column of costs for stopping and for each step."""

    stages: tuple[Stage, ...]
    costs: Array


class Mending:
    """Plans without tests for one problem; what is worked out for a stage is kept."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._steps: dict[Stage, tuple[Step, ...]] = {}
        self._reach: dict[Stage, _Reach] = {}
        self._known: dict[Stage, Array] = {}

    def bare(self, stage: Stage) -> Stage:
        """A stage without what tests left behind (a warm engine): before a repair a night passes, and it is gone."""
        removed, opened = stage
        return stage if opened <= self.problem.shared else (removed, opened & self.problem.shared)

    def stop(self, stage: Stage) -> Array:
        """Price of stopping at a stage, for each pattern."""
        return self.problem.left[self.problem.after(stage[0])]

    def steps(self, stage: Stage) -> tuple[Step, ...]:
        """All repairs that still remove something at this stage."""
        stage = self.bare(stage)
        held = self._steps.get(stage)
        if held is None:
            held = self._steps[stage] = _steps(self.problem, stage)
        return held

    def values(self, beliefs: Array, stage: Stage = START) -> Array:
        """Least expected cost from `stage` for beliefs [many, pattern] held there (not normalised: cost scales with their sum)."""
        stage = self.bare(stage)
        reach = self._reached(stage)
        costs = np.ascontiguousarray((beliefs @ reach.costs).T)
        detect = self.problem.detect
        found: dict[Stage, Array] = {}
        row = 0
        for here in reach.stages:
            best = costs[row]
            row += 1
            for step in self.steps(here):
                rest = found[step.to] if detect == 1.0 else detect * found[step.to]
                best = np.minimum(best, costs[row] + rest)
                row += 1
            found[here] = best
        return found[stage]

    def best(self, belief: Array, stage: Stage = START) -> tuple[float, int | None]:
        """Least expected cost without tests, and the repair to begin with (None: stop)."""
        choice: int | None = None
        least = float(belief @ self.stop(stage))
        for step in self.steps(stage):
            cost = float(belief @ step.toll + self.values((belief * step.goes_on)[None, :], step.to)[0])
            if cost < least - 1e-12:
                least, choice = cost, step.repair
        return least, choice

    def known(self, stage: Stage) -> Array:
        """For each pattern, what it would cost from this stage if it were known: no plan can cost less on average."""
        stage = self.bare(stage)
        held = self._known.get(stage)
        if held is None:
            held = self._known[stage] = self.values(np.eye(len(self.problem.patterns)), stage)
        return held

    def _reached(self, stage: Stage) -> _Reach:
        held = self._reach.get(stage)
        if held is None:
            stages = dict.fromkeys([stage])
            waiting = [stage]
            while waiting:
                for step in self.steps(waiting.pop()):
                    if step.to not in stages:
                        stages[step.to] = None
                        waiting.append(step.to)
            order = sorted(stages, key=lambda s: (-len(s[0]), -len(s[1]), sorted(s[0]), sorted(s[1])))
            columns = []
            for here in order:
                there = 1.0 - self.problem.cured(here[0]) if here[0] else np.ones(len(self.problem.patterns))
                columns += [there * self.stop(here), *(there * s.toll for s in self.steps(here))]
            held = self._reach[stage] = _Reach(tuple(order), np.array(columns).T)
        return held


def mending(problem: Problem) -> Mending:
    """The plans without tests of a problem, kept with it."""
    held = problem.kept.get("mending")
    if not isinstance(held, Mending):
        held = problem.kept["mending"] = Mending(problem)
    return held


def _steps(problem: Problem, stage: Stage) -> tuple[Step, ...]:
    removed, opened = stage
    out = []
    there = problem.after(removed)
    for i, repair in enumerate(problem.repairs):
        if repair.removes <= removed:
            continue
        now = removed | repair.removes
        vain = np.array([0.0 if problem.patterns[k] & repair.removes else problem.vain for k in there])
        remains = 1.0 - problem.cured(now)
        toll = problem.price(repair, opened) + vain + (1.0 - problem.detect) * problem.left[problem.after(now)] * remains
        out.append(Step(i, (now, opened | (repair.access & problem.shared)), toll, remains * problem.detect))
    return tuple(out)
