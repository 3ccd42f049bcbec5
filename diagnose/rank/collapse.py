"""Roots that feed one node only are summed up before the exact work and told apart again after it.

Half the faults of a case bring about one effect each. Together they are one variable, "how far they push it"; given that level,
nothing else says anything about them. So the tree gets some seventy variables fewer, and the answer is the same to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from diagnose.rank.network import Cause, Evidence, Network, Node, Table

GATHERED = "gathered:"


Pooled = tuple[str, float, tuple[tuple[float, ...], ...]]  # a root, its chance, and how it pushes


@dataclass(frozen=True)
class Gathered:
    """`node` stands for several roots: `given[root]` is the chance of that root at each level of the node."""

    node: str
    given: Mapping[str, Table]
    size: int
    pooled: tuple[Pooled, ...]

    def hearing(self, evidence: Evidence) -> tuple[Table, Mapping[str, Table]]:
        """With likelihoods of some of the roots: how many times likelier each level is, and all roots' chances at each level."""
        said = [name for name, _, _ in self.pooled if name in evidence]
        if not said:
            return np.ones(self.size), self.given
        level, given = pool(self.size, tuple([(r, _heard(p, evidence.get(r)), push) for r, p, push in self.pooled]))
        before, _ = pool(self.size, self.pooled)
        return np.divide(level, before, out=np.zeros_like(level), where=before > 0), given


def _heard(prior: float, likelihood: tuple[float, ...] | None) -> float:
    if likelihood is None:
        return prior
    there = prior * likelihood[1]
    return there / (there + (1.0 - prior) * likelihood[0])


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
    """The node that stands for all roots of `causes`, and the chances of its levels."""
    name = GATHERED + child.id
    pushes: dict[str, list[tuple[float, ...]]] = {}
    for cause in causes:
        pushes.setdefault(cause.parent, []).append(cause.push)
    pooled = []
    for root in sorted(pushes):
        node = network.nodes[root]
        assert isinstance(node, Node)
        pooled.append((root, node.leak[0], tuple(pushes[root])))
    level, given = pool(child.size, tuple(pooled))
    return Gathered(name, given, child.size, tuple(pooled)), Node(name, tuple(level.tolist()[1:]))


@lru_cache(maxsize=2048)
def pool(size: int, pooled: tuple[Pooled, ...]) -> tuple[Table, Mapping[str, Table]]:
    """Chance of each level pushed to by all roots together, and at each level the chance of each root. Cached: do not write to it.

    `P(all push no higher than k)` is a product over the roots; leaving one root's factor out gives its own chance.
    """
    if not pooled:
        return np.concatenate([[1.0], np.zeros(size - 1)]), {}
    prior = np.array([[p] for _, p, _ in pooled])
    quiet = np.array([_quiet(size, pushes) for _, _, pushes in pooled])
    each = 1.0 - prior * (1.0 - quiet)
    one = np.ones((1, size))
    before = np.multiply.accumulate(np.concatenate([one, each[:-1]]))
    behind = np.multiply.accumulate(np.concatenate([one, each[:0:-1]]))[::-1]
    level = np.diff(before[-1] * each[-1], prepend=0.0)
    joint = np.diff(prior * quiet * (before * behind), prepend=0.0, axis=1)
    share = np.divide(joint, level, out=np.broadcast_to(prior, joint.shape).copy(), where=level > 0)
    return level, dict(zip([root for root, _, _ in pooled], np.clip(share, 0.0, 1.0), strict=True))


def _quiet(size: int, pushes: Sequence[tuple[float, ...]]) -> Table:
    """For each level the chance that none of the pushes goes higher."""
    quiet = np.ones(size)
    for push in pushes:
        quiet[:-1] *= 1.0 - np.add.accumulate(push[::-1])[::-1]
    return quiet
