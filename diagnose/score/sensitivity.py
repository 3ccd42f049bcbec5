"""The numbers that matter most: how far each may be wrong before a worked case gets another leader or another urgency.

Looked at, of each open case: the priors of the two foremost causes and all numbers on their way to what was looked at, one at a
time, up to LIMIT in log-odds either way. A number that matters only by way of a third cause is not seen. Where the answer at the
limit is the same, nothing between is tried: the lead of one cause over another rises or falls throughout.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.ground import Ground, answer, posterior, prepare
from diagnose.score.near import near
from diagnose.score.numbers import Number, shifted

LIMIT = 2.0  # log-odds: a chance of 0.5 becomes 0.88 or 0.12
HALVINGS = 4
MOST = 25


@dataclass(frozen=True)
class Turned:
    """The least move of a number that changes an answer of one case, and what changes: leader, urgency, or both."""

    number: Number
    by: float
    changes: tuple[str, ...]


def turning(knowledge: Knowledge, case: Case) -> tuple[int, list[Turned]]:
    """How many numbers of the case were looked at, and those that change its answer within the limit."""
    ground = prepare(case, knowledge)
    ranked = posterior(ground)
    before = answer(ground, knowledge)
    looked_at = near(ground, ranked)
    out = []
    for number in looked_at:
        for limit in (-LIMIT, LIMIT):
            turned = least(lambda by, n=number: changed(before, _moved(ground, knowledge, n, by)), limit)  # type: ignore[misc]
            if turned is not None:
                out.append(Turned(number, turned, changed(before, _moved(ground, knowledge, number, turned))))
    return len(looked_at), out


def _moved(ground: Ground, knowledge: Knowledge, number: Number, by: float) -> tuple[str, str]:
    return answer(ground, knowledge, shifted(ground.network, number, by))


def changed(before: Sequence[str], after: Sequence[str]) -> tuple[str, ...]:
    """What differs between two answers."""
    return tuple(name for name, a, b in zip(("leader", "urgency"), before, after, strict=True) if a != b)


def least(changes: Callable[[float], Sequence[str]], limit: float) -> float | None:
    """The least move towards `limit` that still changes something, found by halving; None where the limit itself does not."""
    if not changes(limit):
        return None
    stays, turns = 0.0, limit
    for _ in range(HALVINGS):
        middle = (stays + turns) / 2
        if changes(middle):
            turns = middle
        else:
            stays = middle
    return turns


def summary(found: Sequence[tuple[int, Sequence[Turned]]], seconds: float) -> dict[str, Any]:
    """The numbers by how little it takes, each with the cases that it turns."""
    by_number: dict[Number, list[Turned]] = {}
    for _, turned in found:
        for t in turned:
            by_number.setdefault(t.number, []).append(t)
    rows: list[dict[str, Any]] = [
        {
            "number": str(number),
            "kind": number.kind,
            "least": min((t.by for t in row), key=abs),
            "turns": len(row),
            "turns_within_half": sum(abs(t.by) <= 0.5 for t in row),
            "leader": any("leader" in t.changes for t in row),
            "urgency": any("urgency" in t.changes for t in row),
        }
        for number, row in by_number.items()
    ]
    rows.sort(key=lambda r: (abs(r["least"]), -r["turns_within_half"], -r["turns"], r["number"]))
    return {
        "cases": len(found),
        "seconds": round(seconds, 1),
        "limit": LIMIT,
        "tried": sum(n for n, _ in found),
        "numbers_that_turn_a_case": len(rows),
        "within_half": sum(abs(r["least"]) <= 0.5 for r in rows),
        "cases_turned_within_half": sum(any(abs(t.by) <= 0.5 for t in row) for _, row in found),
        "most": rows[:MOST],
    }
