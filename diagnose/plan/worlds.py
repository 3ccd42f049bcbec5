"""The worlds in which tests are judged: each leading explanation, likely pairs of them, none of them, and a sound vehicle.

Shares: what each leader accounts for, pairs by the exact chance of the one given the other, the rest "something else". Three at
once are left to what follows the first repair. That choice decides which tests are proposed; it never ranks faults.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from diagnose.plan.cost import ELSEWHERE
from diagnose.plan.outlook import Worlds
from diagnose.plan.problem import NOTHING, Pattern
from diagnose.rank.network import Evidence, Network
from diagnose.rank.query import Query

PAIRED = 3  # the first so many leaders are also looked at in pairs
PAIR_FROM = 0.01  # share from which a pair is a pattern of its own (estimate)
FEW = 3  # worlds asked at a time where all of them together are too wide
LEAST_ELSE = 0.02  # something else is never quite excluded (estimate)


Chances = Mapping[tuple[str, int], float]


@dataclass(frozen=True)
class Leader:
    """An explanation with the chance that it is there, and that it is there and needed for what was found."""

    id: str
    chance: float
    accounts: float


@dataclass(frozen=True)
class Outlook:
    """`worlds`: leaders and "something else"; `patterns` with `share` and, for each, the position of its column in `chance`."""

    worlds: Worlds
    patterns: tuple[Pattern, ...]
    share: tuple[float, ...]
    chance: tuple[dict[tuple[str, int], float], ...]
    exact: bool


def look_out(
    network: Network, evidence: Evidence, leaders: Sequence[Leader], wanted: Sequence[str], roots: Chances, anything_found: bool
) -> Outlook:
    """Worlds for these leaders. `wanted`: nodes whose chances are needed in each of them; `roots`: chances that are the same in all."""
    pairs = [
        (f, g) for f, g in combinations([x.id for x in leaders[:PAIRED]], 2) if network.place(f)[0] != network.place(g)[0]
    ]  # fmt: skip
    names = [x.id for x in leaders]
    worlds = [_assume(network, evidence, n) for n in names] + [_none(network, evidence, names)]
    keys = {f"{name}={k}": (name, k) for name in wanted if name not in evidence for k in range(1, network.nodes[name].size)}
    places = {n: network.place(n) for n in names}
    table, exact = _ask(replace(network, places={**network.places, **keys}), worlds, [*keys, *(n for n in names if n not in keys)])
    column = [{**roots, **{place: table[key][w] for key, place in keys.items()}} for w in range(len(worlds))]
    for w, found in enumerate(column):
        found.update({places[n]: table[n][w] for n in names})
    position = {n: i for i, n in enumerate(names)}
    column += [{k: max(column[position[f]][k], column[position[g]][k]) for k in column[0]} for f, g in pairs]
    column.append(dict(roots))  # a sound vehicle shows what a misreading shows
    total = sum(x.accounts for x in leaders)
    rest = max(0.05, 1.0 - total)
    told = Worlds(tuple(names), (*(x.accounts / (total + rest) for x in leaders), rest / (total + rest)), tuple(column[: len(names) + 1]))
    share = _shares(leaders, pairs, table)
    nothing_else: Pattern = frozenset({ELSEWHERE}) if anything_found else NOTHING
    patterns: list[tuple[Pattern, float, int]] = [(frozenset({n}), share[frozenset({n})], i) for i, n in enumerate(names)]
    patterns.append((nothing_else, share[NOTHING], len(names)))
    patterns += [(frozenset(p), share[frozenset(p)], len(names) + 1 + i) for i, p in enumerate(pairs) if share[frozenset(p)] >= PAIR_FROM]
    if anything_found:
        patterns.append((NOTHING, 0.0, len(column) - 1))
    whole = sum(s for _, s, _ in patterns)
    return Outlook(
        told, tuple(p for p, _, _ in patterns), tuple(s / whole for _, s, _ in patterns), tuple(column[w] for _, _, w in patterns), exact
    )


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


def _ask(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> tuple[dict[str, list[float]], bool]:
    """Chances in all worlds; a few at a time where all together would not fit the exact method."""
    query = Query(network, worlds, wanted)
    if query.exact:
        return query.ask(wanted, range(len(worlds))), True
    table: dict[str, list[float]] = {name: [] for name in wanted}
    exact = True
    for start in range(0, len(worlds), FEW):
        few = worlds[start : start + FEW]
        query = Query(network, few, wanted)
        exact = exact and query.exact
        for name, row in query.ask(wanted, range(len(few))).items():
            table[name] += row
    return table, exact


def _assume(network: Network, evidence: Evidence, name: str) -> Evidence:
    node, state = network.place(name)
    return {**evidence, node: tuple(1.0 if k == state else 0.0 for k in range(network.nodes[node].size))}


def _none(network: Network, evidence: Evidence, names: Sequence[str]) -> Evidence:
    world = dict(evidence)
    places = [network.place(n) for n in names]
    for node in sorted({n for n, _ in places}):
        there = {state for n, state in places if n == node}
        world[node] = tuple(0.0 if k in there else 1.0 for k in range(network.nodes[node].size))
    return world
