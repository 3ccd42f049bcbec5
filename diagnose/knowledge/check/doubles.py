"""The same thing said twice: doubled links, and a finding counted once by the fault and again by its effect."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from diagnose.knowledge.check.contexts import check_order
from diagnose.knowledge.check.links import shows_and_leads, total
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge

NEARLY_ALWAYS = 0.8  # from here on an effect goes without saying, so its findings are its own (estimate)


def check_doubles(knowledge: Knowledge) -> Iterator[Report]:
    """Repeated targets, entries that are copies, and doubled links."""
    for name in [*knowledge.faults, *knowledge.effects]:
        links = knowledge.links_from(name)
        for target, times in sorted(Counter(link.to for link in links).items()):
            if times > 1:
                yield error(
                    knowledge, "duplicate", name, f"it links to {target} {times} times.", "Keep one link, with in_context if need be."
                )
    yield from _lists(knowledge)
    yield from _names(knowledge)
    yield from check_order(knowledge)
    for name in [*knowledge.faults, *knowledge.effects]:
        yield from _doubled(knowledge, name)


def _lists(knowledge: Knowledge) -> Iterator[Report]:
    for kind, fields in (
        ("faults", ("nearest", "repair")),
        ("procedures", ("gives", "not_when", "tools", "opens")),
        ("repairs", ("removes", "voids")),
    ):
        for name, entry in getattr(knowledge, kind).items():
            for field in fields:
                for word, times in sorted(Counter(getattr(entry, field)).items()):
                    if times > 1:
                        yield error(knowledge, "duplicate", name, f"{field} names {word} {times} times.", "Name it once.")


def _names(knowledge: Knowledge) -> Iterator[Report]:
    for kind in ("findings", "effects", "faults", "procedures", "repairs"):
        first: dict[str, str] = {}
        for name, entry in getattr(knowledge, kind).items():
            words = entry.name.casefold()
            if words in first:
                yield error(knowledge, "duplicate", name, f"its name is also that of {first[words]}.", "Say in the name what differs.")
            first.setdefault(words, name)


def _doubled(knowledge: Knowledge, name: str) -> Iterator[Report]:
    shows, leads = shows_and_leads(knowledge, name)
    own = {link.to: total(link.chance) for link in shows}
    for lead in leads:
        if lead.to not in knowledge.effects or isinstance(lead.chance, Mapping) or lead.chance < NEARLY_ALWAYS:
            continue
        for again in knowledge.effects[lead.to].shows:
            if again.to in own:
                message = (
                    f"it shows {again.to} ({own[again.to]:.2f}) and almost always brings about {lead.to}, "
                    f"which shows it too ({total(again.chance):.2f}): one sign counted twice."
                )
                yield warning(knowledge, "doubled", name, message, "Drop one link, or say in note: why it shows by a second way.")
