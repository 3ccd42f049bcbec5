"""All causal links of a knowledge, with what they leave; and their chances in every context."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Fault, Link, Push


def all_links(knowledge: Knowledge) -> Iterator[tuple[str, Link]]:
    """(fault or effect, link) for every link."""
    for name in [*knowledge.faults, *knowledge.effects]:
        for link in knowledge.links_from(name):
            yield name, link


def pushes(link: Link) -> Iterator[tuple[str, Push]]:
    """Every chance of a link, with a word for its context."""
    yield "", link.chance
    for number, variant in enumerate(link.in_context, start=1):
        yield f", in context {number}", variant.chance


def shows_and_leads(knowledge: Knowledge, name: str) -> tuple[tuple[Link, ...], tuple[Link, ...]]:
    """Links to findings, and links to effects, of a fault or an effect."""
    entry = knowledge.causal(name)
    return (entry.shows, entry.causes) if isinstance(entry, Fault) else (entry.shows, entry.leads_to)


def total(push: Push) -> float:
    """Chance that a push does anything at all."""
    return sum(push.values()) if isinstance(push, Mapping) else push
