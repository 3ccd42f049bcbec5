"""Every id that an entry names must be there, and be of the right kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.errors import did_you_mean
from diagnose.knowledge.check.links import all_links
from diagnose.knowledge.check.report import KINDS, Report, error
from diagnose.knowledge.knowledge import BUILT_IN_SOURCES, Knowledge

# who names it, by what words, what is named, of which kind
Named = tuple[str, str, str, str]


def check_references(knowledge: Knowledge) -> Iterator[Report]:
    """Unknown effects, findings, faults, events, repairs and sources, with the nearest known names."""
    known: dict[str, Iterable[str]] = {
        "effect": knowledge.effects,
        "finding": knowledge.findings,
        "fault": knowledge.faults,
        "event": [f.id for f in knowledge.faults.values() if f.kind == "event"],
        "repair": knowledge.repairs,
        "source": {*knowledge.sources, *BUILT_IN_SOURCES},
        "fault or effect": {*knowledge.faults, *knowledge.effects},
        "price": knowledge.prices,
        "place": [entry.place for entry in knowledge.access.values()],
    }
    for who, how, what, kind in sorted(
        {*_links(knowledge), *_faults(knowledge), *_work(knowledge), *_lists(knowledge), *_sources(knowledge)}
    ):
        if what not in known[kind]:
            hint = did_you_mean(what, known[kind]) or f"Name one that is defined, or define {what}."
            yield error(knowledge, "unknown", who, f"{how}: '{what}' is not a known {kind}.", hint)


def _links(knowledge: Knowledge) -> Iterator[Named]:
    for name, link in all_links(knowledge):
        yield name, "link", link.to, "effect" if link.effect else "finding"
        if link.unless:
            yield name, f"link to {link.to}: unless", link.unless, "fault or effect"
        if link.source:
            yield name, f"link to {link.to}: source", link.source, "source"


def _faults(knowledge: Knowledge) -> Iterator[Named]:
    for fault in knowledge.faults.values():
        for near in fault.nearest:
            yield fault.id, "nearest", near, "fault"
        for after in fault.likelier_after:
            yield fault.id, "likelier_after", after.event, "event"
        for repair in fault.repair:
            yield fault.id, "repair", repair, "repair"


def _work(knowledge: Knowledge) -> Iterator[Named]:
    for procedure in knowledge.procedures.values():
        for finding in procedure.gives:
            yield procedure.id, "gives", finding, "finding"
        for place in procedure.opens:
            yield procedure.id, "opens", place, "place"
        for name in procedure.not_when:
            yield procedure.id, "not_when", name, "fault or effect"
        for finding in procedure.misled.shows if procedure.misled else ():
            yield procedure.id, "misled", finding, "finding"
    for repair in knowledge.repairs.values():
        for fault in repair.removes:
            yield repair.id, "removes", fault, "fault"
        for finding in repair.voids:
            yield repair.id, "voids", finding, "finding"
    for reading in knowledge.readings.values():
        yield reading.id, "finding", reading.finding, "finding"
        for part, finding in reading.feeds.items():
            yield reading.id, f"feeds: {part}", finding, "finding"
    for talk in knowledge.talks.values():
        if talk.suspected:
            yield talk.id, "suspected", talk.suspected, "effect"
        for finding in talk.asks:
            yield talk.id, "asks", finding, "finding"


def _lists(knowledge: Knowledge) -> Iterator[Named]:
    """Costs, access, proposals, logs."""
    for price in knowledge.prices.values():
        for fault in price.of:
            yield price.id, "of", fault, "fault"
    for access in knowledge.access.values():
        for repair in access.repairs:
            yield access.id, "repairs", repair, "repair"
    for proposal in knowledge.proposals.values():
        for repair in proposal.repairs:
            yield proposal.id, "repairs", repair, "repair"
        if proposal.price:
            yield proposal.id, "price", proposal.price, "price"
    for log in knowledge.logs.values():
        for finding in log.shows:
            yield log.id, "shows", finding, "finding"


def _sources(knowledge: Knowledge) -> Iterator[Named]:
    for kind in (kind for kind in KINDS if kind != "sources"):
        for name, entry in getattr(knowledge, kind).items():
            yield name, "source", entry.source, "source"
    for fault in knowledge.faults.values():
        if fault.prior.source:
            yield fault.id, "prior: source", fault.prior.source, "source"
    for finding in knowledge.findings.values():
        for edge in finding.edges:
            if edge.source:
                yield finding.id, f"edge at {edge.at:g}: source", edge.source, "source"
