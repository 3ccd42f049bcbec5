"""What masks what: a second fault whose signs a leader already explains.

Explaining away, said aloud. For each leader the chances are asked once more as if it were not there; what then gets much likelier
stood in its shadow: they share their evidence, so nothing found so far speaks for the second once the first is believed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose import assessment as a
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.network import Evidence, Network
from diagnose.rank.query import chances

LEADS_FROM = 0.5  # chance of a leader, from which it can mask (estimate)
HIDDEN_TO = 0.15  # chance of what is masked, up to which it goes unseen (estimate)
SHOWS_FROM, TIMES = 0.1, 3.0  # what it would have without the leader: at least this, and so many times more (estimate)
MOST_LEADERS, MOST_MASKED = 2, 5


def masks(
    knowledge: Knowledge, network: Network, evidence: Evidence, ranked: Sequence[a.Candidate], chance: Mapping[str, float]
) -> list[str]:
    """One sentence for each leader that hides other faults, leaders in their order."""
    leaders = [c for c in ranked if c.kind == "fault" and c.chance >= LEADS_FROM][:MOST_LEADERS]
    if not leaders:
        return []
    names = [n for n in chance if n in knowledge.faults and knowledge.faults[n].kind == "fault"]
    table, _, _ = chances(network, [_without(network, evidence, c.id) for c in leaders], names)
    out = []
    for i, leader in enumerate(leaders):
        part = knowledge.faults[leader.id].part
        hidden = [
            (table[n][i], n)
            for n in names
            if n != leader.id
            and (part is None or knowledge.faults[n].part != part)
            and chance[n] <= HIDDEN_TO
            and table[n][i] >= max(SHOWS_FROM, TIMES * chance[n])
        ]
        hidden.sort(key=lambda x: (-x[0], x[1]))
        if hidden:
            told = ", ".join(f"{knowledge.faults[n].name} ({percent(chance[n])}, else {percent(p)})" for p, n in hidden[:MOST_MASKED])
            out.append(
                f"{leader.name} explains most of what would speak for {told}. Mend it and look again: the other may stand in its shadow."
            )
    return out


def _without(network: Network, evidence: Evidence, fault: str) -> Evidence:
    """The same findings on a vehicle that surely does not have `fault`."""
    node, state = network.place(fault)
    return {**evidence, node: tuple(0.0 if k == state else 1.0 for k in range(network.nodes[node].size))}
