"""Cases drawn from the knowledge itself: are the chances calibrated, and what is taken for what?

Told apart from the worked cases: the numbers that draw such a case are those that later rank it, so good figures here are nearly
free. They show that the arithmetic is right and the circumstances are handled, and nothing about life.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.calibration import calibration
from diagnose.score.draw import draw
from diagnose.score.ground import posterior, prepare
from diagnose.score.interval import Proportion

PAIR_FROM = 0.05  # chance from which a pair of fault and case is looked at
MOST = 20  # how many mix-ups are told


@dataclass(frozen=True)
class Drawn:
    """One drawn case: what was there (faults and harmless causes), the leader and its chance, the pairs with what was there."""

    leader: str
    chance: float
    there: bool
    faults: tuple[str, ...]
    pairs: tuple[tuple[str, float, bool], ...]


def simulate(knowledge: Knowledge, task: tuple[int, int]) -> Drawn:
    """Draw the case number task[1] of the seed task[0], and rank it."""
    seed, number = task
    truth, case = draw(Random(f"{seed} {number}"), knowledge)
    ground = prepare(case, knowledge)
    ranked = posterior(ground)
    pairs = tuple((n, ranked.chance[n], n in truth) for n in ground.suspects if ranked.chance[n] >= PAIR_FROM)
    real = tuple(sorted(n for n in truth if knowledge.faults[n].kind == "fault"))
    if not ranked.order:
        return Drawn("", 0.0, False, real, pairs)
    return Drawn(ranked.leader, ranked.chance[ranked.leader], ranked.leader in truth, real, pairs)


def summary(drawn: Sequence[Drawn], knowledge: Knowledge, seed: int, seconds: float) -> dict[str, Any]:
    """Calibration of the leader and of all pairs, how often the leader is there, and what was taken for what."""
    led = [(i, d) for i, d in enumerate(drawn) if d.leader]
    pairs = [(i, p) for i, d in enumerate(drawn) for p in d.pairs]
    real = [(i, p) for i, p in pairs if knowledge.faults[p[0]].kind == "fault"]
    return {
        "cases": len(drawn),
        "seconds": round(seconds, 1),
        "without_leader": len(drawn) - len(led),
        "leader_there": Proportion(sum(d.there for _, d in led), len(led)).document(),
        "leader": calibration([d.chance for _, d in led], [d.there for _, d in led], [i for i, _ in led], seed),
        "pairs_from": PAIR_FROM,
        "pairs": calibration([p[1] for _, p in pairs], [p[2] for _, p in pairs], [i for i, _ in pairs], seed),
        "pairs_of_faults": calibration([p[1] for _, p in real], [p[2] for _, p in real], [i for i, _ in real], seed),
        "confusion": mixed_up([(d.faults[0], d.leader) for _, d in led if len(d.faults) == 1 and not d.there]),
    }


def mixed_up(pairs: Sequence[tuple[str, str]]) -> list[dict[str, Any]]:
    """The most frequent pairs of truth and what was told instead."""
    counted = sorted(Counter(pairs).items(), key=lambda x: (-x[1], x[0]))
    return [{"truth": truth, "told": told, "times": n} for (truth, told), n in counted[:MOST]]
