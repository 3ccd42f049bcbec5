"""What a test would show if each leader were the truth, and what that would tell.

For each finding: the chance of each of its levels in each leader's world, from the exact chances of everything above it in that
world, the causes taken as independent there. That last step is an approximation; it chooses tests, it never ranks faults.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log2

from diagnose.rank.network import Network, Node


@dataclass(frozen=True)
class Worlds:
    """Leaders' ids with their shares (sum 1; the last is "something else"), and for each world the chance of every node level."""

    leaders: tuple[str, ...]
    share: tuple[float, ...]
    chance: tuple[Mapping[tuple[str, int], float], ...]


def levels(node: Node, chance: Mapping[tuple[str, int], float]) -> tuple[float, ...]:
    """Chance of each level of a finding whose causes have the chances given."""
    leak, *pushes = _tails(node.leak, tuple(c.push for c in node.causes))
    reach = [1.0 - x for x in leak]
    for cause, tail in zip(node.causes, pushes, strict=True):
        active = chance.get((cause.parent, cause.state), 0.0)
        if cause.unless:
            active *= 1.0 - chance.get(cause.unless, 0.0)
        if active > 0.0:
            reach = [r * (1.0 - active * x) for r, x in zip(reach, tail, strict=True)]
    reach.append(1.0)
    return tuple(b - a for a, b in zip([0.0, *reach], reach, strict=False))


@lru_cache(maxsize=4096)
def _tails(leak: tuple[float, ...], pushes: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """Chance of each level or a higher one, for the leak and for each cause."""
    return tuple(tuple(sum(push[k:]) for k in range(len(push))) for push in (leak, *pushes))


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
    table = [levels(node, chance) for chance in worlds.chance]
    before = _entropy(worlds.share)
    after = 0.0
    outcomes = []
    for k, name in enumerate(names):
        joint = [share * row[k] for share, row in zip(worlds.share, table, strict=True)]
        total = sum(joint)
        if total <= 0.0:
            continue
        posterior = tuple(x / total for x in joint)
        outcomes.append((name, total, posterior))
        after += total * _entropy(posterior)
    return Tell(finding, max(0.0, before - after), tuple(outcomes))


def _entropy(shares: Sequence[float]) -> float:
    return -sum(p * log2(p) for p in shares if p > 0.0)
