"""What masks what: a second fault whose signs a leader already explains.

Explaining away, said aloud. For each leader the chances are asked once more as if it were not there; what then gets much likelier
stood in its shadow: they share their evidence, so nothing found so far speaks for the second once the first is believed.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose import assessment as a
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.rank import Ranking

HIDDEN_TO = 0.15  # chance of what is masked, up to which it goes unseen (estimate)
SHOWS_FROM, TIMES = 0.1, 3.0  # what it would have without the leader: at least this, and so many times more (estimate)
MOST_MASKED = 5


def masks(knowledge: Knowledge, ranking: Ranking, ranked: Sequence[a.Candidate]) -> list[str]:
    """One sentence for each leader that hides other faults, leaders in their order."""
    chance = ranking.chance
    names = [n for n in chance if n in knowledge.faults and knowledge.faults[n].kind == "fault"]
    out = []
    for leader in (c for c in ranked if c.kind == "fault" and c.id in ranking.without):
        otherwise = ranking.without[leader.id]
        part = knowledge.faults[leader.id].part
        hidden = [
            (otherwise[n], n)
            for n in names
            if n != leader.id
            and (part is None or knowledge.faults[n].part != part)
            and chance[n] <= HIDDEN_TO
            and otherwise[n] >= max(SHOWS_FROM, TIMES * chance[n])
        ]
        hidden.sort(key=lambda x: (-x[0], x[1]))
        if hidden:
            told = ", ".join(f"{knowledge.faults[n].name} ({percent(chance[n])}, else {percent(p)})" for p, n in hidden[:MOST_MASKED])
            out.append(
                f"{leader.name} explains most of what would speak for {told}. Mend it and look again: the other may stand in its shadow."
            )
    return out
