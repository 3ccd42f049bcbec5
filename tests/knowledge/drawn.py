"""Drawing what a vehicle with given faults, and no others, would show: to hold the knowledge against itself.

A drawn case is honest only about consistency: the numbers that draw it are those that later rank it. It shows whether a fault
*can* be recognised by what this knowledge says of it, and nothing about how often that happens in life.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from random import Random
from typing import Any

from simulate import links, read_conditions, sample, satisfy

from diagnose.case.case import Case
from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import Context, build
from diagnose.rank.network import Choice, Network, Node

TYPICAL = 0.5  # chance from which a sign belongs to the typical picture
SIGNS, RIVALS, RIVAL_SIGNS = 10, 3, 1  # how many signs of the fault itself, and of how many look-alikes, somebody would look at
PAST = 0.4  # share of a fault's occurrences that one past event must stand behind, to belong to its picture
SURE = 0.999999


def real(knowledge: Knowledge) -> list[str]:
    """Ids of all real faults."""
    return [f.id for f in knowledge.faults.values() if f.kind == "fault"]


def vehicle_for(knowledge: Knowledge, faults: Iterable[str]) -> dict[str, Any] | None:
    """Vehicle fields that all of `faults` need; None where no vehicle can have them all."""
    needs = [n for f in faults if (n := knowledge.faults[f].needs)]
    fields: dict[str, Any] = {}
    for need in needs:
        for test in need.tests:
            fields.setdefault(test.field, satisfy(Random(0), test))
    return None if any(surely_fail(n.tests, fields) for n in needs) else fields


def signs(knowledge: Knowledge, fault: str) -> dict[str, float]:
    """Findings that a fault can show, directly or through effects, each with the chance of its likeliest path."""
    best: dict[str, float] = {}
    todo = [(fault, 1.0)]
    while todo:
        name, chance = todo.pop()
        for link in knowledge.links_from(name):
            whole = chance * (sum(link.chance.values()) if isinstance(link.chance, Mapping) else link.chance)
            if whole > best.get(link.to, 0.0):
                best[link.to] = whole
                if link.to in knowledge.effects:
                    todo.append((link.to, whole))
    return {name: chance for name, chance in best.items() if name in knowledge.findings}


def looked_at(knowledge: Knowledge, faults: Sequence[str]) -> list[str]:
    """What somebody looks at who thinks of these faults and of what looks alike: the commonest signs of each, and the part's own."""
    out: set[str] = set()
    for name in faults:
        fault = knowledge.faults[name]
        own = signs(knowledge, name)
        out |= {to for event in behind(knowledge, name) for to in signs(knowledge, event)}
        out |= set(sorted(own, key=lambda f: (-own[f], f))[:SIGNS]) | {link.to for link in fault.shows}
        for rival in [n for n in fault.nearest if n in knowledge.faults][:RIVALS]:
            direct = sorted((link for link in knowledge.faults[rival].shows), key=lambda x: (-_whole(x.chance), x.to))
            out |= {link.to for link in direct[:RIVAL_SIGNS]}
    return sorted(out)


def behind(knowledge: Knowledge, fault: str, share: float = PAST) -> list[str]:
    """The past event that most often stands behind a fault, where it stands behind at least `share` of all its occurrences."""
    entry = knowledge.faults[fault]
    raised = {after.event: knowledge.faults[after.event].prior.complaint * after.chance for after in entry.likelier_after}
    whole = entry.prior.complaint + sum(raised.values())
    first = min(raised, key=lambda e: (-raised[e], e), default=None)
    return [first] if first is not None and raised[first] >= share * whole else []


def _whole(chance: float | Mapping[str, float]) -> float:
    return sum(chance.values()) if isinstance(chance, Mapping) else chance


def conditions_of(knowledge: Knowledge, finding: str) -> dict[str, Any]:
    """Circumstances in which a "no" to this finding means something."""
    shows = knowledge.findings[finding].shows_when
    return {test.field: satisfy(Random(0), test) for test in shows.when.tests} if shows else {}


def network_of(knowledge: Knowledge, vehicle: Mapping[str, Any], findings: Sequence[str]) -> Network:
    """The causal network of such a vehicle, brought with a complaint, with everything seen in good conditions."""
    around = {f: read_conditions(conditions_of(knowledge, f)) for f in findings}
    return build(knowledge, links(knowledge), Context({**vehicle, "why_here": "complaint"}, around), findings)


def only(network: Network, truth: Sequence[str], faults: Sequence[str]) -> Network:
    """The same network where `truth` is there and no other real fault is; all else comes as it does."""
    there = {network.place(name) for name in truth}
    nodes = dict(network.nodes)
    for name in sorted({*faults, *truth}):
        if name not in network.places:
            continue
        part, level = network.place(name)
        node, here = nodes[part], (part, level) in there
        if isinstance(node, Choice):
            priors = [(SURE if here else 0.0) if k == level else p for k, p in enumerate(node.priors, start=1)]
            nodes[part] = Choice(node.id, tuple(priors))
        else:
            nodes[part] = Node(node.id, (SURE if here else 0.0,))
    return replace(network, nodes=nodes)


def typical(network: Network) -> dict[str, int]:
    """The likeliest level of every node, cause before effect, with no misreading and no harmless cause unless it is likelier than not."""
    level: dict[str, int] = {}
    for name, node in network.nodes.items():
        if isinstance(node, Choice):
            level[name] = next((k for k, p in enumerate(node.priors, start=1) if p >= TYPICAL), 0)
            continue
        pushes = [node.leak if not node.causes else ()]
        pushes += [c.push for c in node.causes if level[c.parent] == c.state and not (c.unless and level[c.unless[0]] == c.unless[1])]
        at_most = [1.0] * node.size
        for push in pushes:
            for k in range(node.size):
                at_most[k] *= 1.0 - sum(push[k:])
        each = [at_most[0], *(at_most[k] - at_most[k - 1] for k in range(1, node.size))]
        level[name] = max(range(1, node.size), key=each.__getitem__) if 1.0 - each[0] >= TYPICAL else 0
    return level


def drawn(knowledge: Knowledge, truth: Sequence[str], seed: int | None = None) -> Case:
    """A case of a vehicle that has `truth` and no other fault. Without a seed its typical picture, with one a draw by chance."""
    vehicle = vehicle_for(knowledge, truth)
    assert vehicle is not None, f"no vehicle can have all of {truth}"
    looked = looked_at(knowledge, truth)
    past = [event for name in truth for event in behind(knowledge, name)]
    network = only(network_of(knowledge, vehicle, looked), [*truth, *past], real(knowledge))
    level = typical(network) if seed is None else sample(Random(f"{'+'.join(truth)} {seed}"), network)
    for name in truth if seed is None else ():  # what mostly shows nothing is met only where it shows something
        own = signs(knowledge, name)
        if not any(level[f] for f in looked if f in own):
            level[min(own, key=lambda f: (-own[f], f))] = 1
    observations = []
    for name in looked:
        finding = knowledge.findings[name]
        answer = finding.bands[level[name]] if finding.bands else ("no", "yes")[level[name]]
        observations.append({"of": name, "answer": answer, **conditions_of(knowledge, name)})
    return Case.model_validate({"title": " and ".join(truth), "invented": "yes", "vehicle": vehicle, "observations": observations})
