"""What the plain methods have in common: what each finding, alone, would say of each cause; and the list that they end in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.network import Choice, Network, Node
from diagnose.rank.query import Query
from diagnose.score.ground import Ground


@dataclass(frozen=True)
class Answered:
    """What a method says: the causes in its order, and whether it says that nothing is wrong."""

    order: tuple[str, ...]
    nothing_wrong: bool


@dataclass(frozen=True)
class Single:
    """Exact marginals of one case, a finding at a time. `prior[h]`: before anything; `after[finding][h]`: after that one alone.

    `sure[finding]` and `sure_if_sound[finding]`: chance of what was found, in general and on a vehicle without any real fault.
    """

    prior: Mapping[str, float]
    after: Mapping[str, Mapping[str, float]]
    sure: Mapping[str, float]
    sure_if_sound: Mapping[str, float]


def single(ground: Ground, knowledge: Knowledge) -> Single:
    """The marginals that the plain methods take from the network."""
    names = sorted(ground.evidence)
    worlds = [{}, *({n: ground.evidence[n]} for n in names)]
    query = Query(ground.network, worlds, list(ground.suspects))
    table = query.ask(list(ground.suspects), range(len(worlds)))
    prior = {h: row[0] for h, row in table.items()}
    after = {n: {h: row[i] for h, row in table.items()} for i, n in enumerate(names, start=1)}
    return Single(prior, after, _chance_of(ground, ground.network), _chance_of(ground, sound(ground.network, knowledge)))


def _chance_of(ground: Ground, network: Network) -> dict[str, float]:
    """Chance of each finding as it was found, before anything is known."""
    levels = {f"{n}@{k}": (n, k) for n, row in ground.evidence.items() for k in range(len(row))}
    if not levels:
        return {}
    table = Query(replace(network, places={**network.places, **levels}), [{}], sorted(levels)).ask(sorted(levels), [0])
    return {n: sum(x * table[f"{n}@{k}"][0] for k, x in enumerate(row)) for n, row in ground.evidence.items()}


def sound(network: Network, knowledge: Knowledge) -> Network:
    """The network of a vehicle without any real fault; harmless causes and what lies outside come as they do."""
    nodes: dict[str, Node | Choice] = dict(network.nodes)
    for name, (node, state) in network.places.items():
        if name not in knowledge.faults or knowledge.faults[name].kind != "fault":
            continue
        entry = nodes[node]
        if isinstance(entry, Choice):
            priors = tuple(0.0 if k == state else p for k, p in enumerate(entry.priors, start=1))
            raised = tuple(() if k == state else row for k, row in enumerate(entry.raised, start=1))
            nodes[node] = replace(entry, priors=priors, raised=raised)
        else:
            nodes[node] = Node(entry.id, (0.0,) * len(entry.leak))
    return replace(network, nodes=nodes)


def ordered(score: Mapping[str, float], prior: Mapping[str, float], above: float) -> tuple[str, ...]:
    """Causes by falling score, those above a limit; of equals the commoner first."""
    return tuple(sorted((h for h, s in score.items() if s > above), key=lambda h: (-score[h], -prior[h], h)))


def is_fault(name: str, knowledge: Knowledge) -> bool:
    """Whether it is a real fault, and no harmless cause."""
    return knowledge.faults[name].kind == "fault"


def present(ground: Ground) -> Sequence[str]:
    """Findings that were found."""
    return [n for n in sorted(ground.evidence) if ground.seen.findings[n].level == "present"]
