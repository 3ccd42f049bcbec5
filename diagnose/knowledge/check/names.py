"""Other words for a finding or a reading point to one only."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Reading


def check_names(knowledge: Knowledge) -> Iterator[Report]:
    """`also` words given twice, or equal to another's name or id."""
    owner: dict[str, str] = {}
    entries: list[Finding | Reading] = [*knowledge.findings.values(), *knowledge.readings.values()]
    for entry in entries:
        for words in (entry.name, entry.id):
            owner.setdefault(_plain(words), entry.id)
    for entry in entries:
        for words in dict.fromkeys(_plain(w) for w in entry.also):
            if owner.setdefault(words, entry.id) != entry.id and not _feeds(knowledge, entry.id, owner[words]):
                message = f"also: '{words}' means {owner[words]} as well."
                yield error(knowledge, "ambiguous", entry.id, message, "Keep it where people mean it more often.")


def _feeds(knowledge: Knowledge, one: str, other: str) -> bool:
    """Whether one is a reading of the other: then the words may be shared."""
    pairs = {(r.id, fed) for r in knowledge.readings.values() for fed in (r.finding, *r.feeds.values())}
    return (one, other) in pairs or (other, one) in pairs


def _plain(words: str) -> str:
    return " ".join(words.casefold().replace("_", " ").replace("-", " ").split())
