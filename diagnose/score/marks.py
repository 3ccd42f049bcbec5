"""One worked case marked: each thing that it asserts, met or not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.knowledge.schema import URGENCIES
from diagnose.score.expected import Expected
from diagnose.score.told import Told

URGENT = URGENCIES.index("do_not_drive_far")
# measure -> how it is called. Those in BAD count what should not happen.
MEASURES: dict[str, str] = {
    "first": "truth comes first",
    "first_three": "truth in first three",
    "all_named": "several all near the top",
    "not_leader": "wrong leader avoided",
    "chance": "chances within bounds",
    "urgency": "urgency right",
    "urgency_missed": "urgent missed",
    "over_urgent": "over-urgent",
    "under_urgent": "less urgent, otherwise",
    "called_wrong": "sound called wrong",
    "called_likely": "… a fault called likely",
    "unproven": "unproven left unproven",
    "next_gives": "next test tells it",
}
BAD = ("urgency_missed", "over_urgent", "under_urgent", "called_wrong", "called_likely")


def marks(wanted: Expected, told: Told) -> dict[str, bool]:
    """Measure -> whether it happened, for the measures that this case bears on."""
    out: dict[str, bool] = {}
    if wanted.leader:
        out["first"] = bool(told.order) and told.order[0] in wanted.leader
        out["first_three"] = bool(set(told.order[:3]) & set(wanted.leader))
    if wanted.in_first[1]:
        out["all_named"] = set(wanted.in_first[1]) <= set(told.order[: wanted.in_first[0]])
    if wanted.not_leader:
        out["not_leader"] = not (told.order and told.order[0] in wanted.not_leader)
    if wanted.chance:
        out["chance"] = all(low <= told.chance.get(name, 0.0) < high for name, low, high in wanted.chance)
    out.update(_urgency(wanted.urgency, told.urgency))
    if wanted.nothing_wrong:
        out["called_wrong"] = not told.nothing_wrong
        out["called_likely"] = bool(told.likely)
    if wanted.unproven:
        out["unproven"] = not told.likely
    if wanted.next_gives and told.gives is not None:
        out["next_gives"] = bool(told.gives & set(wanted.next_gives))
    return out


def _urgency(allowed: Sequence[str], told: str) -> dict[str, bool]:
    """Missed: everything allowed is urgent (do not drive far, or stop now), and less than all of it was told."""
    if not allowed:
        return {}
    levels, level = [URGENCIES.index(u) for u in allowed], URGENCIES.index(told)
    out = {"urgency": told in allowed, "over_urgent": level > max(levels)}
    below = level < min(levels)
    out["urgency_missed" if min(levels) >= URGENT else "under_urgent"] = below
    return out


def met(marked: Mapping[str, bool]) -> bool:
    """Whether everything that was marked came out as it should."""
    return all(happened != (name in BAD) for name, happened in marked.items())


def rank_of_truth(wanted: Expected, told: Told) -> int | None:
    """Place of the first right name in the list, from 1; 0 where none stands there; None where the case names no truth."""
    if not wanted.leader:
        return None
    return next((i for i, name in enumerate(told.order, start=1) if name in wanted.leader), 0)


def brier_event(wanted: Expected, told: Told) -> float | None:
    """Squared error of the chance told for "the named truth is there" (of several names the likeliest), which it is. 0 is best."""
    if not wanted.leader:
        return None
    return (1.0 - max(told.chance.get(name, 0.0) for name in wanted.leader)) ** 2


def brier_classes(wanted: Expected, told: Told) -> float | None:
    """Multi-class score over "what explains it": 0 is best, 2 is worst.

    Each listed cause is a class with its chance of being needed for what was found, all named truths together one class, and
    "none of these" takes what is left; where the chances add up to more than one they are scaled to one.
    """
    if not wanted.leader:
        return None
    whole = max(1.0, sum(told.accounts.values()))
    share = {name: value / whole for name, value in told.accounts.items()}
    truth = sum(share.get(name, 0.0) for name in wanted.leader)
    others = [value for name, value in share.items() if name not in wanted.leader]
    left = max(0.0, 1.0 - sum(share.values()))
    return (1.0 - truth) ** 2 + sum(value * value for value in others) + left * left
