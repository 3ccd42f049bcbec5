"""What leads nowhere, what nothing leads to, what nobody reads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagnose.knowledge.check.links import all_links, shows_and_leads
from diagnose.knowledge.check.report import KINDS, Report, error, warning
from diagnose.knowledge.knowledge import BUILT_IN_SOURCES, Knowledge


def check_reach(knowledge: Knowledge) -> Iterator[Report]:
    """Dead ends and loose ends."""
    shown = {link.finding for _, link in all_links(knowledge) if link.finding}
    caused = {link.effect for _, link in all_links(knowledge) if link.effect}
    in_rules = set(_words_of([rule.when for rule in knowledge.rules.values()]))
    for name in knowledge.findings:
        if name not in shown and name not in in_rules:
            message = "nothing shows it and no rule reads it: answering it changes nothing."
            yield error(knowledge, "unread", name, message, "Link it to a fault or effect, or take it away.")
        elif name not in shown:
            message = "no fault and no effect shows it, so it can speak for nothing."
            yield warning(knowledge, "no_cause", name, message, "Link it, or say in note: that it is context for rules only.")
    for effect in knowledge.effects.values():
        if not effect.shows and not effect.leads_to:
            yield error(knowledge, "dead_end", effect.id, "it shows nothing and leads nowhere.", "Say what it shows, or take it away.")
        if effect.id not in caused:
            yield error(knowledge, "no_cause", effect.id, "no fault and no effect brings it about.", "Link a cause to it, or take it away.")
    for name in knowledge.faults:
        if not _findings_below(knowledge, name):
            message = "no finding follows from it, so nobody can ever find it."
            yield error(knowledge, "shows_nothing", name, message, "Say what it shows or causes.")
    yield from _idle(knowledge)


def _findings_below(knowledge: Knowledge, name: str, seen: frozenset[str] = frozenset()) -> bool:
    shows, leads = shows_and_leads(knowledge, name)
    if shows or (name in knowledge.faults and knowledge.faults[name].kind == "event" and _likelier(knowledge, name)):
        return True
    further = [link.to for link in leads if link.to in knowledge.effects and link.to not in seen]
    return any(_findings_below(knowledge, to, seen | {name, to}) for to in further)


def _likelier(knowledge: Knowledge, event: str) -> bool:
    return any(after.event == event for fault in knowledge.faults.values() for after in fault.likelier_after)


def _idle(knowledge: Knowledge) -> Iterator[Report]:
    cited = {*BUILT_IN_SOURCES}
    for kind in (kind for kind in KINDS if kind != "sources"):
        cited |= {entry.source for entry in getattr(knowledge, kind).values()}
    cited |= {link.source for _, link in all_links(knowledge) if link.source}
    cited |= {edge.source for finding in knowledge.findings.values() for edge in finding.edges if edge.source}
    for name in knowledge.sources:
        if name not in cited:
            yield warning(knowledge, "unread", name, "no entry cites this source.", "Cite it where its numbers are used, or take it away.")
    for fault in knowledge.faults.values():
        if fault.kind == "event" and not fault.causes and not _likelier(knowledge, fault.id):
            yield error(
                knowledge, "unread", fault.id, "this past event makes nothing likelier.", "Name it in likelier_after, or take it away."
            )


def _words_of(raw: Any) -> Iterator[str]:
    if isinstance(raw, dict):
        raw = raw.values()
    if isinstance(raw, str):
        yield raw
    elif not isinstance(raw, (int, float, type(None))):
        for item in raw:
            yield from _words_of(item)
