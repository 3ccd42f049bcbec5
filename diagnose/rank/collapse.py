"""Roots that feed one node only are summed up before the exact work and told apart again after it.

Half the faults of a case bring about one effect each. Together they are one variable, "how far they push it"; given that level,
nothing else says anything about them. So the tree gets some seventy variables fewer, and the answer is the same to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.rank.network import Cause, Evidence, Network, Node, Table

GATHERED = "gathered:"


@dataclass(frozen=True)
class Gathered:
    """`node` stands for several roots: `given[root]` is the chance of that root at each level of the node."""

    node: str
    given: Mapping[str, Table]
    prior: Mapping[str, float]
    quiet: Mapping[str, Table]

    def without(self, root: str) -> tuple[Table, Mapping[str, Table]]:
        """With `root` surely absent: how many times likelier each level is, and the other roots' chances at each level."""
        others = [r for r in self.quiet if r != root]
        level, given = _split(others, self.prior, self.quiet)
        before, _ = _split(list(self.quiet), self.prior, self.quiet)
        return np.divide(level, before, out=np.ones_like(level), where=before > 0), given


@dataclass(frozen=True)
class Collapsed:
    """The smaller network, and what was gathered in it, by root."""

    network: Network
    by_root: Mapping[str, Gathered]


def collapse(network: Network, kept: set[str], worlds: Sequence[Evidence]) -> Collapsed:
    """Gather the private roots of every kept node. Roots that carry evidence, or feed two nodes, stay as they are."""
    private = _private(network, kept, worlds)
    nodes = {name: network.nodes[name] for name in network.nodes if name in kept and name not in private}
    by_root: dict[str, Gathered] = {}
    fresh = {}
    for child in sorted(set(private.values())):
        roots = sorted(root for root, c in private.items() if c == child)
        if len(roots) < 2:
            for root in roots:
                fresh[root] = network.nodes[root]
            continue
        node = nodes[child]
        assert isinstance(node, Node)
        gathered, stand_in = _gather(node, [c for c in node.causes if c.parent in roots], network)
        by_root.update(dict.fromkeys(roots, gathered))
        fresh[gathered.node] = stand_in
        push = [Cause(gathered.node, tuple(1.0 if i == k else 0.0 for i in range(1, node.size)), k) for k in range(1, node.size)]
        nodes[child] = replace(node, causes=(*(c for c in node.causes if c.parent not in roots), *push))
    return Collapsed(Network({**fresh, **nodes}, network.places), by_root)


def _private(network: Network, kept: set[str], worlds: Sequence[Evidence]) -> dict[str, str]:
    """Root -> the one kept node that it feeds."""
    children: dict[str, set[str]] = {}
    shared: set[str] = {name for world in worlds for name in world}
    for name in kept:
        node = network.nodes[name]
        for parent in node.parents():
            children.setdefault(parent, set()).add(name)
        if not isinstance(node, Node):
            shared.update(node.parents())
            continue
        for cause in node.causes:
            if cause.unless:
                shared.update((cause.parent, cause.unless[0]))
    out = {}
    for root, fed in children.items():
        node = network.nodes[root]
        if len(fed) == 1 and root not in shared and isinstance(node, Node) and not node.causes and node.size == 2:
            out[root] = next(iter(fed))
    return out


def _gather(child: Node, causes: Sequence[Cause], network: Network) -> tuple[Gathered, Node]:
    """`P(all push no higher than k)` is a product over the roots; leaving one root's factor out gives its own chance."""
    name = GATHERED + child.id
    quiet: dict[str, Table] = {}
    prior: dict[str, float] = {}
    for cause in causes:
        node = network.nodes[cause.parent]
        assert isinstance(node, Node)
        prior[cause.parent] = node.leak[0]
        below = np.concatenate([1.0 - np.cumsum(cause.push[::-1])[::-1], [1.0]])
        quiet[cause.parent] = quiet.get(cause.parent, np.ones(child.size)) * below
    level, given = _split(sorted(quiet), prior, quiet)
    return Gathered(name, given, prior, quiet), Node(name, tuple(float(x) for x in level[1:]))


def _split(roots: Sequence[str], prior: Mapping[str, float], quiet: Mapping[str, Table]) -> tuple[Table, dict[str, Table]]:
    """Chance of each level pushed to by `roots` together, and at each level the chance of each root."""
    each = {root: 1.0 - prior[root] * (1.0 - quiet[root]) for root in roots}
    size = len(next(iter(quiet.values())))
    reach = np.prod(list(each.values()), axis=0) if each else np.ones(size)
    level = np.diff(reach, prepend=0.0)
    given = {}
    for root in roots:
        others = [e for r, e in each.items() if r != root]
        joint = np.diff(prior[root] * quiet[root] * (np.prod(others, axis=0) if others else 1.0), prepend=0.0)
        given[root] = np.clip(np.divide(joint, level, out=np.full_like(level, prior[root]), where=level > 0), 0.0, 1.0)
    return level, given
