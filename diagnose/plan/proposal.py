"""From an assessment in the making to the proposed tests: leaders, their worlds, and the procedures that tell them apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.plan.next_step import Candidate, Closed, candidates
from diagnose.plan.outlook import Worlds
from diagnose.rank.build import Context, build
from diagnose.rank.network import Evidence, Network
from diagnose.rank.rank import chances

if TYPE_CHECKING:
    from diagnose.compiled import Compiled
    from diagnose.explain.compose import Parts

MOST_LEADERS = 7
SHARE_FROM = 0.01  # chance of being needed, from which something is a leader to be told apart (estimate)
SETTLED = 0.97  # a leader at this chance needs proof of repair rather than another test (estimate)


@dataclass(frozen=True)
class Proposal:
    """Procedures in order, those held back, and the worlds they were judged in."""

    steps: tuple[Candidate, ...]
    closed: tuple[Closed, ...]
    worlds: Worlds


def propose(parts: Parts, ready: Compiled, context: Context, evidence: Evidence) -> Proposal:
    """The tests worth doing next, best first. Empty where one explanation is settled or nothing would tell."""
    knowledge = parts.knowledge
    leaders = _leaders(parts)
    if not leaders:  # nothing found yet: what would be looked at first is what most often goes wrong
        leaders = _commonest(parts)
    worlds = _worlds(parts.network, evidence, leaders)
    open_findings = [f for f in knowledge.findings if f not in parts.seen.findings and f in ready.links.into]
    network = build(knowledge, ready.links, context, [*evidence, *open_findings])
    steps, closed = candidates(
        knowledge, network, worlds, open_findings, parts.settings, context.facts, parts.ranking.chance, parts.advice.blocked, parts.advice.run_blocked
    )  # fmt: skip
    return Proposal(tuple(steps), tuple(closed), worlds)


def _leaders(parts: Parts) -> list[tuple[str, float]]:
    kinds = parts.knowledge.faults
    found = [(name, a) for name, a in parts.ranking.accounts.items() if name in kinds and kinds[name].kind != "event" and a >= SHARE_FROM]
    return sorted(found, key=lambda x: (-x[1], x[0]))[:MOST_LEADERS]


def _commonest(parts: Parts) -> list[tuple[str, float]]:
    kinds = parts.knowledge.faults
    found = [(n, c) for n, c in parts.ranking.chance.items() if n in kinds and kinds[n].kind == "fault"]
    return sorted(found, key=lambda x: (-x[1], x[0]))[:MOST_LEADERS]


def _worlds(network: Network, evidence: Evidence, leaders: list[tuple[str, float]]) -> Worlds:
    """One world a leader (it is there), and one in which none of them is: "something else, or nothing"."""
    places = {name: network.place(name) for name, _ in leaders}
    worlds: list[dict[str, tuple[float, ...]]] = []
    for name, _ in leaders:
        node, state = places[name]
        size = network.nodes[node].size
        worlds.append({**evidence, node: tuple(1.0 if k == state else 0.0 for k in range(size))})
    none = dict(evidence)
    for node in sorted({node for node, _ in places.values()}):
        there = {state for n, state in places.values() if n == node}
        none[node] = tuple(0.0 if k in there else 1.0 for k in range(network.nodes[node].size))
    worlds.append(none)
    wanted = [name for name, node in network.nodes.items() if name not in evidence]
    pairs = {f"{name}={k}": (name, k) for name in wanted for k in range(1, network.nodes[name].size)}
    table, _, _ = chances(Network(network.nodes, {**network.places, **pairs}), worlds, list(pairs))
    chance = tuple({pairs[key]: row[w] for key, row in table.items()} for w in range(len(worlds)))
    total = sum(share for _, share in leaders)
    rest = max(0.05, 1.0 - total)
    shares = tuple(share / (total + rest) for _, share in leaders) + (rest / (total + rest),)
    return Worlds(tuple(name for name, _ in leaders), shares, chance)


def after(worlds: Worlds, posterior: tuple[float, ...]) -> Mapping[str, float]:
    """Leaders' shares after an outcome, by id."""
    return dict(zip(worlds.leaders, posterior, strict=False))
