"""The causal network of one case, out of the knowledge and the context. From here on there are only ids and numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from typing import Any

from diagnose.knowledge.condition import hold, surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Fault, Finding, Link, Procedure
from diagnose.rank.network import Cause, Choice, Network, Node, Place

REPAIRED = 0.15  # how much of its prior a fault keeps after the repair that removes it: new parts fail too (estimate)
OUTSIDE, MISLED = "outside:", "misled:"


@dataclass(frozen=True)
class Context:
    """What the chances depend on: vehicle fields and why it is here, the circumstances of each finding, what was repaired."""

    facts: Mapping[str, Any]
    circumstances: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    repaired: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Causal:
    """Links by what they lead to, worked out once per knowledge; effects in causal order."""

    into: Mapping[str, Sequence[tuple[str, Link]]]
    order: Sequence[str]
    history: frozenset[str] = frozenset()  # findings that ask for a past event
    misled: Mapping[str, Sequence[Procedure]] = field(default_factory=dict)  # finding -> procedures that may be misled about it


def causal(knowledge: Knowledge) -> Causal:
    """Index the links. Raises ValueError naming a cycle among effects (the knowledge check says it better)."""
    into: dict[str, list[tuple[str, Link]]] = {}
    for name in [*knowledge.faults, *knowledge.effects]:
        for link in knowledge.links_from(name):
            into.setdefault(link.to, []).append((name, link))
    order: list[str] = []
    state: dict[str, int] = {}

    def visit(name: str, path: tuple[str, ...]) -> None:
        if state.get(name) == 1:
            raise ValueError("effects go round in a circle: " + " → ".join([*path[path.index(name) :], name]))
        if state.get(name) == 2:
            return
        state[name] = 1
        needs = [s for s, _ in into.get(name, ())] + [link.unless for _, link in into.get(name, ()) if link.unless]
        for source in sorted(set(needs)):
            if source in knowledge.effects:
                visit(source, (*path, name))
        state[name] = 2
        order.append(name)

    for name in sorted(knowledge.effects):
        visit(name, ())
    events = {f.id for f in knowledge.faults.values() if f.kind == "event"}
    history = frozenset(to for to, sources in into.items() if to in knowledge.findings and events & {s for s, _ in sources})
    misled: dict[str, list[Procedure]] = {}
    for procedure in knowledge.procedures.values():
        for name in procedure.misled.shows if procedure.misled else ():
            misled.setdefault(name, []).append(procedure)
    return Causal({k: tuple(sorted(v, key=lambda x: x[0])) for k, v in into.items()}, tuple(order), history, misled)


def possible(knowledge: Knowledge, context: Context) -> list[str]:
    """Faults, harmless causes and events that this vehicle can have, by id: a part that it surely lacks cannot fail."""
    return [f.id for f in knowledge.faults.values() if not (f.needs and surely_fail(f.needs.tests, context.facts))]


def build(knowledge: Knowledge, links: Causal, context: Context, findings: Iterable[str]) -> Network:
    """Network over all possible faults, all effects, and the `findings` asked for.

    A past event takes part where it was asked about. Unasked, its average is in the priors already: they say how common a
    fault is on a vehicle that comes in, its unknown past included. Where what an average past brings is more than the prior,
    as with air after a refill, that counts instead.
    """
    wanted = sorted(set(findings))
    faults = {name: knowledge.faults[name] for name in possible(knowledge, context)}
    asked = {source for name in wanted for source, _ in links.into.get(name, ())}
    average = {name: _prior(fault, context) for name, fault in faults.items() if fault.kind == "event" and name not in asked}
    faults = {name: fault for name, fault in faults.items() if fault.kind != "event" or name in asked}
    nodes: dict[str, Node | Choice] = {}
    places: dict[str, Place] = {}
    ordered = sorted(faults.values(), key=lambda f: (f.kind != "event", f.id))  # events first: they are parents
    parts: dict[str, list[Fault]] = {}
    for fault in ordered:
        if fault.part:
            parts.setdefault(fault.part, []).append(fault)
    for fault in ordered:
        states = parts.get(fault.part or "", [])
        if len(states) < 2:
            nodes[fault.id] = Node(fault.id, (_unasked(fault, context, average),), _raised(fault, faults))
            places[fault.id] = (fault.id, 1)
        elif states[0] is fault:
            part = f"part:{fault.part}"
            nodes[part] = Choice(
                part,
                tuple(_unasked(f, context, average) for f in states),
                tuple(tuple((a.event, a.chance) for a in f.likelier_after if a.event in faults) for f in states),
            )
            places.update({f.id: (part, i) for i, f in enumerate(states, start=1)})
    for name in links.order:
        effect = knowledge.effects[name]
        outside = OUTSIDE + name
        nodes[outside] = Node(outside, (effect.outside,))
        causes = [Cause(outside, (1.0,))]
        causes += _causes(links.into.get(name, ()), ("absent", "present"), context.facts, places)
        nodes[name] = Node(name, (0.0,), tuple(causes))
        places[name] = (name, 1)
    for name in wanted:
        _finding(knowledge, knowledge.findings[name], links, context, nodes, places)
    events = frozenset(n for n, f in faults.items() if f.kind == "event" and n in nodes)
    answers = frozenset(n for n in wanted if nodes[n].parents() and events.issuperset(nodes[n].parents()))
    return Network(_parents_first(nodes), places, events, answers)


def _parents_first(nodes: dict[str, Node | Choice]) -> dict[str, Node | Choice]:
    seen: set[str] = set()
    for name, node in nodes.items():
        if not seen.issuperset(node.parents()):
            break
        seen.add(name)
    else:
        return nodes
    order = TopologicalSorter({name: node.parents() for name, node in nodes.items()}).static_order()
    return {name: nodes[name] for name in order}


def _prior(fault: Fault, context: Context) -> float:
    priors: Any = fault.prior
    for variant in fault.prior_in_context:
        if hold(variant.when.tests, context.facts):
            priors = variant
    prior = float(priors.routine if context.facts.get("why_here") == "routine" else priors.complaint)
    return prior * (REPAIRED if fault.id in context.repaired else 1.0)


def _unasked(fault: Fault, context: Context, average: Mapping[str, float]) -> float:
    """The prior, or what the events that nobody asked about bring on average, whichever is more."""
    quiet = 1.0
    for after in fault.likelier_after:
        quiet *= 1.0 - after.chance * average.get(after.event, 0.0)
    repaired = REPAIRED if fault.id in context.repaired else 1.0
    return max(_prior(fault, context), (1.0 - quiet) * repaired)


def _raised(fault: Fault, faults: Mapping[str, Fault]) -> tuple[Cause, ...]:
    return tuple(Cause(a.event, (a.chance,)) for a in fault.likelier_after if a.event in faults)


def _causes(into: Sequence[tuple[str, Link]], levels: Sequence[str], facts: Mapping[str, Any], places: Mapping[str, Place]) -> list[Cause]:
    out = []
    for source, link in into:
        if source not in places:
            continue
        chance: Any = link.chance
        for variant in link.in_context:
            if hold(variant.when.tests, facts):
                chance = variant.chance
        node, state = places[source]
        unless = places.get(link.unless) if link.unless else None
        out.append(Cause(node, push(chance, levels), state, unless))
    return out


def push(chance: float | Mapping[str, float], levels: Sequence[str]) -> tuple[float, ...]:
    """Chance of each level above the first. A single number on a banded finding goes to the highest band."""
    if isinstance(chance, Mapping):
        return tuple(float(chance.get(level, 0.0)) for level in levels[1:])
    return (*([0.0] * (len(levels) - 2)), float(chance))


def _finding(
    knowledge: Knowledge,
    finding: Finding,
    links: Causal,
    context: Context,
    nodes: dict[str, Node | Choice],
    places: dict[str, Place],
) -> None:
    facts = {**context.facts, **(context.circumstances.get(finding.id) or {})}
    misread: Any = finding.misread
    for variant in finding.misread_in_context:
        if hold(variant.when.tests, facts):
            misread = variant.misread
    causes = _causes(links.into.get(finding.id, ()), finding.levels, facts, places)
    for procedure in links.misled.get(finding.id, ()):
        assert procedure.misled is not None
        name = MISLED + procedure.id
        nodes.setdefault(name, Node(name, (procedure.misled.chance,)))
        causes.append(Cause(name, push(procedure.misled.shows[finding.id], finding.levels)))
    nodes[finding.id] = Node(finding.id, push(misread, finding.levels), tuple(causes))
