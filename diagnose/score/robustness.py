"""What is left of the first place when every number of the knowledge is a little wrong.

Each prior, link, misreading and chance from outside is moved by its own normal deviate in log-odds, the same in all cases of one
draw. An answer that stands on one exact number does not survive it.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import Any

from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.expected import SETS
from diagnose.score.ground import posterior, prepare
from diagnose.score.interval import Proportion
from diagnose.score.numbers import Number, moved
from diagnose.score.worked import Worked

NOISE = 0.5  # standard deviation in log-odds: a chance of 0.5 becomes 0.38 to 0.62 two times in three
DRAWS = 5


def leaders(knowledge: Knowledge, task: tuple[Case, int]) -> list[str]:
    """The leader of the case task[0]: undisturbed, then in each draw of the seed task[1]."""
    case, seed = task
    ground = prepare(case, knowledge)
    out = [posterior(ground).leader]
    for draw in range(DRAWS):
        noisy = moved(ground.network, lambda number, draw=draw: noise(seed, draw, number))  # type: ignore[misc]
        out.append(posterior(ground, noisy).leader)
    return out


def noise(seed: int, draw: int, number: Number) -> float:
    """How far a number is moved in a draw; the same wherever it is met."""
    return Random(f"{seed} {draw} {number}").gauss(0.0, NOISE)


def summary(cases: Sequence[Worked], led: Sequence[Sequence[str]]) -> dict[str, Any]:
    """Set -> how often the truth comes first without noise and in each draw, and how often the leader stays the same."""
    out: dict[str, Any] = {"noise": NOISE, "draws": DRAWS}
    for which in SETS:
        mine = [(c.wanted, row) for c, row in zip(cases, led, strict=True) if c.wanted.set == which and c.wanted.leader]
        if not mine:
            continue
        counts = [Proportion(sum(row[d] in w.leader for w, row in mine), len(mine)).document() for d in range(DRAWS + 1)]
        same = Proportion(sum(name == row[0] for _, row in mine for name in row[1:]), len(mine) * DRAWS)
        out[which] = {"undisturbed": counts[0], "disturbed": counts[1:], "same_leader": same.document()}
    return out
