"""The worlds in which tests are judged: each leading explanation, likely pairs of them, none of them, and a sound vehicle.

Shares: what each leader accounts for, pairs by the exact chance of the one given the other, the rest "something else". Three at
once are left to what follows the first repair. That choice decides which tests are proposed; it never ranks faults.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diagnose.plan.cost import ELSEWHERE
from diagnose.plan.outlook import Columns, Worlds
from diagnose.plan.problem import NOTHING, Pattern
from diagnose.rank.network import Network, Place
from diagnose.rank.query import Query
from diagnose.rank.rank import absent, present

PAIRED = 3  # the first so many leaders are also looked at in pairs
PAIR_FROM = 0.01  # share from which a pair is a pattern of its own (estimate)
LEAST_ELSE = 0.02  # something else is never quite excluded (estimate)


Chances = Mapping[Place, float]


@dataclass(frozen=True)
class Leader:
    """An explanation with the chance that it is there, and that it is there and needed for what was found."""

    id: str
    chance: float
    accounts: float


@dataclass(frozen=True)
class Outlook:
    """`worlds`: leaders and "something else"; `patterns` with `share` and, for each, the position of its column in the worlds'."""

    worlds: Worlds
    patterns: tuple[Pattern, ...]
    share: tuple[float, ...]
    column: tuple[int, ...]
    exact: bool


def look_out(network: Network, query: Query, leaders: Sequence[Leader], wanted: Sequence[str], roots: Chances, found: bool) -> Outlook:
    """Worlds for these leaders. `query`: the network as it was asked, its first world the evidence; `wanted`: nodes whose chances are
    needed in each of them; `roots`: chances that are the same in all; `found`: whether anything was found at all."""
    pairs = [
        (f, g) for f, g in combinations([x.id for x in leaders[:PAIRED]], 2) if network.place(f)[0] != network.place(g)[0]
    ]  # fmt: skip
    names = [x.id for x in leaders]
    assumed = [*(present(network, n) for n in names), absent(network, *names)]
    places = [(name, k) for name in wanted for k in range(1, network.nodes[name].size)]
    places += [place for place in dict.fromkeys(network.place(n) for n in names) if place not in places]
    seen = query.ask_places({f"{node}={k}": (node, k) for node, k in places}, [0] * len(assumed), assumed)
    single = {(node, k): seen[f"{node}={k}"] for node, k in places}
    table = {n: single[network.place(n)].tolist() for n in names}
    position = {n: i for i, n in enumerate(names)}
    left = [position[f] for f, _ in pairs]
    right = [position[g] for _, g in pairs]
    # Behind the leaders and "something else": the pairs, and a sound vehicle, which shows what a misreading shows.
    chance = {place: np.concatenate([row, np.maximum(row[left], row[right]), [roots.get(place, 0.0)]]) for place, row in single.items()}
    width = len(assumed) + len(pairs) + 1
    columns = Columns({**{place: [x] * width for place, x in roots.items()}, **chance})
    total = sum(x.accounts for x in leaders)
    rest = max(0.05, 1.0 - total)
    told = Worlds(tuple(names), (*(x.accounts / (total + rest) for x in leaders), rest / (total + rest)), columns)
    share = _shares(leaders, pairs, table)
    nothing_else: Pattern = frozenset({ELSEWHERE}) if found else NOTHING
    patterns: list[tuple[Pattern, float, int]] = [(frozenset({n}), share[frozenset({n})], i) for i, n in enumerate(names)]
    patterns.append((nothing_else, share[NOTHING], len(names)))
    patterns += [(frozenset(p), share[frozenset(p)], len(names) + 1 + i) for i, p in enumerate(pairs) if share[frozenset(p)] >= PAIR_FROM]
    if found:
        patterns.append((NOTHING, 0.0, len(names) + 1 + len(pairs)))
    whole = sum(s for _, s, _ in patterns)
    share_of = tuple(s / whole for _, s, _ in patterns)
    return Outlook(told, tuple(p for p, _, _ in patterns), share_of, tuple(c for _, _, c in patterns), query.exact)


def _shares(leaders: Sequence[Leader], pairs: Sequence[tuple[str, str]], table: dict[str, list[float]]) -> dict[Pattern, float]:
    needed = {x.id: min(1.0, x.accounts / x.chance) if x.chance > 0.0 else 0.0 for x in leaders}
    share: dict[Pattern, float] = {frozenset({x.id}): x.accounts for x in leaders}
    position = {x.id: i for i, x in enumerate(leaders)}
    chance = {x.id: x.chance for x in leaders}
    for f, g in pairs:
        both = chance[f] * table[g][position[f]] * needed[f] * needed[g]
        both = min(both, 0.9 * share[frozenset({f})], 0.9 * share[frozenset({g})]) if both >= PAIR_FROM else 0.0
        share[frozenset({f, g})] = both
        share[frozenset({f})] -= both
        share[frozenset({g})] -= both
    share[NOTHING] = max(LEAST_ELSE, 1.0 - sum(share.values()))
    return share
