"""What was said of the past, told apart from what is found: it shifts how common each fault is, one fault at a time.

A past event (overheated, ran dry) raises a dozen faults each. Kept as one uncertain node it ties all of them together, and a full
set of answers about the past can make the exact tree too wide. Only then an event that was asked about gets its chance from the
answers about the past alone, and every fault its own share of that doubt. What that leaves out: a fault found today says nothing
back about the past, and through it about other faults. An event that nobody answered for stays an ordinary node.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.rank.network import Cause, Choice, Evidence, Network, Node

COPY = "<"  # between a past event and the node that holds its own copy of the doubt


@dataclass(frozen=True)
class Settled:
    """The network without the events that were answered for, its worlds, and the part that tells these events' chances."""

    network: Network
    worlds: Sequence[Evidence]
    past: Network | None = None
    past_worlds: Sequence[Evidence] = ()
    events: frozenset[str] = frozenset()


def divide(network: Network, worlds: Sequence[Evidence]) -> Settled:
    """Which events were answered for, and the network of these and the answers alone. Nothing is settled yet."""
    told = {name for world in worlds for name in world}
    answers = told & network.answers
    events = frozenset(network.ancestors(answers) & network.events) if answers else frozenset()
    if not events:
        return Settled(network, worlds)
    inside = {name: node for name, node in network.nodes.items() if name in events or name in answers}
    past_worlds = [{name: x for name, x in world.items() if name in inside} for world in worlds]
    return Settled(network, worlds, Network(inside), past_worlds, events)


def settle(divided: Settled, chance: Mapping[str, Sequence[float]]) -> Settled:
    """Take the events out. `chance[event]`: its chance in each world, by the answers alone."""
    if divided.past is None:
        return divided
    inside = set(divided.past.nodes)
    size = len(divided.worlds)
    nodes: dict[str, Node | Choice] = {}
    shifts: dict[str, list[tuple[float, ...]]] = {}
    for name, node in divided.network.nodes.items():
        if name in inside:
            continue
        if not divided.events.intersection(node.parents()):
            nodes[name] = node
        elif isinstance(node, Choice) and divided.events.issuperset(node.parents()):
            nodes[name], shifts[name] = _choice(node, chance, size)
        elif isinstance(node, Node) and node.size == 2 and _only_raised(node, divided.events):
            nodes[name], shifts[name] = _root(node, chance, size)
        else:
            nodes.update(_copies(node, divided.events, chance, size, shifts))
    worlds = [{**{k: v for k, v in world.items() if k not in inside}, **_shifted(shifts, w)} for w, world in enumerate(divided.worlds)]
    for w, world in enumerate(divided.worlds):  # what the caller says of the node itself stays
        for name in shifts:
            if name in world and name in worlds[w]:
                worlds[w][name] = tuple(a * b for a, b in zip(worlds[w][name], world[name], strict=True))
    left = replace(divided.network, nodes=nodes, events=divided.network.events - divided.events)
    return replace(divided, network=left, worlds=worlds)


def _shifted(shifts: Mapping[str, list[tuple[float, ...]]], world: int) -> dict[str, tuple[float, ...]]:
    """How many times likelier each level is in this world than in the first, where that differs in any world."""
    out = {}
    for name, rows in shifts.items():
        if any(row != rows[0] for row in rows):
            out[name] = tuple(here / first if first > 0.0 else 1.0 for here, first in zip(rows[world], rows[0], strict=True))
    return out


def _only_raised(node: Node, events: frozenset[str]) -> bool:
    return all(c.parent in events and c.unless is None and c.state == 1 for c in node.causes)


def _quiet(causes: Sequence[tuple[str, float]], chance: Mapping[str, Sequence[float]], world: int) -> float:
    quiet = 1.0
    for event, push in causes:
        quiet *= 1.0 - push * chance[event][world]
    return quiet


def _root(node: Node, chance: Mapping[str, Sequence[float]], size: int) -> tuple[Node, list[tuple[float, ...]]]:
    causes = [(c.parent, c.push[0]) for c in node.causes]
    quiet = [(1.0 - node.leak[0]) * _quiet(causes, chance, w) for w in range(size)]
    return Node(node.id, (1.0 - quiet[0],)), [(q, 1.0 - q) for q in quiet]


def _choice(node: Choice, chance: Mapping[str, Sequence[float]], size: int) -> tuple[Choice, list[tuple[float, ...]]]:
    """Each state's single chance is raised by its own share of the events."""
    priors = [
        tuple(1.0 - (1.0 - p) * _quiet(raised, chance, w) for p, raised in zip(node.priors, node.raised, strict=True)) for w in range(size)
    ]
    return Choice(node.id, priors[0]), [tuple(float(x) for x in Choice(node.id, p).table()) for p in priors]


def _copies(
    node: Node | Choice,
    events: frozenset[str],
    chance: Mapping[str, Sequence[float]],
    size: int,
    shifts: dict[str, list[tuple[float, ...]]],
) -> dict[str, Node | Choice]:
    """A node with other causes too: each event becomes a root of its own for this node."""
    copy = {event: event + COPY + node.id for event in events.intersection(node.parents())}
    out: dict[str, Node | Choice] = {}
    for event, name in sorted(copy.items()):
        out[name] = Node(name, (chance[event][0],))
        shifts[name] = [(1.0 - chance[event][w], chance[event][w]) for w in range(size)]
    if isinstance(node, Choice):
        raised = tuple(tuple((copy.get(event, event), push) for event, push in state) for state in node.raised)
        return {**out, node.id: replace(node, raised=raised)}
    causes = [
        Cause(copy.get(c.parent, c.parent), c.push, c.state, (copy.get(c.unless[0], c.unless[0]), c.unless[1]) if c.unless else None)
        for c in node.causes
    ]
    out[node.id] = replace(node, causes=tuple(causes))
    return out
