"""Prices: those that the plan asks for are there, and none lies idle."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES
from diagnose.plan.cost import ASKED, LEFT, UNDONE


def check_prices(knowledge: Knowledge) -> Iterator[Report]:
    """A missing price counts as nothing, so leaving a fault would cost nothing: an error."""
    asked = [*ASKED, *(f"{LEFT}{urgency}" for urgency in URGENCIES)]
    place = next(iter(knowledge.prices), "")
    for name in asked:
        if name not in knowledge.prices:
            yield error(
                knowledge, "price", place, f"there is no price '{name}', so that mistake would cost nothing.", "Add it to costs.yaml."
            )
    named = {*UNDONE.values(), *(proposal.price for proposal in knowledge.proposals.values())}
    for price in knowledge.prices.values():
        if price.id not in asked and not price.of and price.id not in named:
            message = "nothing asks for it: it concerns no fault, and no proposal names it."
            yield warning(knowledge, "unread", price.id, message, "Give of: the faults it concerns, or take it away.")
