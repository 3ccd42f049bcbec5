"""Asking a network: chances of ids in several worlds, over one tree that is built once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from diagnose.rank.collapse import Gathered, collapse
from diagnose.rank.factors import Factor, compile_factors
from diagnose.rank.history import divide, settle
from diagnose.rank.junction import TooWide, Tree, grow
from diagnose.rank.network import Evidence, Network, Place, Table
from diagnose.rank.propagate import propagate

WIDEST_TIED = 1 << 17  # entries up to which past events stay uncertain nodes; above it their answers are settled first (history.py)
AT_ONCE = 1 << 18  # entries of the widest clique, times worlds, worked on together


class Query:
    """A network with several worlds of evidence. `exact` tells whether the tree fits; `width` its widest clique.

    `settled`: what was answered about the past had to be taken on its own first (history.py), for the tree to fit.
    """

    def __init__(self, network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> None:
        self._network = network
        self._inside: frozenset[str] = frozenset()  # nodes that are told apart as the past
        self._past: Query | None = None
        self.settled = False
        nodes = {node for node, _ in map(network.place, wanted)}
        self._arrange(network, worlds, nodes)
        if self.exact and self._tree and self._tree.width <= WIDEST_TIED:
            return
        divided = divide(network, worlds)
        if divided.past is None:
            return
        self.settled = True
        self._inside = frozenset(divided.past.nodes)
        self._past = Query(divided.past, divided.past_worlds, sorted({*divided.events, *(nodes & self._inside)}))
        settled = settle(divided, self._past.ask(sorted(divided.events), range(len(worlds))))
        self._arrange(settled.network, settled.worlds, nodes - self._inside)

    def _arrange(self, network: Network, worlds: Sequence[Evidence], nodes: Collection[str]) -> None:
        observed = sorted({name for world in worlds for name in world})
        self._small = collapse(network, network.ancestors([*observed, *nodes]), worlds)
        self._factors = compile_factors(self._small.network, worlds, sorted({self._stands(node) for node in nodes}))
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

    def ask(self, wanted: Sequence[str], worlds: Sequence[int], besides: Sequence[Evidence] = ()) -> dict[str, list[float]]:
        """Chance of each wanted id in each of the worlds (by their positions).

        `besides`: for each of the worlds, likelihoods of nodes heard on top of its own evidence (a fault taken as there, or as
        surely not); of nodes that stand in the tree, which are all that were wanted or lead to what was found.
        """
        table = self.ask_places({name: self._network.place(name) for name in wanted}, worlds, besides)
        return {name: column.tolist() for name, column in table.items()}

    def ask_places(self, places: Mapping[str, Place], worlds: Sequence[int], besides: Sequence[Evidence] = ()) -> dict[str, Table]:
        """As `ask`, for nodes and levels under names of the caller's; each an array of the worlds.

        Only so many worlds at a time that the tables stay small: what does not fit near the processor is worked through slowly.
        """
        few = max(1, AT_ONCE // self.width) if self.width else len(worlds)
        if len(worlds) <= max(few, 2):
            return self._ask(places, worlds, besides)
        parts = [self._ask(places, worlds[at : at + few], besides[at : at + few]) for at in range(0, len(worlds), few)]
        return {name: np.concatenate([part[name] for part in parts]) for name in places}

    def _ask(self, places: Mapping[str, Place], worlds: Sequence[int], besides: Sequence[Evidence]) -> dict[str, Table]:
        table: dict[str, Table] = {}
        past = {name: place for name, place in places.items() if place[0] in self._inside}
        if self._past and past:
            table.update(self._past.ask_places(past, worlds))
        today = {name: place for name, place in places.items() if name not in past}
        variables = sorted({self._factors.variable[self._stands(node)] for node, _ in today.values()})
        heard, given = self._heard(besides)
        if self._tree is not None:
            beliefs = propagate(self._tree, variables, worlds, heard)
        else:
            from diagnose.rank.loopy import propagate_loopy

            beliefs = propagate_loopy(self._factors, variables, worlds, heard)
        for name, (node, state) in today.items():
            belief = beliefs.chance[self._factors.variable[self._stands(node)]]
            gathered = self._small.by_root.get(node)
            if gathered is None:
                table[name] = belief[:, state]
            elif node in given:
                table[name] = (belief * given[node]).sum(axis=1)
            else:
                table[name] = belief @ gathered.given[node]
        return table

    def _heard(self, besides: Sequence[Evidence]) -> tuple[list[Factor], Mapping[str, Table]]:
        """The factors that say what is heard besides; and what that says, world by world, of the roots gathered with such a node."""
        factors: list[Factor] = []
        given: dict[str, Table] = {}
        nodes = sorted({node for world in besides for node in world})
        for node in nodes:
            if node not in self._small.by_root:
                variable = self._factors.variable[node]
                silent = (1.0,) * self._factors.sizes[variable]
                factors.append(Factor((variable,), np.array([world.get(node, silent) for world in besides])))
        groups: dict[str, Gathered] = {self._small.by_root[n].node: self._small.by_root[n] for n in nodes if n in self._small.by_root}
        for name, gathered in groups.items():
            rows = [gathered.hearing(world) for world in besides]
            factors.append(Factor((self._factors.variable[name],), np.array([times for times, _ in rows])))
            for root in gathered.given:
                given[root] = np.array([each[root] for _, each in rows])
        return factors, given


def chances(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> tuple[dict[str, list[float]], int, bool]:
    """Chance of each wanted id in each world; the widest clique; whether it is exact."""
    query = Query(network, worlds, wanted)
    return query.ask(wanted, range(len(worlds))), query.width, query.exact
