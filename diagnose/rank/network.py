"""The causal network of one case: ids and numbers only, no words, no files.

Every node is a *noisy maximum*: its levels are ordered, level 0 is "nothing there", and each active cause pushes it to a level
with some chance; the highest push wins. Two levels make it a noisy-OR. A *choice* is one part with several exclusive states.
Source: J. Pearl, Probabilistic Reasoning in Intelligent Systems (1988), for noisy-OR; F. J. Díez (1993) for the maximum.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Table = NDArray[np.float64]
Place = tuple[str, int]  # a node and one of its levels


@dataclass(frozen=True)
class Cause:
    """One link: while `parent` is at level `state`, it pushes to level k with chance push[k-1] (sum at most 1).

    While `unless` holds, the link is silent.
    """

    parent: str
    push: tuple[float, ...]
    state: int = 1
    unless: Place | None = None


@dataclass(frozen=True)
class Node:
    """A noisy maximum: `leak[k-1]` is the chance of level k with no cause active (for a root: its prior)."""

    id: str
    leak: tuple[float, ...]
    causes: tuple[Cause, ...] = ()

    @property
    def size(self) -> int:
        """Number of levels, level 0 included."""
        return len(self.leak) + 1

    def parents(self) -> tuple[str, ...]:
        """Ids of all nodes that its table reads, sorted, each once."""
        found = {cause.parent for cause in self.causes} | {cause.unless[0] for cause in self.causes if cause.unless}
        return tuple(sorted(found))


@dataclass(frozen=True)
class Choice:
    """One part with exclusive states 1..n (0 is sound); each state has a prior and events that raise it (node id, chance).

    Chance of any state at all: one minus the product of the states' single chances left out; shared out in proportion to them.
    """

    id: str
    priors: tuple[float, ...]
    raised: tuple[tuple[tuple[str, float], ...], ...] = ()

    @property
    def size(self) -> int:
        """Number of states, sound included."""
        return len(self.priors) + 1

    def parents(self) -> tuple[str, ...]:
        """Ids of the events that its table reads, sorted, each once."""
        return tuple(sorted({event for state in self.raised for event, _ in state}))

    def table(self) -> Table:
        """Chances with one axis a parent (sorted ids) and a last axis of states."""
        parents = self.parents()
        out = np.zeros([2] * len(parents) + [self.size])
        for world in np.ndindex(*([2] * len(parents))):
            happened = {p for p, there in zip(parents, world, strict=True) if there}
            single = []
            for k, prior in enumerate(self.priors):
                silent = 1.0 - prior
                for event, chance in self.raised[k] if self.raised else ():
                    silent *= 1.0 - chance if event in happened else 1.0
                single.append(1.0 - silent)
            sound = float(np.prod([1.0 - p for p in single]))
            total = sum(single) or 1.0
            out[world] = [sound, *((1.0 - sound) * p / total for p in single)]
        return out


@dataclass(frozen=True)
class Network:
    """Nodes by id, parents before children; `places` tells where each fault, effect and finding id lives.

    `events`: past events; `answers`: findings that ask for nothing but past events.
    """

    nodes: Mapping[str, Node | Choice]
    places: Mapping[str, Place] = field(default_factory=dict)
    events: frozenset[str] = frozenset()
    answers: frozenset[str] = frozenset()

    def place(self, name: str) -> Place:
        """Node and level that stand for `name` (a plain binary node stands for itself)."""
        return self.places.get(name, (name, 1))

    def outside(self) -> list[str]:
        """The roots that stand for what the knowledge does not hold."""
        return sorted(name for name in self.nodes if name.startswith("outside:"))

    def ancestors(self, names: Iterable[str]) -> set[str]:
        """The node ids `names` and everything upstream of them."""
        found: set[str] = set()
        stack = list(names)
        while stack:
            name = stack.pop()
            if name not in found:
                found.add(name)
                stack.extend(self.nodes[name].parents())
        return found


Evidence = Mapping[str, tuple[float, ...]]  # node id -> likelihood of each level


@lru_cache(maxsize=8192)
def step_table(
    size: int, names: tuple[str, ...], sizes: tuple[int, ...], causes: tuple[Cause, ...], leak: tuple[float, ...], before: bool = False
) -> Table:
    """P(level | nodes read): one axis for each of `names`, a last axis for the highest level pushed to by `causes` and `leak`.

    With `before` there is a further first axis: a level reached before, below which the result cannot fall. Several causes may
    read the same nodes (states of one part). Cached, for links rarely change between cases: do not write to it.
    """
    reach_of = np.empty([*sizes, size])
    still = np.concatenate([1.0 - np.cumsum(leak[::-1])[::-1], [1.0]])
    for world in np.ndindex(*sizes):
        level = dict(zip(names, world, strict=True))
        reach = still
        for cause in causes:
            if level[cause.parent] != cause.state or (cause.unless and level[cause.unless[0]] == cause.unless[1]):
                continue
            reach = reach * np.concatenate([1.0 - np.cumsum(cause.push[::-1])[::-1], [1.0]])
        reach_of[world] = reach
    return _levels(reach_of, before)


@lru_cache(maxsize=32)
def same_table(size: int, before: bool) -> Table:
    """As `step_table` for a single node whose own level is the push."""
    return _levels(np.tril(np.ones((size, size))).T, before)


def _levels(reach: Table, before: bool) -> Table:
    size = reach.shape[-1]
    if before:
        reach = np.stack([np.where(np.arange(size) >= level, reach, 0.0) for level in range(size)])
    out = np.diff(reach, axis=-1, prepend=0.0)
    out.setflags(write=False)
    return out
