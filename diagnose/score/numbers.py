"""The numbers of a network by the names of the knowledge: priors, links, misreadings, what lies outside. Each can be moved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import exp, log

from diagnose.rank.build import MISLED, OUTSIDE
from diagnose.rank.network import Cause, Choice, Network, Node, Place

CERTAIN = 1.0 - 1e-9  # a push as sure as that is how the network is built, no number of anybody's


@dataclass(frozen=True, order=True)
class Number:
    """One number: its kind (prior, link, raises, misread, outside, misled), whose it is, and for a link what it leads to."""

    kind: str
    of: str
    to: str = ""

    def __str__(self) -> str:
        return f"{self.kind} {self.of}" + (f" → {self.to}" if self.to else "")


By = Callable[[Number], float]


def moved(network: Network, by: By, only: Iterable[str] | None = None) -> Network:
    """The network with every number moved by `by(number)` in log-odds. `only`: the nodes that are looked at.

    The bands of one link move together and keep their proportions.
    """
    names = _names(network)
    chosen = network.nodes if only is None else {name: network.nodes[name] for name in only if name in network.nodes}
    return replace(network, nodes={**network.nodes, **{name: _moved(node, network, names, by) for name, node in chosen.items()}})


def shifted(network: Network, number: Number, by: float) -> Network:
    """The network with one number moved."""
    return moved(network, lambda n: by if n == number else 0.0, [home(network, number)])


def without(network: Network, link: Number) -> Network:
    """The network with one link gone."""
    names = _names(network)
    node = network.nodes[home(network, link)]
    assert isinstance(node, Node)
    left = tuple(c for c in node.causes if names.get((c.parent, c.state), c.parent) != link.of)
    return replace(network, nodes={**network.nodes, node.id: replace(node, causes=left)})


def home(network: Network, number: Number) -> str:
    """The node that holds a number."""
    return network.place(number.to or number.of)[0]


def numbers_of(network: Network, nodes: Iterable[str]) -> Iterator[Number]:
    """All numbers that the nodes with these ids hold."""
    names = _names(network)
    for node in nodes:
        found: list[Number] = []

        def note(number: Number, found: list[Number] = found) -> float:
            found.append(number)
            return 0.0

        _moved(network.nodes[node], network, names, note)
        yield from found


def _names(network: Network) -> Mapping[Place, str]:
    return {place: name for name, place in network.places.items()}


def _moved(node: Node | Choice, network: Network, names: Mapping[Place, str], by: By) -> Node | Choice:
    if isinstance(node, Choice):
        states = [names[(node.id, k)] for k in range(1, node.size)]
        priors = tuple(_push((p,), by(Number("prior", s)))[0] for s, p in zip(states, node.priors, strict=True))
        raised = tuple(
            tuple((event, _push((chance,), by(Number("raises", event, s)))[0]) for event, chance in row)
            for s, row in zip(states, node.raised, strict=False)
        )
        return replace(node, priors=priors, raised=raised)
    leak = node.leak
    if sum(leak) > 0.0:
        leak = _push(leak, by(Number(_leak(node, network), node.id)))
    causes = []
    for cause in node.causes:
        if sum(cause.push) < CERTAIN:
            number = Number(_kind(cause, node, network), names.get((cause.parent, cause.state), cause.parent), node.id)
            cause = replace(cause, push=_push(cause.push, by(number)))
        causes.append(cause)
    return replace(node, leak=leak, causes=tuple(causes))


def _leak(node: Node, network: Network) -> str:
    if node.id.startswith(OUTSIDE):
        return "outside"
    if node.id.startswith(MISLED):
        return "misled"
    return "prior" if node.id in network.places else "misread"


def _kind(cause: Cause, node: Node, network: Network) -> str:
    if cause.parent.startswith(MISLED):
        return "misled"
    root = node.id in network.places and sum(node.leak) > 0.0  # only what has a prior of its own can be raised
    return "raises" if root and cause.parent in network.events else "link"


def _push(push: tuple[float, ...], by: float) -> tuple[float, ...]:
    """A chance, shared among bands, moved by `by` in log-odds.

    >>> [round(x, 3) for x in _push((0.25, 0.25), log(3))]
    [0.375, 0.375]
    """
    whole = sum(push)
    if by == 0.0 or not 0.0 < whole < 1.0:
        return push
    fresh = 1.0 / (1.0 + exp(-(log(whole / (1.0 - whole)) + by)))
    return tuple(p * fresh / whole for p in push)
