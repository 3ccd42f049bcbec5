"""Asking a network: chances of ids in several worlds, over one tree that is built once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from diagnose.rank.collapse import collapse
from diagnose.rank.factors import Factor, Factors, compile_factors
from diagnose.rank.history import divide, settle
from diagnose.rank.junction import TooWide, Tree, grow, propagate
from diagnose.rank.network import Evidence, Network, Table

AT_ONCE = 1 << 18  # entries of the widest clique, times worlds, worked on together


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

    def ask(self, wanted: Sequence[str], worlds: Sequence[int], absent: str = "") -> dict[str, list[float]]:
        """Chance of each wanted id in each of the worlds (by their positions); with the id `absent` surely not there.

        Only so many worlds at a time that the tables stay small: what does not fit near the processor is worked through slowly.
        """
        few = max(1, AT_ONCE // self.width) if self.width else len(worlds)
        if len(worlds) <= max(few, 2):
            return self._ask(wanted, worlds, absent)
        table: dict[str, list[float]] = {name: [] for name in wanted}
        for start in range(0, len(worlds), few):
            for name, row in self._ask(wanted, worlds[start : start + few], absent).items():
                table[name] += row
        return table

    def _ask(self, wanted: Sequence[str], worlds: Sequence[int], absent: str) -> dict[str, list[float]]:
        past = [name for name in wanted if name in self._of_the_past]
        table = self._past.ask(past, worlds) if self._past and past else {}
        wanted = [name for name in wanted if name in self._places]
        variables = {self._factors.variable[self._stands(self._places[name][0])] for name in wanted}
        besides, given = self._without(absent) if absent else (None, {})
        if self._tree is not None:
            beliefs = propagate(self._tree, sorted(variables), list(worlds), besides)
        else:
            from diagnose.rank.loopy import propagate_loopy

            heard = self._factors
            if besides is not None:
                heard = Factors([*heard.factors, besides], heard.sizes, heard.variable)
            beliefs = propagate_loopy(heard, sorted(variables), list(worlds))
        for name in wanted:
            node, state = self._places[name]
            belief = beliefs.chance[self._factors.variable[self._stands(node)]]
            gathered = self._small.by_root.get(node)
            column = belief @ given.get(node, gathered.given[node]) if gathered else belief[:, state]
            table[name] = [float(x) for x in column]
        return table

    def _without(self, name: str) -> tuple[Factor, Mapping[str, Table]]:
        """The factor that says that an id is not there, and what that says of the roots gathered with it."""
        node, state = self._places[name]
        variable = self._factors.variable[self._stands(node)]
        gathered = self._small.by_root.get(node)
        if gathered is None:
            levels = np.array([0.0 if k == state else 1.0 for k in range(self._factors.sizes[variable])])
            return Factor((variable,), levels[np.newaxis]), {}
        times, given = gathered.without(node)
        return Factor((variable,), times[np.newaxis]), {**given, node: np.zeros_like(times)}


def chances(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> tuple[dict[str, list[float]], int, bool]:
    """Chance of each wanted id in each world; the widest clique; whether it is exact."""
    query = Query(network, worlds, wanted)
    return query.ask(wanted, range(len(worlds))), query.width, query.exact
