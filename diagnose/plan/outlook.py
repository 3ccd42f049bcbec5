"""What a test would show if each leader were the truth, and what that would tell.

For each finding: the chance of each of its levels in each leader's world, from the exact chances of everything above it in that
world, the causes taken as independent there. That last step is an approximation; it chooses tests, it never ranks faults.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log2

import numpy as np

from diagnose.plan.problem import Array
from diagnose.rank.network import Network, Node, Place


class Columns:
    """Chances of node levels, one column a world: what a finding shows there, its causes taken as independent.

    >>> from diagnose.rank.network import Cause
    >>> two = Columns({("seal", 1): [0.0, 1.0]})
    >>> two.levels(Node("wet", (0.1,), (Cause("seal", (0.5,)),))).round(2).tolist()
    [[0.9, 0.45], [0.1, 0.55]]
    """

    def __init__(self, chance: Mapping[Place, Sequence[float] | Array]) -> None:
        rows = list(chance.values())
        self._row = {place: i for i, place in enumerate(chance, 1)}
        self._chance = np.array([[0.0] * (len(rows[0]) if rows else 1), *rows])
        self._kept: dict[str, Array] = {}

    def levels(self, node: Node) -> Array:
        """Chance of each level of a finding in each world, [level, world]."""
        held = self._kept.get(node.id)
        if held is None:
            held = self._kept[node.id] = self._worked_out(node)
        return held

    def _worked_out(self, node: Node) -> Array:
        leak, pushes = _tails(node.leak, tuple([c.push for c in node.causes]))
        reach = (1.0 - leak)[:, np.newaxis] * np.ones(self._chance.shape[1])
        if node.causes:
            row = self._row
            active = self._chance[[row.get((c.parent, c.state), 0) for c in node.causes]]
            if any(c.unless for c in node.causes):
                active = active * (1.0 - self._chance[[row.get(c.unless, 0) if c.unless else 0 for c in node.causes]])
            reach = reach * np.multiply.reduce(1.0 - active[:, np.newaxis, :] * pushes[:, :, np.newaxis], axis=0)
        out = np.ones((node.size, reach.shape[1]))
        out[:-1] = reach
        out[1:] -= reach
        return out


@lru_cache(maxsize=4096)
def _tails(leak: tuple[float, ...], pushes: tuple[tuple[float, ...], ...]) -> tuple[Array, Array]:
    """Chance of each level above the first or a higher one, for the leak and for each cause."""
    return np.array([sum(leak[k:]) for k in range(len(leak))]), np.array([[sum(p[k:]) for k in range(len(p))] for p in pushes])


@dataclass(frozen=True)
class Worlds:
    """Leaders' ids with their shares (sum 1; the last is "something else"); the first columns are their worlds, in this order."""

    leaders: tuple[str, ...]
    share: tuple[float, ...]
    columns: Columns


@dataclass(frozen=True)
class Tell:
    """What one finding would tell: bits gained, and for each level its chance and the leaders' shares then."""

    finding: str
    bits: float
    outcomes: tuple[tuple[str, float, tuple[float, ...]], ...]


def tell(finding: str, names: Sequence[str], network: Network, worlds: Worlds) -> Tell:
    """Expected bits about which leader is right, if this finding were looked at. `names`: names of its levels."""
    node = network.nodes[finding]
    assert isinstance(node, Node)
    joints = worlds.columns.levels(node)[:, : len(worlds.share)] * np.array(worlds.share)
    before = _entropy(worlds.share)
    after = 0.0
    outcomes = []
    for name, joint in zip(names, joints.tolist(), strict=True):
        total = sum(joint)
        if total <= 0.0:
            continue
        posterior = tuple(x / total for x in joint)
        outcomes.append((name, total, posterior))
        after += total * _entropy(posterior)
    return Tell(finding, max(0.0, before - after), tuple(outcomes))


def _entropy(shares: Sequence[float]) -> float:
    return -sum(p * log2(p) for p in shares if p > 0.0)
