"""Drawing what a vehicle with given faults would show: for tests that hold the knowledge against itself.

A drawn case is honest only about consistency: the same numbers draw it that later rank it. It shows whether a fault *can* be
recognised by what this knowledge says of it, and never how often that happens in life.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.knowledge.condition import Test, surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import Causal, Context, build
from diagnose.rank.network import Choice, Network, Node

LIKELY = 0.5  # chance from which a sign counts as typical
NEARLY_NEVER = 0.04  # chance of showing, below which a procedure would not be done for that fault


@dataclass(frozen=True)
class Drawn:
    """A case, and the faults that were put into it."""

    case: Case
    truth: tuple[str, ...]


def value_for(test: Test) -> Any:
    """A value that satisfies one test."""
    if test.words:
        return test.words[0]
    if test.above is not None and test.below is not None:
        return (test.above + test.below) / 2
    return test.above + 5.0 if test.above is not None else (test.below or 0.0) - 5.0


def vehicle_for(knowledge: Knowledge, faults: Iterable[str]) -> dict[str, Any] | None:
    """Vehicle fields that every one of `faults` needs; None where they contradict each other."""
    fields: dict[str, Any] = {}
    for name in faults:
        needs = knowledge.faults[name].needs
        for test in needs.tests if needs else ():
            fields.setdefault(test.field, value_for(test))
    for name in faults:
        needs = knowledge.faults[name].needs
        if needs and surely_fail(needs.tests, fields):
            return None
    return fields


def circumstances(knowledge: Knowledge, finding: str) -> dict[str, Any]:
    """Conditions in which a "no" to this finding means something."""
    shows = knowledge.findings[finding].shows_when
    return {test.field: value_for(test) for test in shows.when.tests} if shows else {}


def reach(knowledge: Knowledge, fault: str) -> dict[str, float]:
    """Findings that a fault can show, directly or through effects, with the chance of the likeliest path."""
    best: dict[str, float] = {}
    todo = [(fault, 1.0)]
    while todo:
        name, chance = todo.pop()
        for link in knowledge.links_from(name):
            one = sum(link.chance.values()) if isinstance(link.chance, Mapping) else link.chance
            if chance * one <= best.get(link.to, 0.0):
                continue
            best[link.to] = chance * one
            if link.to in knowledge.effects:
                todo.append((link.to, chance * one))
    return {name: chance for name, chance in best.items() if name in knowledge.findings}


def looked_at(knowledge: Knowledge, faults: Iterable[str], vehicle: Mapping[str, Any]) -> list[str]:
    """All that the procedures give which somebody does who thinks of these faults."""
    shown = {f for fault in faults for f, chance in reach(knowledge, fault).items() if chance >= NEARLY_NEVER}
    out = set(shown)
    for procedure in knowledge.procedures.values():
        if shown & set(procedure.gives) and not (procedure.needs and surely_fail(procedure.needs.tests, vehicle)):
            out |= set(procedure.gives)
    return sorted(out)


def typical(network: Network, truth: Sequence[str]) -> dict[str, int]:
    """The likeliest level of every node when these faults are there, nothing else is, and nobody misreads."""
    state: dict[str, int] = {}
    there = dict(network.place(name) for name in truth)
    for name, node in network.nodes.items():
        if name in there:
            state[name] = there[name]
        elif isinstance(node, Choice) or not node.causes:
            state[name] = 0
        else:
            below = [1.0] * node.size  # chance that the level is at most k
            for cause in node.causes:
                if state[cause.parent] == cause.state and not (cause.unless and state[cause.unless[0]] == cause.unless[1]):
                    for k in range(node.size):
                        below[k] *= 1.0 - sum(cause.push[k:])
            level = [below[0]] + [below[k] - below[k - 1] for k in range(1, node.size)]
            state[name] = max(range(1, node.size), key=level.__getitem__) if 1.0 - level[0] >= LIKELY else 0
    return state


def sampled(network: Network, truth: Sequence[str], faults: frozenset[str], chance: random.Random) -> dict[str, int]:
    """One draw of every node with these faults there and no other; harmless causes, events and misreadings come as they do."""
    state: dict[str, int] = {}
    there = dict(network.place(name) for name in truth)
    for name, node in network.nodes.items():
        if name in there:
            state[name] = there[name]
        elif isinstance(node, Choice):
            states = {level for fault, (part, level) in network.places.items() if part == name and fault not in faults}
            at = tuple(state[p] for p in node.parents())
            row = node.table()[at]
            level = chance.choices(range(node.size), [float(x) for x in row])[0]
            state[name] = level if level in states else 0
        elif name in faults:
            state[name] = 0
        else:
            state[name] = _level(node, state, chance)
    return state


def _level(node: Node, state: Mapping[str, int], chance: random.Random) -> int:
    pushes = [node.leak]
    for cause in node.causes:
        if state[cause.parent] == cause.state and not (cause.unless and state[cause.unless[0]] == cause.unless[1]):
            pushes.append(cause.push)
    return max(chance.choices(range(node.size), [max(0.0, 1.0 - sum(push)), *push])[0] for push in pushes)


def draw(knowledge: Knowledge, links: Causal, truth: Sequence[str], seed: int | None = None) -> Drawn:
    """A case of a vehicle that has exactly `truth`. Without a seed: its typical picture. With one: one draw by chance."""
    vehicle = vehicle_for(knowledge, truth)
    assert vehicle is not None, f"no vehicle can have {truth}"
    looked = looked_at(knowledge, truth, vehicle)
    around = {finding: circumstances(knowledge, finding) for finding in looked}
    network = build(knowledge, links, Context({**vehicle, "why_here": "complaint"}, around), looked)
    if seed is None:
        state = typical(network, truth)
    else:
        faults = frozenset(f.id for f in knowledge.faults.values() if f.kind == "fault")
        state = sampled(network, truth, faults, random.Random(f"{'+'.join(truth)} {seed}"))
    observations = []
    for name in looked:
        finding = knowledge.findings[name]
        answer = finding.levels[state[name]] if finding.bands else ("no", "yes")[state[name]]
        observations.append({"of": name, "answer": answer, **around[name]})
    data = {"title": " and ".join(truth), "invented": "yes", "vehicle": vehicle, "observations": observations}
    return Drawn(Case.model_validate(data), tuple(truth))


def marginals(knowledge: Knowledge, links: Causal, fault: str, findings: Sequence[str], vehicle: Mapping[str, Any]) -> dict[str, tuple[float, ...]]:
    """Chance of each level of each finding on a vehicle that has `fault`, everything else as it comes."""
    from diagnose.rank.rank import chances

    around = {finding: circumstances(knowledge, finding) for finding in findings}
    out: dict[str, tuple[float, ...]] = {}
    network = build(knowledge, links, Context({**vehicle, "why_here": "complaint"}, around), findings)
    node, level = network.place(fault)
    world = {node: tuple(1.0 if k == level else 0.0 for k in range(network.nodes[node].size))}
    pairs = {f"{name}={k}": (name, k) for name in findings for k in range(network.nodes[name].size)}
    table, _, _ = chances(Network(network.nodes, {**network.places, **pairs}), [world], list(pairs))
    for name in findings:
        out[name] = tuple(table[f"{name}={k}"][0] for k in range(network.nodes[name].size))
    return out
