"""When to stop: no affordable test could change what to do. And what is said then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.assessment import Assessment, Procedure
from diagnose.plan.next_step import REFUSED
from diagnose.session.choosing import Choice

SEEN_FROM = 0.05  # chance of an outcome below which it is not reckoned with (estimate)
SETTLED = 0.9  # chance of the leader from which another test must overturn it to be worth asking (estimate)
UNPAID = 0.75  # the same where the plan finds no test worth its price (estimate)
ENOUGH = 4  # procedures gone through before the plan's "no test is worth its price" ends an unproven case (estimate)
DEAR = 0.5  # share of the leading repair's cost from which a test is not affordable (estimate)
LOOKED = 3  # procedures gone through before "nothing wrong" ends the questions (estimate)


@dataclass(frozen=True)
class Stop:
    """Why the questions end."""

    why: str


def stop(assessment: Assessment, choice: Choice | None, go_on: bool, looked: int = LOOKED) -> Stop | None:
    """Why to stop now, or None where `choice` is worth asking.

    `looked`: procedures that were gone through at the vehicle, talk not counted; "nothing wrong" is not said after one or two.
    """
    if choice is None:
        return Stop("Nothing more can be asked here that would tell these causes apart.")
    if go_on:
        return None
    left = [p for p in assessment.next if affordable(assessment, p)]
    if assessment.next and not left:
        return Stop("Every test left costs too much against what the repair itself would cost.")
    pays = assessment.plan is None or assessment.plan.steps[0].kind == "test"
    if assessment.verdict == "likely" and assessment.leaders:
        leader = assessment.leaders[0]
        top = next((c.chance for c in assessment.ranking if c.id == leader.id), 0.0)
        if top >= (SETTLED if pays else UNPAID) or not any(overturns(p, leader.name) for p in left):
            return Stop("No affordable test left could change what to do.")
    if assessment.verdict in ("harmless", "nothing_wrong") and looked >= LOOKED and left and not any(finds_a_fault(p) for p in left):
        return Stop("No affordable test left is likely to find a fault.")
    if not pays and looked >= ENOUGH and assessment.verdict != "nothing_known":
        return Stop("No test that is left is worth its price.")
    return None


def affordable(assessment: Assessment, step: Procedure) -> bool:
    """Whether a test costs clearly less than the repair that it would spare. Before a fault is likely, every test proposed is."""
    repairs = assessment.leaders[0].repairs if assessment.verdict == "likely" and assessment.leaders else []
    if not repairs:
        return True
    dear = min(r.hours + sum(r.parts_in_hours) / 2.0 for r in repairs)
    return step.minutes / 60.0 <= max(0.25, DEAR * dear)


def overturns(step: Procedure, leader: str) -> bool:
    """Whether some outcome to be reckoned with would put another cause first."""
    return any(o.chance >= SEEN_FROM and not o.then.startswith(leader) for o in step.outcomes)


def finds_a_fault(step: Procedure) -> bool:
    """Whether some outcome to be reckoned with would put a fault first."""
    return any(o.chance >= SEEN_FROM and not o.then.startswith("more likely none") for o in step.outcomes)


def next_proof(assessment: Assessment, dropped: Sequence[str] = ()) -> str:
    """What the next proof would cost, where the case is unproven."""
    if assessment.next:
        step = next((p for p in assessment.next if p.id not in dropped), assessment.next[0])
        return f"The next proof would be: {step.name}, {step.minutes:g} minutes, {step.cost}."
    waiting = [c for c in assessment.not_now if c.why != REFUSED]
    if waiting:
        first = waiting[0]
        return f"The next proof would be: {first.name}. {first.why}"
    return "No further proof is known here that would be worth its cost."


def unowned(assessment: Assessment) -> list[str]:
    """What tests with tools that are not at hand would have told; each once."""
    return [f"{c.name} ({c.why[:1].lower()}{c.why[1:].rstrip('.')})" for c in assessment.not_now if c.why.startswith("Needs ")]
