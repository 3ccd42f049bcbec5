"""Problems drawn at random, and a plain enumeration of every course of action to hold the quick methods against."""

from __future__ import annotations

from functools import cache
from random import Random

from diagnose.plan.problem import Problem, Repair, Test, closed


def draw(rng: Random, faults: int, tests: int, pairs: int = 2, detect: float = 1.0) -> Problem:
    """A problem with single faults, a few pairs, something else that nothing here mends, and noisy tests."""
    names = [f"f{i}" for i in range(faults)]
    places = {"under": rng.uniform(0.1, 0.5), "front": rng.uniform(0.1, 0.5)}
    repairs = []
    for i, name in enumerate(names):
        removes = {name} | ({names[i - 1]} if i and rng.random() < 0.2 else set())
        access = frozenset({rng.choice(sorted(places))} if rng.random() < 0.4 else set())
        repairs.append(Repair(f"r{i}", rng.choice([0.2, 0.5, 1.0, 3.0, 12.0]) * rng.uniform(0.7, 1.4), frozenset(removes), 0.1, access))
    patterns = [frozenset({n}) for n in names] + [frozenset({"other"})]
    patterns += [frozenset(rng.sample(names, 2)) for _ in range(pairs) if faults > 1]
    every = closed(patterns, repairs)
    weights = [rng.random() ** 2 * (0.3 if len(p) > 1 else 1.0) if i < len(patterns) else 0.0 for i, p in enumerate(every)]
    share = tuple(w / sum(weights) for w in weights)
    made = []
    for k in range(tests):
        seen = {n: rng.choice([0.02, 0.1, 0.5, 0.8, 0.95]) for n in [*names, "other"]}
        outcomes = ("no", "yes", "much") if rng.random() < 0.3 else ("no", "yes")
        rows = []
        for pattern in every:
            quiet = 0.97
            for fault in sorted(pattern):
                quiet *= 1.0 - seen[fault]
            rows.append((quiet, 1.0 - quiet) if len(outcomes) == 2 else (quiet, 0.4 * (1.0 - quiet), 0.6 * (1.0 - quiet)))
        access = frozenset({rng.choice(sorted(places))} if rng.random() < 0.4 else set())
        made.append(Test(f"t{k}", rng.choice([0.05, 0.1, 0.3, 1.0]), outcomes, tuple(rows), access))
    leave = {r: 20.0 * rng.uniform(0.5, 2.0) for r in names} | {"other": 5.0}
    return Problem(every, share, tuple(made), tuple(repairs), leave, 0.3, detect, places)


def enumerate_plans(problem: Problem) -> float:
    """Least expected cost by trying every action in every state; nothing pruned, nothing vectorised, own arithmetic."""

    @cache
    def best(belief: tuple[float, ...], removed: frozenset[str], opened: frozenset[str], left: frozenset[int]) -> float:
        rest = [problem.patterns.index(p - removed) for p in problem.patterns]
        cost = sum(b * sum(problem.leave[f] for f in problem.patterns[r]) for b, r in zip(belief, rest, strict=True))
        mass = sum(belief)
        if mass < 1e-12:
            return 0.0
        for i in left:
            test = problem.tests[i]
            price = test.cost + sum(problem.access[p] for p in test.access - opened)
            total = mass * price
            for k in range(len(test.outcomes)):
                told = tuple(b * test.likelihood[r][k] for b, r in zip(belief, rest, strict=True))
                total += best(told, removed, opened | test.access, left - {i})
            cost = min(cost, total)
        for repair in problem.repairs:
            if repair.removes <= removed:
                continue
            now = removed | repair.removes
            price = repair.cost + repair.proof + sum(problem.access[p] for p in repair.access - opened)
            total = mass * price
            goes_on = []
            for b, r, pattern in zip(belief, rest, problem.patterns, strict=True):
                if not problem.patterns[r] & repair.removes:
                    total += b * problem.vain
                remains = bool(pattern - now)
                total += b * (1 - problem.detect) * sum(problem.leave[f] for f in pattern - now) if remains else 0.0
                goes_on.append(b * problem.detect if remains else 0.0)
            cost = min(cost, total + best(tuple(goes_on), now, opened | repair.access, left))
        return cost

    return best(problem.share, frozenset(), frozenset(), frozenset(range(len(problem.tests))))
