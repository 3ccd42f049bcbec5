"""From a case to a problem in numbers: the leaders as patterns, the procedures as tests, what mends the leaders as repairs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from diagnose.plan.cost import ELSEWHERE, PROOF_HOURS, Costs, left_behind, not_stood
from diagnose.plan.next_step import Candidate
from diagnose.plan.outlook import Columns
from diagnose.plan.problem import Pattern, Problem, Repair, Test, closed
from diagnose.plan.worlds import Outlook
from diagnose.rank.network import Network, Node

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

TOLD = 4  # findings of one procedure that are looked at: the most telling ones
DETECT = 0.9  # chance that the proof after a repair notices that something is still wrong (estimate)
MOST_REPAIRS = 5
NEVER = 1e-4  # a test never quite excludes a pattern: what is shown may be misread


@dataclass(frozen=True)
class Shown:
    """What an outcome of a test stands for: a finding and its level, or ("", "") for "nothing of the kind"."""

    finding: str
    level: str


@dataclass(frozen=True)
class Cut:
    """The problem, and what its tests' outcomes stand for, by the test's id."""

    problem: Problem
    shown: Mapping[str, tuple[Shown, ...]]
    outlook: Outlook


def cut(parts: Parts, outlook: Outlook, network: Network, tests: Sequence[Candidate], costs: Costs, also: Sequence[str] = ()) -> Cut:
    """The problem of a case. `also`: repairs that must be in it."""
    from diagnose.explain.compose import urgency_of

    repairs = _repairs(parts, outlook, costs, also)
    patterns = closed(outlook.patterns, repairs)
    column = [_column(outlook, p) for p in patterns]
    share = tuple(outlook.share[outlook.patterns.index(p)] if p in outlook.patterns else 0.0 for p in patterns)
    made, shown = [], {}
    opening = costs.opening()
    for candidate in tests:
        seen, rows = _rows(candidate, network, parts, outlook.worlds.columns, column)
        procedure = candidate.procedure
        access = frozenset() if procedure.id in costs.settings.prices else frozenset(procedure.opens)
        names = tuple(f"{s.finding}={s.level}" for s in seen)
        hours = costs.procedure(procedure)
        made.append(Test(procedure.id, hours, names, rows, access, left_behind(procedure), not_stood(procedure)))
        shown[procedure.id] = seen
    faults = sorted({f for p in patterns for f in p})
    leave = {f: costs.leave(f, urgency_of(parts, f) if f != ELSEWHERE else "none") for f in faults}
    places = {p for t in made for p in t.access} | {p for r in repairs for p in r.access}
    prices = {place: opening.get(place, 0.05) for place in sorted(places)}
    problem = Problem(patterns, share, tuple(made), repairs, leave, costs.price("price_in_vain"), DETECT, prices, costs.undo())
    return Cut(problem, shown, outlook)


def keep(problem: Problem, tests: Sequence[int]) -> Problem:
    """The problem with some of its tests only."""
    return replace(problem, tests=tuple(problem.tests[i] for i in tests))


def _column(outlook: Outlook, pattern: Pattern) -> int:
    """Which world shows what this pattern shows; what a repair left over without a world of its own looks like its first fault."""
    for candidate in (pattern, *(frozenset({f}) for f in sorted(pattern))):
        if candidate in outlook.patterns:
            return outlook.column[outlook.patterns.index(candidate)]
    return outlook.column[-1]


def _repairs(parts: Parts, outlook: Outlook, costs: Costs, also: Sequence[str]) -> tuple[Repair, ...]:
    """Repairs of the leaders by what they would remove, the cheapest of those that remove the same; those that belong together too."""
    faults: frozenset[str] = frozenset().union(*outlook.patterns)
    weight: dict[str, float] = {}
    for pattern, share in zip(outlook.patterns, outlook.share, strict=True):
        for fault in pattern:
            weight[fault] = weight.get(fault, 0.0) + share
    best: dict[frozenset[str], Repair] = {}
    opening = costs.opening()
    for repair in parts.knowledge.repairs.values():
        along = _along(repair.id, parts, costs)
        removes = faults & frozenset(repair.removes)
        if (not removes or repair.id in costs.settings.refused) and repair.id not in also:
            continue
        removes |= faults & frozenset(f for r in along for f in parts.knowledge.repairs[r].removes)
        places = costs.places(repair.id)
        whole = costs.repair(repair) + sum(costs.joined(parts.knowledge.repairs[r]) for r in along)
        inside = sum(opening[p] for p in sorted(places))
        if inside >= whole:  # its hours cannot hold what it opens: leave the access out
            places, inside = frozenset(), 0.0
        made = Repair(repair.id, whole - inside, removes, PROOF_HOURS, places, along)
        held = best.get(removes)
        if repair.id in also or held is None or (held.id not in also and (whole, repair.id) < (held.cost, held.id)):
            best[removes] = made
    ranked = sorted(best.values(), key=lambda r: (r.id not in also, -sum(weight.get(f, 0.0) for f in sorted(r.removes)), r.id))
    return tuple(r for r in ranked[:MOST_REPAIRS] if r.removes)


def _along(repair: str, parts: Parts, costs: Costs) -> tuple[str, ...]:
    """Repairs that belong to this one (it is the first of what a rule put together), so that they are done and paid with it."""
    groups = [g for g in parts.advice.together if g[0] == repair]
    return tuple(sorted({r for g in groups for r in g[1:] if r in parts.knowledge.repairs and r not in costs.settings.refused}))


def _rows(
    candidate: Candidate, network: Network, parts: Parts, columns: Columns, worlds: Sequence[int]
) -> tuple[tuple[Shown, ...], tuple[tuple[float, ...], ...]]:
    """Outcomes: the most telling thing that shows, or nothing; their chances in each world, findings taken as independent there."""
    findings = [t.finding for t in candidate.tells[:TOLD]]
    shown = [Shown("", "")]
    still, rows = np.ones(len(worlds)), []
    for name in findings:
        shown += [Shown(name, level) for level in parts.knowledge.findings[name].levels[1:]]
        node = network.nodes[name]
        assert isinstance(node, Node)
        found = columns.levels(node)[:, worlds]
        rows.append(still * found[1:])
        still = still * found[0]
    whole = np.maximum(NEVER, np.concatenate([still[np.newaxis], *rows]))
    return tuple(shown), tuple(tuple(row) for row in (whole / whole.sum(axis=0)).T.tolist())
