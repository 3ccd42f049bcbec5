"""Rank: the exact chance of every fault, effect and harmless cause, several at once; and what each finding adds to each.

"Accounts for" = the chance that a fault is there and what was found would not have been found without it: its chance less the
share that mere coincidence explains, P(f|e) - P(not f|e) × (odds of f before anything was found). With findings that only
ever get likelier by a fault, this is exactly the chance that the fault is needed for what was found.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import log

from diagnose.rank.network import Evidence, Network
from diagnose.rank.query import Query, chances

DIGITS = 4  # chances are rounded to this many places before anybody sees them
TINY = 1e-9
LEADS_FROM, MOST_LEADING = 0.5, 2  # leaders whose absence is thought through: what is then likelier stood in their shadow (estimate)
WEIGHED = 12  # how many of the foremost get the weight of each finding worked out: what is shown, and some to spare

__all__ = ["Ranking", "accounts_for", "chances", "rank"]


@dataclass(frozen=True)
class Ranking:
    """Chances by id (faults, harmless causes, events, effects; roots outside and misled), rounded.

    `before`: chance with the history only. `accounts`: chance that it is there and needed for what was found.
    `without[leader][id]`: the chances if a leader were surely absent.
    `weights[finding][id]`, for the WEIGHED foremost ids: change of log-odds (natural) when that finding is left out, sign turned:
    positive speaks for it. `query`: the network as it was asked, for further questions; its world 0 is the evidence.
    """

    chance: Mapping[str, float]
    before: Mapping[str, float]
    accounts: Mapping[str, float]
    weights: Mapping[str, Mapping[str, float]]
    width: int
    exact: bool = True
    exact_chance: Mapping[str, float] | None = None
    without: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    query: Query | None = field(default=None, compare=False, repr=False)


def rank(
    network: Network,
    evidence: Evidence,
    history: Sequence[str],
    wanted: Sequence[str],
    suspects: Sequence[str],
    weigh: bool = True,
) -> Ranking:
    """Chances of all `wanted` ids. `history`: the findings that ask for past events; they make the chance before.

    `suspects`: ids among them that findings are weighed for, the WEIGHED foremost of them. Without `weigh` no finding is left out
    and no leader thought away: two worlds instead of dozens.
    """
    names = sorted(evidence) if weigh else []
    worlds: list[Evidence] = [evidence, {k: v for k, v in evidence.items() if k in set(history)}]
    worlds += [{k: v for k, v in evidence.items() if k != left} for left in names]
    query = Query(network, worlds, wanted)
    table = query.ask(wanted, [0, 1])
    chance = {name: table[name][0] for name in wanted}
    before = {name: table[name][1] for name in wanted}
    accounts = {name: accounts_for(chance[name], before[name]) for name in wanted}
    weighed = sorted(suspects, key=lambda n: (-accounts[n], -chance[n], n))[:WEIGHED]
    without = query.ask(weighed, range(2, len(worlds))) if names else {}
    weights = {left: {n: round(_logit(chance[n]) - _logit(without[n][i]), DIGITS) for n in weighed} for i, left in enumerate(names)}
    leading = [n for n in weighed if weigh and chance[n] >= LEADS_FROM][:MOST_LEADING]
    thought_away = query.ask(suspects, [0] * len(leading), [absent(network, n) for n in leading]) if leading else {}
    shadow = {n: {other: row[i] for other, row in thought_away.items()} for i, n in enumerate(leading)}
    return Ranking(_rounded(chance), _rounded(before), _rounded(accounts), weights, query.width, query.exact, chance, shadow, query)


def absent(network: Network, *names: str) -> Evidence:
    """What says that none of the ids `names` is there."""
    world: dict[str, tuple[float, ...]] = {}
    places = [network.place(n) for n in names]
    for node in sorted({n for n, _ in places}):
        there = {state for n, state in places if n == node}
        world[node] = tuple(0.0 if k in there else 1.0 for k in range(network.nodes[node].size))
    return world


def present(network: Network, name: str) -> Evidence:
    """What says that the id `name` is there."""
    node, state = network.place(name)
    return {node: tuple(1.0 if k == state else 0.0 for k in range(network.nodes[node].size))}


def accounts_for(chance: float, before: float) -> float:
    """Chance that it is there and needed for what was found, of its chance now and its chance before anything was found."""
    odds = before / max(1.0 - before, TINY)
    return max(0.0, chance - (1.0 - chance) * odds)


def _logit(p: float) -> float:
    p = min(max(p, TINY), 1.0 - TINY)
    return log(p / (1.0 - p))


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, DIGITS) + 0.0 for name, value in values.items()}
