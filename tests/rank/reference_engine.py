"""A second opinion on every chance: the network handed to pyAgrum, a general Bayesian-network library (LGPL/MIT, for tests only).

Written apart from diagnose.rank.factors: each link becomes a node of its own ("what this cause pushes to"), each noisy maximum the
plain maximum of its links, two at a time, with every table filled by walking through all its rows. A noisy maximum at level 0 is
all its links at level 0, so absence is told to the links. Source of the decomposition: D. Heckerman and J. S. Breese (1996),
Causal independence for probability assessment and inference, IEEE Trans. SMC-A 26(6) 826 (from memory).
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Sequence
from itertools import product

import numpy as np

from diagnose.rank.network import Choice, Evidence, Network, Node

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its binding warns while it is imported, and dies where a warning is an error
    import pyagrum as gum


class ReferenceEngine:
    """The part of a network that lies upstream of the evidence and the wanted ids, as a pyAgrum network."""

    def __init__(self, network: Network, evidence: Evidence, wanted: Iterable[str]) -> None:
        self.network = network
        self.evidence = evidence
        self.wanted = list(wanted)
        self.bn = gum.BayesNet()
        self.told: dict[str, list[float]] = {}
        self.number: dict[str, int] = {}
        self.size: dict[str, int] = {}
        self.above: dict[str, Sequence[str]] = {}
        self.rows: list[tuple[str, Sequence[str], np.ndarray]] = []
        upstream = self._upstream([*evidence, *(network.place(w)[0] for w in self.wanted)])
        inner = {p for name in upstream for p in network.nodes[name].parents()} | {network.place(w)[0] for w in self.wanted}
        self.bn.beginTopologyTransformation()  # tables are made once, at the end
        for name in [n for n in network.nodes if n in upstream]:
            node = network.nodes[name]
            if isinstance(node, Choice):
                self._choice(node)
            else:
                self._maximum(node, name in inner)
            if name in evidence and name in self.number:
                self.told[name] = list(evidence[name])
        self.bn.endTopologyTransformation()
        self._fill()

    def _upstream(self, names: Sequence[str]) -> set[str]:
        found: set[str] = set()
        todo = list(names)
        while todo:
            name = todo.pop()
            if name not in found:
                found.add(name)
                node = self.network.nodes[name]
                if isinstance(node, Choice):
                    todo += [event for state in node.raised for event, _ in state]
                else:
                    todo += [c.parent for c in node.causes] + [c.unless[0] for c in node.causes if c.unless]
        return found

    def _add(self, name: str, size: int, parents: Sequence[str], row: dict[tuple[int, ...], list[float]]) -> str:
        """A node whose table has one row for every combination of its parents' levels."""
        self.number[name] = self.bn.add(gum.LabelizedVariable(f"n{len(self.number)}", name, size))
        self.size[name] = size
        for parent in parents:
            self.bn.addArc(self.number[parent], self.number[name])
        table = np.empty([self.size[p] for p in parents] + [size])
        for world, chances in row.items():
            table[world] = chances
        self.above[name] = parents
        self.rows.append((name, parents, table))
        return name

    def _fill(self) -> None:
        for name, parents, table in self.rows:
            cpt = self.bn.cpt(self.number[name])
            assert list(cpt.names) == [self.bn.variable(self.number[n]).name() for n in (name, *parents)]
            # the library lists a table's axes from the last parent to the first, and the node itself last
            cpt[:] = np.ascontiguousarray(table.transpose(*reversed(range(len(parents))), len(parents)))

    def _size(self, name: str) -> int:
        return self.size[name]

    def _choice(self, node: Choice) -> None:
        events = sorted({event for state in node.raised for event, _ in state})
        rows = {}
        for world in product((0, 1), repeat=len(events)):
            there = dict(zip(events, world, strict=True))
            odds = []
            for k, prior in enumerate(node.priors):
                none = 1.0 - prior
                for event, chance in node.raised[k] if node.raised else ():
                    if there[event]:
                        none = none * (1.0 - chance)
                odds.append(1.0 - none)
            sound = 1.0
            for p in odds:
                sound *= 1.0 - p
            rows[world] = [sound, *((1.0 - sound) * p / sum(odds) for p in odds)]
        self._add(node.id, node.size, events, rows)

    def _maximum(self, node: Node, inner: bool) -> None:
        links = []
        leak = {(): [1.0 - sum(node.leak), *node.leak]}
        if not node.causes:
            self._add(node.id, node.size, (), leak)
            return
        links.append(self._add(f"{node.id}<leak", node.size, (), leak))
        for i, cause in enumerate(node.causes):
            quiet = [1.0] + [0.0] * (node.size - 1)
            pushed = [1.0 - sum(cause.push), *cause.push]
            parents = [cause.parent]
            if cause.unless and cause.unless[0] != cause.parent:
                parents.append(cause.unless[0])
            rows = {}
            for world in product(*(range(self._size(p)) for p in parents)):
                at = dict(zip(parents, world, strict=True))
                hidden = cause.unless is not None and at[cause.unless[0]] == cause.unless[1]
                rows[world] = pushed if at[cause.parent] == cause.state and not hidden else quiet
            links.append(self._add(f"{node.id}<{i}", node.size, parents, rows))
        likelihood = self.evidence.get(node.id)
        if not inner and likelihood is not None and likelihood[0] > 0 and not any(likelihood[1:]):
            for link in links:
                self.told[link] = [1.0] + [0.0] * (node.size - 1)
            return
        self._highest(node, links)

    def _highest(self, node: Node, links: Sequence[str]) -> None:
        """The maximum of `links`, two at a time; those fed by nearby nodes meet first, which keeps the library's cliques small."""
        order = {name: i for i, name in enumerate(self.number)}
        fed = {link: max((order[p] for p in self.above[link]), default=-1) for link in links}
        waiting = sorted(links, key=lambda link: (fed[link], link))
        so_far = waiting[0]
        for i, link in enumerate(waiting[1:], start=1):
            name = node.id if i == len(waiting) - 1 else f"{node.id}>{i}"
            rows = {(a, b): [float(k == max(a, b)) for k in range(node.size)] for a, b in product(range(node.size), repeat=2)}
            so_far = self._add(name, node.size, (so_far, link), rows)

    def chances(self) -> dict[str, float]:
        """Chance of each wanted id."""
        engine = gum.LazyPropagation(self.bn)
        engine.setEvidence({self.number[name]: likelihood for name, likelihood in self.told.items()})
        places = {w: self.network.place(w) for w in self.wanted}
        for node in sorted({node for node, _ in places.values()}):
            engine.addTarget(self.number[node])
        engine.makeInference()
        return {w: float(engine.posterior(self.number[node])[state]) for w, (node, state) in places.items()}
