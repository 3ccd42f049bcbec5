"""Rule voting: every present finding gives one vote to each cause that can show it, by whatever way. Most votes win.

What was looked for and not found has no vote. Of equals the commoner comes first. Nothing is wrong where a harmless cause, or
nothing, leads.
"""

from __future__ import annotations

from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.alternatives.single import Answered, Single, is_fault, ordered, present
from diagnose.score.ground import Ground


def vote(ground: Ground, marginals: Single, knowledge: Knowledge) -> Answered:
    """The list by votes."""
    votes = dict.fromkeys(ground.suspects, 0.0)
    for finding in present(ground):
        upstream = ground.network.ancestors([finding])
        for name in ground.suspects:
            votes[name] += ground.network.place(name)[0] in upstream
    order = ordered(votes, marginals.prior, 0.0)
    return Answered(order, not order or not is_fault(order[0], knowledge))
