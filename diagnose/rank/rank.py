"""Rank: the exact chance of every fault, effect and harmless cause, several at once; and what each finding adds to each.

"Accounts for" = the chance that a fault is there and what was found would not have been found without it: its chance less the
share that mere coincidence explains, P(f|e) - P(not f|e) × (odds of f before anything was found). With findings that only
ever get likelier by a fault, this is exactly the chance that the fault is needed for what was found.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

from diagnose.rank.collapse import collapse
from diagnose.rank.factors import compile_factors
from diagnose.rank.junction import TooWide, propagate
from diagnose.rank.network import Evidence, Network

DIGITS = 4  # chances are rounded to this many places before anybody sees them
TINY = 1e-9


@dataclass(frozen=True)
class Ranking:
    """Chances by id (faults, harmless causes, events, effects; roots outside and misled), rounded.

    `before`: chance with the history only. `accounts`: chance that it is there and needed for what was found.
    `weights[finding][id]`: change of log-odds (natural) when that finding is left out, sign turned: positive speaks for it.
    """

    chance: Mapping[str, float]
    before: Mapping[str, float]
    accounts: Mapping[str, float]
    weights: Mapping[str, Mapping[str, float]]
    width: int
    exact: bool = True
    exact_chance: Mapping[str, float] | None = None


def rank(network: Network, evidence: Evidence, history: Sequence[str], wanted: Sequence[str]) -> Ranking:
    """Chances of all `wanted` ids. `history`: the findings that ask for past events; they make the chance before."""
    names = sorted(evidence)
    worlds: list[Evidence] = [evidence, {k: v for k, v in evidence.items() if k in set(history)}]
    worlds += [{k: v for k, v in evidence.items() if k != left} for left in names]
    table, width, exact = chances(network, worlds, wanted)
    chance = {name: table[name][0] for name in wanted}
    before = {name: table[name][1] for name in wanted}
    accounts = {name: _accounts(chance[name], before[name]) for name in wanted}
    weights = {
        left: {name: round(_logit(chance[name]) - _logit(table[name][2 + i]), DIGITS) for name in wanted} for i, left in enumerate(names)
    }
    return Ranking(_rounded(chance), _rounded(before), _rounded(accounts), weights, width, exact, chance)


def chances(network: Network, worlds: Sequence[Evidence], wanted: Sequence[str]) -> tuple[dict[str, list[float]], int, bool]:
    """Chance of each wanted id in each world; the widest clique; whether it is exact."""
    places = {name: network.place(name) for name in wanted}
    observed = sorted({name for world in worlds for name in world})
    kept = network.ancestors([*observed, *(node for node, _ in places.values())])
    small = collapse(network, kept, worlds)
    nodes = sorted({small.by_root[n].node if n in small.by_root else n for n, _ in places.values()})
    factors = compile_factors(small.network, worlds, nodes)
    variables = {node: factors.variable[node] for node in nodes}
    try:
        beliefs = propagate(factors, variables.values(), len(worlds))
        exact = True
    except TooWide:
        from diagnose.rank.loopy import propagate_loopy

        beliefs = propagate_loopy(factors, variables.values(), len(worlds))
        exact = False
    table: dict[str, list[float]] = {}
    for name, (node, state) in places.items():
        gathered = small.by_root.get(node)
        if gathered is None:
            column = beliefs.chance[variables[node]][:, state]
        else:
            column = beliefs.chance[variables[gathered.node]] @ gathered.given[node]
        table[name] = [float(x) for x in column]
    return table, beliefs.width, exact


def _accounts(chance: float, before: float) -> float:
    odds = before / max(1.0 - before, TINY)
    return max(0.0, chance - (1.0 - chance) * odds)


def _logit(p: float) -> float:
    p = min(max(p, TINY), 1.0 - TINY)
    return log(p / (1.0 - p))


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, DIGITS) + 0.0 for name, value in values.items()}
