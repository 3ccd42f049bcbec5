"""Contexts that can never be: on vehicles that the fault's own needs shut out; and contexts that say what is said without them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.knowledge.check.links import all_links
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.condition import Test
from diagnose.knowledge.knowledge import Knowledge


def check_shut_out(knowledge: Knowledge) -> Iterator[Report]:
    """Contexts of links and of priors."""
    for fault in knowledge.faults.values():
        needs = fault.needs.tests if fault.needs else ()
        variants = [(f"prior_in_context {i}", v.when.tests) for i, v in enumerate(fault.prior_in_context, start=1)]
        variants += [
            (f"link to {link.to}, in context {i}", v.when.tests) for link in fault.links for i, v in enumerate(link.in_context, start=1)
        ]
        for how, tests in variants:
            field = shut_out(needs, tests)
            if field:
                message = f"{how} can never be: its needs leave no vehicle with such a value of {field}."
                yield error(knowledge, "unreachable", fault.id, message, "Take the context away, or mend needs:.")
    for name, link in all_links(knowledge):
        if link.in_context and link.in_context[0].chance == link.chance:
            message = f"link to {link.to}: context 1 gives the same chance as is given without it."
            yield warning(knowledge, "unnecessary", name, message, "Take it away, or give the chance that the trade sees there.")


def shut_out(one: Iterable[Test], other: Iterable[Test]) -> str:
    """The field of which the two sets of tests allow no common value; empty where there is none."""
    others = list(other)
    for a in one:
        for b in others:
            if a.field != b.field:
                continue
            if a.words and b.words and not set(a.words) & set(b.words):
                return a.field
            highs = [t.below for t in (a, b) if t.below is not None]
            lows = [t.above for t in (a, b) if t.above is not None]
            if highs and lows and min(highs) <= max(lows):
                return a.field
    return ""
