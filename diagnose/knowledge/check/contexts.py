"""Conditions of entries: on fields that are known where they are asked, on values that can be, and not in vain."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.instruments import check_instrument
from diagnose.knowledge.check.links import all_links
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.condition import CASE_FIELDS, CONDITION_FIELDS, VEHICLE_FIELDS, Test
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import When

STANDING = {*VEHICLE_FIELDS, *CASE_FIELDS}  # known of the case as a whole, whatever was looked at


def check_contexts(knowledge: Knowledge) -> Iterator[Report]:
    """Every `when`, `needs` and `shows_when`."""
    for who, how, when, allowed, kind in _whens(knowledge):
        for test in when.tests:
            if test.field not in allowed:
                message = f"{how}: '{test.field}' is not known here, so this never holds."
                yield error(knowledge, "field", who, message, f"Allowed: fields of the {kind}.")
            elif test.field == "instrument":
                yield from check_instrument(knowledge, who, how, test.words)
            elif never(test):
                message = f"{how}: {test.field} below {test.below:g} and above {test.above:g} can never hold."
                yield error(knowledge, "unreachable", who, message, "Turn the limits round.")


def never(test: Test) -> bool:
    """Whether no number passes both limits."""
    return test.below is not None and test.above is not None and test.below <= test.above


def _whens(knowledge: Knowledge) -> Iterator[tuple[str, str, When, set[str], str]]:
    everything = {*STANDING, *CONDITION_FIELDS}
    for name, link in all_links(knowledge):
        for number, variant in enumerate(link.in_context, start=1):
            how = f"link to {link.to}, in context {number}"
            yield (name, how, variant.when, STANDING, "vehicle") if link.effect else (name, how, variant.when, everything, "vehicle")
    for fault in knowledge.faults.values():
        for number, prior in enumerate(fault.prior_in_context, start=1):
            yield fault.id, f"prior_in_context {number}", prior.when, STANDING, "vehicle"
        if fault.needs:
            yield fault.id, "needs", fault.needs, set(VEHICLE_FIELDS), "vehicle"
    for procedure in knowledge.procedures.values():
        if procedure.needs:
            yield procedure.id, "needs", procedure.needs, set(VEHICLE_FIELDS), "vehicle"
    for finding in knowledge.findings.values():
        for number, misread in enumerate(finding.misread_in_context, start=1):
            yield finding.id, f"misread_in_context {number}", misread.when, everything, "vehicle or the observation"
        if finding.shows_when:
            yield finding.id, "shows_when", finding.shows_when.when, set(CONDITION_FIELDS), "observation"


def check_order(knowledge: Knowledge) -> Iterator[Report]:
    """Variants that a later one always overrides (the last that holds counts)."""
    for name, link in all_links(knowledge):
        for i, variant in enumerate(link.in_context):
            for later in link.in_context[i + 1 :]:
                if set(later.when.tests) <= set(variant.when.tests):
                    message = f"link to {link.to}: context {i + 1} never counts, because a later and wider one holds whenever it does."
                    yield warning(knowledge, "overridden", name, message, "Put the wider context first.")
