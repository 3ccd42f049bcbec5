"""In which order the causes of each noisy maximum are joined, so that the tables stay narrow.

A noisy maximum of many causes is a tree of small joins. Any tree gives the same chances; the widest table depends on it by
powers of two. So: eliminate the bare skeleton (node, hub, causes; the hub before its node), and let each hub gather its
causes along the tree that this leaves, branch by branch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.rank.eliminate import fewest_new_edges
from diagnose.rank.network import Cause, Choice, Network, Node

Reads = tuple[str, ...]  # the nodes that one group of causes reads


@dataclass(frozen=True)
class Branch:
    """A join of what it holds: groups of causes (the nodes that they read), and further branches."""

    parts: tuple[Reads | Branch, ...]


def reads(cause: Cause) -> Reads:
    """The node ids that a cause depends on, sorted."""
    return (cause.parent,) if cause.unless is None else tuple(sorted({cause.parent, cause.unless[0]}))


def groups(node: Node) -> dict[Reads, list[Cause]]:
    """Causes that read the same nodes belong to one step; in id order."""
    out: dict[Reads, list[Cause]] = {}
    for cause in sorted(node.causes, key=lambda c: (reads(c), c.state)):
        out.setdefault(reads(cause), []).append(cause)
    return out


@dataclass
class _Skeleton:
    names: list[str]
    near: list[set[int]]
    hub_of: dict[int, int]  # node -> hub that has to go first

    def number(self, name: str, index: dict[str, int]) -> int:
        if name not in index:
            index[name] = len(self.names)
            self.names.append(name)
            self.near.append(set())
        return index[name]


def arrange(network: Network, kept: Sequence[str], split: set[str]) -> dict[str, Branch]:
    """A tree of joins for each kept noisy maximum with two or more groups of causes. `split`: nodes that need none."""
    index: dict[str, int] = {}
    skeleton = _Skeleton([], [], {})
    edges: dict[tuple[int, int], list[tuple[str, Reads]]] = {}
    for name in kept:
        _add(network, name, name in split, skeleton, index, edges)
    order = fewest_new_edges(skeleton.near, [1] * len(skeleton.near), skeleton.hub_of)
    return _gather(order, skeleton, edges, index)


def _add(
    network: Network,
    name: str,
    split: bool,
    skeleton: _Skeleton,
    index: dict[str, int],
    edges: dict[tuple[int, int], list[tuple[str, Reads]]],
) -> None:
    node = network.nodes[name]

    def clique(names: Sequence[int]) -> None:
        for v in names:
            skeleton.near[v].update(u for u in names if u != v)

    if isinstance(node, Choice):
        clique([skeleton.number(p, index) for p in (*node.parents(), name)])
        return
    found = list(groups(node))
    if split:
        for names in found:
            clique([skeleton.number(p, index) for p in names])
        return
    if len(found) < 2:
        clique([skeleton.number(p, index) for names in found for p in names] + [skeleton.number(name, index)])
        return
    hub, own = skeleton.number(name + "'", index), skeleton.number(name, index)
    skeleton.hub_of[own] = hub
    clique([hub, own])
    for names in found:
        members = [skeleton.number(p, index) for p in names]
        clique([*members, hub])
        edges.setdefault((hub, members[0]), []).append((name, names))


def _gather(
    order: Sequence[tuple[int, set[int]]],
    skeleton: _Skeleton,
    edges: Mapping[tuple[int, int], list[tuple[str, Reads]]],
    index: Mapping[str, int],
) -> dict[str, Branch]:
    """Walk the elimination tree from its leaves: a bucket that holds a hub passes what it gathered to the next that does."""
    position = {v: i for i, (v, _) in enumerate(order)}
    owner = {hub: skeleton.names[own] for own, hub in skeleton.hub_of.items()}
    held: dict[tuple[int, int], list[Reads | Branch]] = {}  # (bucket, hub) -> joins so far
    for (hub, _), found in sorted(edges.items()):
        for _, names in found:
            bucket = min(position[hub], *(position[index[n]] for n in names))
            held.setdefault((bucket, hub), []).append(names)
    out: dict[str, Branch] = {}
    for i, (v, around) in enumerate(order):
        above = min((position[u] for u in around), default=-1)
        for hub in sorted((around | {v}) & owner.keys()):
            parts = held.pop((i, hub), None)
            if parts is None:
                continue
            if v == hub:
                out[owner[hub]] = Branch(tuple(parts))
            else:
                held.setdefault((above, hub), []).append(parts[0] if len(parts) == 1 else Branch(tuple(parts)))
    return out
