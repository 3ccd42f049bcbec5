"""Asking a network: chances of ids in several worlds, over one tree that is built once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.rank.collapse import collapse
from diagnose.rank.factors import compile_factors
from diagnose.rank.history import divide, settle
from diagnose.rank.junction import TooWide, Tree, grow, propagate
from diagnose.rank.network import Evidence, Network


class Query:
    """A network with several worlds of evidence. `exact` tells whether the tree fits; `width` its widest clique."""

    def __init__(self, network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> None:
        places = {name: network.place(name) for name in wanted}
        divided = divide(network, worlds)
        inside = divided.past.nodes if divided.past else {}
        self._of_the_past = {name: place for name, place in places.items() if place[0] in inside}
        self._places = {name: place for name, place in places.items() if place[0] not in inside}
        self._past: Query | None = None
        if divided.past is not None:
            past = replace(divided.past, places=self._of_the_past)
            self._past = Query(past, divided.past_worlds, sorted({*divided.events, *self._of_the_past}))
            settled = settle(divided, self._past.ask(sorted(divided.events), range(len(worlds))))
            network, worlds = settled.network, settled.worlds
        observed = sorted({name for world in worlds for name in world})
        kept = network.ancestors([*observed, *(node for node, _ in self._places.values())])
        self._small = collapse(network, kept, worlds)
        nodes = sorted({self._stands(node) for node, _ in self._places.values()})
        self._factors = compile_factors(self._small.network, worlds, nodes)
        self._tree: Tree | None
        try:
            self._tree = grow(self._factors)
        except TooWide:
            self._tree = None
        self.exact = self._tree is not None
        self.width = self._tree.width if self._tree else 0

    def _stands(self, node: str) -> str:
        gathered = self._small.by_root.get(node)
        return gathered.node if gathered else node

    def ask(self, wanted: Sequence[str], worlds: Sequence[int]) -> dict[str, list[float]]:
        """Chance of each wanted id in each of the worlds (by their positions)."""
        past = [name for name in wanted if name in self._of_the_past]
        table = self._past.ask(past, worlds) if self._past and past else {}
        wanted = [name for name in wanted if name in self._places]
        variables = {self._factors.variable[self._stands(self._places[name][0])] for name in wanted}
        if self._tree is not None:
            beliefs = propagate(self._tree, sorted(variables), list(worlds))
        else:
            from diagnose.rank.loopy import propagate_loopy

            beliefs = propagate_loopy(self._factors, sorted(variables), list(worlds))
        for name in wanted:
            node, state = self._places[name]
            belief = beliefs.chance[self._factors.variable[self._stands(node)]]
            gathered = self._small.by_root.get(node)
            column = belief @ gathered.given[node] if gathered else belief[:, state]
            table[name] = [float(x) for x in column]
        return table


def chances(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> tuple[dict[str, list[float]], int, bool]:
    """Chance of each wanted id in each world; the widest clique; whether it is exact."""
    query = Query(network, worlds, wanted)
    return query.ask(wanted, range(len(worlds))), query.width, query.exact
