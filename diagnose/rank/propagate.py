"""Exact chances over a junction tree, all worlds in one pass: one pass up, one down.

The smaller a table, the more the calls cost beside the sums, so a message is one sum, one division and one product of plain arrays.
Source: S. L. Lauritzen and D. J. Spiegelhalter, J. R. Stat. Soc. B 50 (1988) 157.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.rank.factors import Factor
from diagnose.rank.junction import Clique, Tree, spread
from diagnose.rank.network import Table

NEVER = 1e-300  # stands in for nothing where something is divided by it: nothing divided by it is nothing


@dataclass(frozen=True)
class Beliefs:
    """`chance[v]` is an array (worlds, levels) of each variable; `log_evidence` (worlds,) the log of the evidence's chance."""

    chance: dict[int, Table]
    log_evidence: Table
    width: int


def propagate(tree: Tree, variables: Iterable[int], worlds: Sequence[int], besides: Sequence[Factor] = ()) -> Beliefs:
    """Chances of `variables` in the `worlds` named. The way down visits only what leads to one of them.

    `besides`: further factors over a single variable each, heard for this once; their first axis goes along with `worlds`.
    """
    cliques = tree.cliques
    heard: dict[int, list[Table]] = {}
    for factor in besides:
        at = tree.smallest[factor.variables[0]]
        heard.setdefault(at, []).append(spread(factor.table, factor.variables, cliques[at].variables))
    chosen = list(worlds)
    potential: list[Table] = []
    upward: list[Table] = []
    scales: list[Table] = [np.ones((len(chosen), 1))]
    for i, clique in enumerate(cliques):
        table = _potential(clique, cliques, upward, chosen, heard.get(i, ()))
        message = np.add.reduce(table.reshape(-1, clique.own, clique.shared), axis=1)
        scale = np.maximum.reduce(message, axis=1, keepdims=True)
        scales.append(np.broadcast_to(scale, (len(chosen), 1)))
        upward.append(np.maximum(message / np.maximum(scale, NEVER), NEVER))
        potential.append(table)
    with np.errstate(divide="ignore"):
        log_evidence = np.log(np.concatenate(scales, axis=1)).sum(axis=1)
    read_off: dict[int, list[int]] = {}
    for v in sorted(set(variables)):
        read_off.setdefault(tree.smallest[v], []).append(v)
    return Beliefs(_down(cliques, potential, upward, read_off, len(chosen)), log_evidence, tree.width)


def _potential(clique: Clique, cliques: Sequence[Clique], upward: Sequence[Table], worlds: list[int], heard: Sequence[Table]) -> Table:
    """Product of all that meets in a clique; what is the same in all worlds was multiplied when the tree was grown."""
    terms = [table[worlds] for table in clique.varying]
    terms += [upward[child].reshape(-1, *cliques[child].onto) for child in clique.children]
    terms += heard
    if len(terms) > 1:
        terms.sort(key=_size)
    table = clique.still
    for term in terms:
        if table.shape[0] < term.shape[0] or table is clique.still:
            table = table * term
        else:
            table *= term
    return table


def _size(table: Table) -> int:
    return table.size


def _down(
    cliques: Sequence[Clique], potential: list[Table], upward: Sequence[Table], read_off: Mapping[int, list[int]], worlds: int
) -> dict[int, Table]:
    chance: dict[int, Table] = {}
    needed = [False] * len(cliques)
    for i, clique in enumerate(cliques):  # children come before parents
        needed[i] = needed[i] or i in read_off
        if needed[i] and clique.parent >= 0:
            needed[clique.parent] = True
    for i in range(len(cliques) - 1, -1, -1):
        if not needed[i]:
            continue
        clique, table = cliques[i], potential[i]
        for child in clique.children:
            if not needed[child]:
                continue
            below = cliques[child]
            message = np.add.reduce(table, axis=below.dropped).reshape(-1, below.shared)
            message /= upward[child]
            message /= np.maximum(np.maximum.reduce(message, axis=1, keepdims=True), NEVER)
            fresh = potential[child].reshape(-1, below.own, below.shared) * message[:, np.newaxis]
            potential[child] = fresh.reshape(-1, *potential[child].shape[1:])
        for v in read_off.get(i, ()):
            axes = tuple([a for a, u in enumerate(clique.variables, 1) if u != v])
            single = np.add.reduce(table, axis=axes)
            share = single / np.maximum(np.add.reduce(single, axis=1, keepdims=True), NEVER)
            chance[v] = share if share.shape[0] == worlds else np.broadcast_to(share, (worlds, share.shape[1]))
    return chance
