"""From a network and its evidence to factors: small tables over a few variables, with a leading axis of worlds.

Noisy maxima of many parents are split into a tree of joins, so that no table grows with the number of causes. A finding that is
plainly absent splits into one factor a parent and needs no joins at all. All entries are chances: nothing is subtracted,
so nothing cancels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.rank.arrange import Branch, Reads, arrange, groups
from diagnose.rank.network import Cause, Choice, Evidence, Network, Node, Table, same_table, step_table


@dataclass(frozen=True)
class Factor:
    """`table` has a leading axis of worlds (length 1 where all worlds agree), then one axis a variable."""

    variables: tuple[int, ...]
    table: Table


@dataclass
class Factors:
    """All factors of a query, the number of levels of each variable, and the variable of each kept node."""

    factors: list[Factor]
    sizes: list[int]
    variable: dict[str, int]

    def new(self, size: int) -> int:
        """A further variable; returns its number."""
        self.sizes.append(size)
        return len(self.sizes) - 1


def compile_factors(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> Factors:
    """Factors of all nodes upstream of evidence or of `wanted` node ids. Likelihoods that all worlds lack are left out."""
    observed = sorted({name for world in worlds for name in world})
    kept_set = network.ancestors([*observed, *wanted])
    kept = [name for name in network.nodes if name in kept_set]
    inner = {parent for name in kept for parent in network.nodes[name].parents()} | set(wanted)
    likelihood = {name: _likelihood(network.nodes[name].size, name, worlds) for name in kept}
    split = {name for name in kept if name not in inner and _absent_or_silent(likelihood[name])}
    joins = arrange(network, kept, split)
    out = Factors([], [], {})
    for name in kept:
        node = network.nodes[name]
        if isinstance(node, Choice):
            _choice(out, node, likelihood[name])
        elif name in split:
            _absent(out, node, likelihood[name], network)
        else:
            _maximum(out, node, likelihood[name], name not in inner, joins.get(name), network)
    return out


def _likelihood(size: int, name: str, worlds: Sequence[Evidence]) -> Table | None:
    if not any(name in world for world in worlds):
        return None
    return np.array([world.get(name, (1.0,) * size) for world in worlds], dtype=float)


def _absent_or_silent(likelihood: Table | None) -> bool:
    if likelihood is None:
        return False
    absent = (likelihood[:, 1:] == 0.0).all(axis=1)
    silent = (likelihood == likelihood[:, :1]).all(axis=1)
    return bool((absent | silent).all())


def _choice(out: Factors, node: Choice, likelihood: Table | None) -> None:
    variable = out.variable[node.id] = out.new(node.size)
    parents = tuple(out.variable[p] for p in node.parents())
    out.factors.append(Factor((*parents, variable), node.table()[np.newaxis]))
    if likelihood is not None:
        out.factors.append(Factor((variable,), likelihood))


def _absent(out: Factors, node: Node, likelihood: Table | None, network: Network) -> None:
    """P(level 0) is a product over the causes: one factor each, in the worlds that hear it."""
    assert likelihood is not None
    heard = likelihood[:, 1:].sum(axis=1) == 0.0
    out.factors.append(Factor((), likelihood[:, 0] * np.where(heard, 1.0 - sum(node.leak), 1.0)))
    for names, causes in groups(node).items():
        quiet = _step(node, names, causes, network)[..., 0]
        table = np.where(heard.reshape(-1, *([1] * quiet.ndim)), quiet[np.newaxis], 1.0)
        out.factors.append(Factor(tuple(out.variable[name] for name in names), table))


def _step(node: Node, names: Reads, causes: Sequence[Cause], network: Network, leak: bool = False, before: bool = False) -> Table:
    """Table over the nodes read and the level that they push to (no lower than the leak's, or a level before, if asked for)."""
    sizes = tuple(network.nodes[name].size for name in names)
    return step_table(node.size, names, sizes, tuple(causes), node.leak if leak else (0.0,) * len(node.leak), before)


def _maximum(out: Factors, node: Node, likelihood: Table | None, leaf: bool, tree: Branch | None, network: Network) -> None:
    """A node's level as a tree of joins: the leak goes into the first step, evidence on a leaf into the last table."""
    steps = groups(node)
    variables: tuple[int, ...] = ()
    if not steps:
        table = np.array([1.0 - sum(node.leak), *node.leak])
    elif tree is None or (len(tree.parts) == 1 and isinstance(tree.parts[0], tuple)):
        names = next(iter(steps))
        table = _step(node, names, steps[names], network, leak=True)
        variables = tuple(out.variable[name] for name in names)
    else:
        table, variables = _joined(out, node, tree, steps, network, leak=True)
    if leaf and likelihood is not None:
        weight = likelihood.reshape(likelihood.shape[0], *([1] * (table.ndim - 1)), node.size)
        out.factors.append(Factor(variables, (table[np.newaxis] * weight).sum(axis=-1)))
        return
    own = out.variable[node.id] = out.new(node.size)
    out.factors.append(Factor((*variables, own), table[np.newaxis]))
    if likelihood is not None:
        out.factors.append(Factor((own,), likelihood))


def _joined(
    out: Factors, node: Node, tree: Branch, steps: dict[Reads, list[Cause]], network: Network, leak: bool
) -> tuple[Table, tuple[int, ...]]:
    """The last join of `tree` as (table over variables and the resulting level, variables); earlier joins become factors."""
    branches = sorted((p for p in tree.parts if isinstance(p, Branch)), key=str)
    leaves = sorted(p for p in tree.parts if isinstance(p, tuple))
    so_far: int | None = None
    last: tuple[Table, tuple[int, ...]] | None = None
    parts: list[Branch | Reads] = [*branches, *leaves]
    for part in parts:
        if last is not None:  # what was joined before becomes a variable of its own
            so_far = _close(out, node, last)
        if isinstance(part, tuple):
            table = _step(node, part, steps[part], network, leak and so_far is None, so_far is not None)
            variables = tuple(out.variable[name] for name in part)
        else:
            inner = _close(out, node, _joined(out, node, part, steps, network, leak and so_far is None))
            table, variables = same_table(node.size, so_far is not None), (inner,)
        last = (table, variables) if so_far is None else (table, (so_far, *variables))
    assert last is not None
    return last


def _close(out: Factors, node: Node, joined: tuple[Table, tuple[int, ...]]) -> int:
    table, variables = joined
    if len(variables) == 1 and table is same_table(node.size, False):
        return variables[0]
    fresh = out.new(node.size)
    out.factors.append(Factor((*variables, fresh), table[np.newaxis]))
    return fresh
