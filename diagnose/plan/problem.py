"""A problem of troubleshooting in numbers alone: what may be wrong, what can be tried, and what each thing costs.

Costs are in hours of labour worth. A *pattern* is a set of faults that are there together; the empty one is a sound vehicle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pattern = frozenset[str]
NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Test:
    """A test: `likelihood[pattern][outcome]` in the order of the problem's patterns; each row adds up to 1.

    `access`: what must be opened first; it is paid once, whoever opens it. `leaves`: what it leaves behind (a warm engine);
    `waits`: what left behind it cannot stand, so that it has to be waited for first.
    """

    id: str
    cost: float
    outcomes: tuple[str, ...]
    likelihood: tuple[tuple[float, ...], ...]
    access: frozenset[str] = NOTHING
    leaves: frozenset[str] = NOTHING
    waits: frozenset[str] = NOTHING


@dataclass(frozen=True)
class Repair:
    """A repair: takes away every fault of `removes` that is there. `proof`: what it costs to see whether the trouble is gone.

    `joined`: other repairs that are done with it, in its cost and in `removes` already.
    """

    id: str
    cost: float
    removes: frozenset[str]
    proof: float = 0.0
    access: frozenset[str] = NOTHING
    joined: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """Patterns with their shares (sum 1), tests, repairs, and prices.

    `leave[fault]`: what it costs to leave that fault in the vehicle. `vain`: price of a repair that removes nothing, on top of its
    cost. `detect`: chance that the proof after a repair notices that something is still wrong. `access[place]`: cost of opening it.
    `undo[what]`: cost of waiting until what a test left behind is gone. Raises ValueError for shares or likelihoods that are none.
    """

    patterns: tuple[Pattern, ...]
    share: tuple[float, ...]
    tests: tuple[Test, ...]
    repairs: tuple[Repair, ...]
    leave: Mapping[str, float]
    vain: float = 0.0
    detect: float = 1.0
    access: Mapping[str, float] = field(default_factory=dict)
    undo: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if len(self.patterns) != len(self.share) or abs(sum(self.share) - 1.0) > 1e-6 or min(self.share, default=-1.0) < 0.0:
            raise ValueError("one share for each pattern, none below nothing, together 1")
        for test in self.tests:
            if len(test.likelihood) != len(self.patterns):
                raise ValueError(f"{test.id}: one row of likelihoods for each pattern")
            if any(abs(sum(row) - 1.0) > 1e-6 or len(row) != len(test.outcomes) for row in test.likelihood):
                raise ValueError(f"{test.id}: a row of likelihoods does not add up to 1")
        for pattern in self.patterns:
            for repair in self.repairs:
                if pattern - repair.removes not in self.index:
                    raise ValueError(f"no pattern for what {repair.id} leaves of {sorted(pattern)}")

    @cached_property
    def index(self) -> Mapping[Pattern, int]:
        """Position of each pattern."""
        return {pattern: i for i, pattern in enumerate(self.patterns)}

    @cached_property
    def prior(self) -> Array:
        """The shares as an array."""
        return np.array(self.share)

    @cached_property
    def left(self) -> Array:
        """For each pattern, the price of leaving it as it is."""
        return np.array([sum(self.leave.get(f, 0.0) for f in sorted(p)) for p in self.patterns])

    @cached_property
    def tables(self) -> tuple[Array, ...]:
        """Likelihoods of each test, [pattern, outcome]."""
        return tuple(np.array(t.likelihood) for t in self.tests)

    def after(self, removed: frozenset[str]) -> NDArray[np.intp]:
        """For each pattern, the position of what is left of it without the faults `removed`."""
        held = self._after.get(removed)
        if held is None:
            held = self._after[removed] = np.array([self.index[p - removed] for p in self.patterns])
        return held

    @cached_property
    def _after(self) -> dict[frozenset[str], NDArray[np.intp]]:
        return {}

    @cached_property
    def kept(self) -> dict[str, object]:
        """Room for what others work out of this problem once."""
        return {}

    @cached_property
    def shared(self) -> frozenset[str]:
        """Places that more than one action opens; only they need remembering."""
        seen: dict[str, int] = {}
        for access in (*(t.access for t in self.tests), *(r.access for r in self.repairs)):
            for place in access:
                seen[place] = seen.get(place, 0) + 1
        return frozenset(p for p, n in seen.items() if n > 1)

    def price(self, action: Test | Repair, opened: frozenset[str]) -> float:
        """Cost of an action when `opened` is open already, or left behind (proof included)."""
        opening = sum(self.access.get(p, 0.0) for p in sorted(action.access - opened))
        if isinstance(action, Repair):
            return action.cost + action.proof + opening
        return action.cost + opening + sum(self.undo.get(w, 0.0) for w in sorted(action.waits & opened))

    def after_test(self, test: Test, opened: frozenset[str]) -> frozenset[str]:
        """What stands open, or is left behind, after a test; only what matters to some later action is remembered."""
        if not test.waits and not test.leaves:
            return opened | (test.access & self.shared)
        return (opened - test.waits) | (test.access & self.shared) | (test.leaves & self.awaited)

    @cached_property
    def awaited(self) -> frozenset[str]:
        """What left behind some test cannot stand."""
        return NOTHING.union(*(t.waits for t in self.tests)) if self.tests else NOTHING

    def cured(self, removed: frozenset[str]) -> Array:
        """1 for each pattern of which nothing is left without `removed`."""
        return np.array([0.0 if p - removed else 1.0 for p in self.patterns])


def closed(patterns: Sequence[Pattern], repairs: Sequence[Repair]) -> tuple[Pattern, ...]:
    """`patterns` and all that repairs can leave of them, the given ones first."""
    out = list(dict.fromkeys(patterns))
    for pattern in out:  # grows while it is read
        for repair in repairs:
            rest = pattern - repair.removes
            if rest not in out:
                out.append(rest)
    return tuple(out)
