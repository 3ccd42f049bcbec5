"""From an assessment in the making to what to do next: leaders, their worlds, the tests that pay, the repairs that follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import TYPE_CHECKING

from diagnose.plan.cost import Costs, left_behind, not_stood
from diagnose.plan.cut import Cut, cut, keep
from diagnose.plan.next_step import WORTH, Allowed, Candidate, Closed, candidates
from diagnose.plan.outlook import Worlds
from diagnose.plan.policy import Plan, plan, screen
from diagnose.plan.worlds import Leader, Outlook, look_out
from diagnose.rank.build import Context, build
from diagnose.rank.network import Evidence, Network, Node

if TYPE_CHECKING:
    from diagnose.compiled import Compiled
    from diagnose.explain.compose import Parts

MOST_LEADERS = 7
SHARE_FROM = 0.01  # chance of being needed, from which something is a leader to be told apart (estimate)
MOST_STEPS = 6
MOST_ASKED = 2  # procedures named because a rule asks for what they give
LOOK_MINUTES = 300.0  # dearer than this a step is named only where the plan begins with it (estimate)
HEEDED = 0.5  # share of a step's bits, and of its bits a minute, from which a later one that it is in the way of goes first (estimate)
MOST_CUT, MOST_TELLING = 12, 8  # candidates that are weighed by what they save: the first by bits a minute, and by bits


@dataclass(frozen=True)
class Proposal:
    """Procedures in order, those held back, the worlds they were judged in, and the plan in numbers.

    `asked`: the plan that begins with a test which is worth its price and beyond the money agreed, where there is one.
    """

    steps: tuple[Candidate, ...]
    closed: tuple[Closed, ...]
    worlds: Worlds
    cut: Cut
    plan: Plan
    candidates: tuple[Candidate, ...]
    asked: tuple[Cut, Plan] | None = None


def propose(parts: Parts, ready: Compiled, context: Context, evidence: Evidence, repairs: Sequence[str] = ()) -> Proposal:
    """What to do next. `repairs`: such as must be weighed, whatever their chance (a second opinion asks for them)."""
    costs = Costs(parts.knowledge, parts.settings, context.facts)
    leaders = _leaders(parts, repairs)
    seen = parts.seen.findings  # what was looked at and could not be judged is open still
    open_findings = [
        f
        for f in parts.knowledge.findings
        if (f not in seen or seen[f].level == "unsure") and f in ready.links.into and f not in parts.seen.moot
    ]
    network = build(parts.knowledge, ready.links, context, [*evidence, *open_findings])
    outlook = _outlook(parts, network, leaders, open_findings)
    allowed = Allowed(parts.ranking.chance, parts.advice.blocked, parts.advice.run_blocked, parts.advice.urgency)
    asks = [f for f in _asks(parts) if f in open_findings]
    every, closed = candidates(parts.knowledge, network, outlook.worlds, open_findings, costs, allowed, asks)
    found = [c for c in every if c.bits >= WORTH]

    def planned(offered: list[Candidate]) -> tuple[Cut, Plan]:
        telling = sorted(offered, key=lambda c: (-c.bits, c.procedure.id))[:MOST_TELLING]
        weighed = [*offered[:MOST_CUT], *(c for c in telling if c not in offered[:MOST_CUT])]
        wide = cut(parts, outlook, network, weighed, costs, repairs)
        kept = screen(wide.problem, [0, 1, *(weighed.index(c) for c in telling)])
        small = replace(wide, problem=keep(wide.problem, kept))
        return small, plan(small.problem)

    small, chosen = planned(found)
    unpaid = [c.unpaid for c in closed if c.unpaid]
    asked = planned(sorted([*found, *unpaid], key=lambda c: (-c.worth, c.procedure.id))) if unpaid else None
    if asked and (asked[1].action[0] != "test" or asked[0].problem.tests[asked[1].action[1]].id not in {c.procedure.id for c in unpaid}):
        asked = None
    steps = _in_order(small, chosen, found, _asked_for(asks, every))
    return Proposal(steps, tuple(closed), outlook.worlds, small, chosen, tuple(found), asked)


def _outlook(parts: Parts, network: Network, leaders: list[Leader], open_findings: Sequence[str]) -> Outlook:
    parents = sorted({p for f in open_findings for p in network.nodes[f].parents()})
    known = parts.network.nodes
    found = any(f.level != "absent" for f in parts.seen.findings.values())
    roots = {(p, k): x for p in parents if p not in known for k, x in enumerate(_leak(network, p), 1)}
    query = parts.ranking.query
    assert query is not None
    return look_out(parts.network, query, leaders, [p for p in parents if p in known], roots, found)


def _leak(network: Network, name: str) -> tuple[float, ...]:
    """Chances of a root that only tests not yet done read (a procedure that misleads): nothing is known of it."""
    node = network.nodes[name]
    return node.leak if isinstance(node, Node) else ()


def _leaders(parts: Parts, repairs: Sequence[str]) -> list[Leader]:
    """Foremost by what they account for; nothing found yet: what most often goes wrong; and what the repairs asked for remove."""
    kinds, ranking = parts.knowledge.faults, parts.ranking
    asked = {f for r in repairs for f in parts.knowledge.repairs[r].removes if f in ranking.chance}
    names = [n for n, a in ranking.accounts.items() if n in kinds and kinds[n].kind != "event" and a >= SHARE_FROM]
    value: Mapping[str, float] = ranking.accounts
    if not names:
        names = [n for n in ranking.chance if n in kinds and kinds[n].kind == "fault"]
        value = ranking.chance
    names = sorted(names, key=lambda n: (-value[n], n))[:MOST_LEADERS]
    extra = sorted(asked - set(names), key=lambda n: (-ranking.accounts[n], n))[:3]
    return [Leader(n, max(ranking.chance[n], 1e-4), max(value[n], 1e-4)) for n in (*names, *extra)]


def _asks(parts: Parts) -> list[str]:
    """Findings that a rule asks for in this context, whatever the plan in numbers says of them."""
    return sorted(parts.seen.asks)


def _asked_for(asks: Sequence[str], every: Sequence[Candidate]) -> list[Candidate]:
    """For each finding that a rule asks for, the quickest procedure that gives it; few of them, the most telling, the quickest first."""
    out: dict[str, Candidate] = {}
    for name in asks:
        giving = sorted((c for c in every if name in c.procedure.gives), key=lambda c: (c.minutes, c.procedure.id))
        if giving and giving[0].procedure.id not in out:
            best = giving[0]
            first = [t for t in best.tells if t.finding == name]
            tells = (*first, *(t for t in best.tells if t.finding != name))
            out[best.procedure.id] = best if best.bits >= WORTH or not first else replace(best, tells=tells)
    telling = sorted(out.values(), key=lambda c: (-c.bits, c.procedure.id))[:MOST_ASKED]
    return sorted(telling, key=lambda c: (c.minutes, c.procedure.id))


def _in_order(cut: Cut, chosen: Plan, found: Sequence[Candidate], asked: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """The plan's own first test; what tells most; what rules ask for in this context; then by turns what tells most, what tells most
    a minute, and what costs least when done first.

    So the list holds the quick look as well as the test that would settle it. Two for the same telling finding: the better one.
    What takes hours is not among the looks unless the plan itself begins with it.
    """
    by_id = {c.procedure.id: c for c in (*asked, *found)}
    costed = [cut.problem.tests[i].id for _, (kind, i) in chosen.choice.options if kind == "test"]
    by_cost = [name for name in costed if by_id[name].minutes <= LOOK_MINUTES]
    by_bits = [c.procedure.id for c in sorted(found, key=lambda c: (-c.bits, c.procedure.id)) if c.minutes <= LOOK_MINUTES]
    by_worth = [c.procedure.id for c in found if c.minutes <= LOOK_MINUTES]
    first = [cut.problem.tests[chosen.action[1]].id] if chosen.action[0] == "test" else by_cost[:1]
    turns = [name for turn in zip_longest(by_bits, by_worth, by_cost) for name in turn if name]
    seen: set[str] = set()
    out: list[Candidate] = []
    for name in (*first, *by_bits[:1], *(c.procedure.id for c in asked), *turns):
        best = by_id[name].tells[0].finding
        if best not in seen:
            out.append(by_id[name])
            seen.add(best)
    return _unhindered(out[:MOST_STEPS])


def _unhindered(steps: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """The first step stays; of the others, one that gets in the way of a later one (warms the engine, opens the system) goes after it,
    unless the later one tells too little beside it to be waited for."""
    out = list(steps[:1])
    waiting = list(steps[1:])
    while waiting:
        free = next((c for c in waiting if not any(_in_the_way(c, d) for d in waiting if d is not c)), waiting[0])
        out.append(free)
        waiting.remove(free)
    return tuple(out)


def _in_the_way(one: Candidate, later: Candidate) -> bool:
    heeded = later.bits >= HEEDED * one.bits and later.worth >= HEEDED * one.worth
    return heeded and bool(left_behind(one.procedure) & not_stood(later.procedure))


def after(worlds: Worlds, posterior: tuple[float, ...]) -> Mapping[str, float]:
    """Leaders' shares after an outcome, by id."""
    return dict(zip(worlds.leaders, posterior, strict=False))
