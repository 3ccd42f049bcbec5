"""What is true of a worked case beyond what it lists: one world drawn from the knowledge, with the case's cause in it.

Worlds are sampled forward, cause before effect, by the sampling code of `diagnose.score.draw`; each weighs what the case's own
observations are worth in it, those with another fault besides hardly at all, and one is drawn by that weight. What the case lists is
kept as it stands; the world answers the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Any

from simulate import links, query, read_conditions, sample

from diagnose.assess import context_of
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import build
from diagnose.score.draw import draw_conditions, is_there

WORLDS = 100  # sampled for each case


def wanted(expect: Mapping[str, Any]) -> list[str]:
    """The causes that the case's author accepts as the first of the list; empty where nothing is wrong or nothing is said."""
    leader = expect.get("leader", [])
    return [str(x) for x in leader] if isinstance(leader, list) else [str(leader)]


def rest_of(case: Case, knowledge: Knowledge, rng: Random) -> dict[str, str]:
    """Finding -> answer, for every finding that some procedure gives."""
    given = sorted({f for p in knowledge.procedures.values() for f in p.gives if f in knowledge.findings})
    circumstances = {f: read_conditions(draw_conditions(rng, knowledge.findings[f])) for f in given}
    network = build(knowledge, links(knowledge), context_of(case, knowledge, circumstances), given)
    _, evidence, _ = query(case, knowledge)
    first = wanted(case.expect or {})
    force = first[0] if first and first[0] in network.places else None
    faults = [f.id for f in knowledge.faults.values() if f.kind == "fault" and f.id in network.places and f.id not in first]
    worlds, weights = [], []
    for _ in range(WORLDS):
        level = sample(rng, network, force)
        weight = 1.0
        for name, likelihood in evidence.items():
            if name in level:
                weight *= likelihood[level[name]]
        if any(is_there(network, level, f) for f in faults):
            weight *= 1e-6
        worlds.append(level)
        weights.append(weight + 1e-300)
    level = rng.choices(worlds, weights=weights)[0]
    return {f: (knowledge.findings[f].bands or ("no", "yes"))[level[f]] for f in given}
