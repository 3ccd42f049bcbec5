"""What the pages about single entries are made of: chances, conditions and links in words."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.condition import Test
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Link, Push, When
from diagnose.report.paper import Paper, sentence
from diagnose.report.seen import source_words


def share(push: Push) -> str:
    """A chance, or one for each band, in percent.

    >>> share(0.85), share({"clear": 0.6})
    ('85 %', 'clear 60 %')
    """
    if isinstance(push, Mapping):
        return ", ".join(f"{band.replace('_', ' ')} {_part(float(chance))}" for band, chance in push.items())
    return _part(float(push))


def _part(chance: float) -> str:
    return f"{100 * chance:.3g} %"


def when_words(when: When) -> str:
    """A condition in words."""
    return " and ".join(_test_words(t) for t in when.tests)


def _test_words(test: Test) -> str:
    field = test.field.replace("_", " ")
    if test.unknown:
        return f"{field} unknown"
    if test.words:
        return f"{field} {' or '.join(w.replace('_', ' ') for w in test.words)}"
    parts = [f"below {test.below:g}" if test.below is not None else "", f"above {test.above:g}" if test.above is not None else ""]
    return f"{field} {' and '.join(p for p in parts if p)}"


def head(title: str, what: str, paper: Paper) -> None:
    """An entry's name, and what it is."""
    paper.heading(sentence(title)[:-1])
    paper.say(what)


def source(source: str, note: str | None, knowledge: Knowledge, paper: Paper) -> None:
    """An entry's note and where it is from."""
    if note:
        paper.say(f"Note: {note}")
    paper.say(f"Source: {source_words(source, knowledge)}.")


def links_of(title: str, links: tuple[Link, ...], knowledge: Knowledge, paper: Paper) -> None:
    """What something leads to or shows as, with chance and reason."""
    if not links:
        return
    paper.gap()
    paper.say(title)
    for link in sorted(links, key=lambda k: k.to):
        unless = f", unless {knowledge.name_of(link.unless)}" if link.unless else ""
        paper.say(f"{knowledge.name_of(link.to)} [{link.to}]: {share(link.chance)}{unless}. {sentence(link.because)}", 2, "- ")
        for variant in link.in_context:
            paper.say(f"with {when_words(variant.when)}: {share(variant.chance)}. {sentence(variant.because)}", 6)


def causes_of(name: str, knowledge: Knowledge, paper: Paper) -> None:
    """What brings something about, with chance and reason."""
    found = [
        (str(cause), link)
        for cause in sorted([*knowledge.faults, *knowledge.effects])
        for link in knowledge.links_from(cause)
        if link.to == name
    ]
    if found:
        paper.gap()
        paper.say("Brought about by:")
        for cause, link in found:
            paper.say(f"{knowledge.name_of(cause)} [{cause}]: {share(link.chance)}. {sentence(link.because)}", 2, "- ")
