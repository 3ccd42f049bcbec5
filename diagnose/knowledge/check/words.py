"""Wording: questions that lead nowhere in particular, reasons that are reasons, one word for one thing, UK spelling."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from diagnose.knowledge.check.links import all_links
from diagnose.knowledge.check.report import Report, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Effect, Fault

_LEADING = re.compile(
    r"\b(isn't|aren't|wasn't|doesn't|don't you|didn't|won't|hasn't|haven't|can't you|surely|obviously|of course|no doubt|clearly|"
    r"is it not|is there not|does it not|do you not|right)(?=\s*\?|\b(?<!right))",
    re.IGNORECASE,
)
# word -> what this knowledge calls it (the design's list of words)
BANNED = {
    r"symptoms?": "finding", r"failure modes?": "fault", r"malfunctions?(?! indicator)": "fault", r"root faults?": "fault",
    r"hypothes[ie]s": "fault", r"evidence nodes?": "finding", r"probabilit(?:y|ies)": "chance", r"likelihoods?": "chance",
    r"test steps?": "procedure", r"work orders?": "repair", r"remed(?:y|ies)": "repair",
}  # fmt: skip
SPELLING = {
    r"colors?": "colour", r"gasoline": "petrol", r"aluminum": "aluminium", r"liters?": "litre", r"gray": "grey",
    r"meters? away": "metres away", r"fenders?": "wing", r"catalog": "catalogue", r"vapor": "vapour", r"odor": "odour", r"mold": "mould",
    r"center": "centre",
}  # fmt: skip
_EMPTY = {
    "a", "about", "always", "an", "and", "are", "as", "at", "because", "been", "being", "bring", "brings", "by", "cause",
    "caused", "causes", "come", "comes", "does", "effect", "fault", "finding", "for", "from", "get", "gets", "give", "gives",
    "has", "have", "here", "in", "into", "is", "it", "its", "lead", "leads", "make", "makes", "may", "means", "of", "often", "on",
    "or", "result", "results", "show", "shown", "shows", "so", "that", "the", "then", "there", "therefore", "they", "this", "to",
    "usually", "what", "when", "which", "will", "with",
}  # fmt: skip
SHORTEST = 3  # words of a reason
TEXTS = ("name", "mechanism", "ask", "yes_is", "no_is", "drive", "if_left", "told_apart", "prove", "because", "instead")


def check_words(knowledge: Knowledge) -> Iterator[Report]:
    """All words that people read."""
    for finding in knowledge.findings.values():
        if (found := _LEADING.search(finding.ask)) is not None:
            message = f'ask leads to an answer with "{found[0]}".'
            yield warning(knowledge, "leading", finding.id, message, "Ask openly: what does it do, what do you see?")
    for name, link in all_links(knowledge):
        why = _weak(link.because, f"{knowledge.name_of(name)} {knowledge.name_of(link.to)}")
        if why:
            yield warning(knowledge, "circular_because", name, f"link to {link.to}: its because {why}.", "Say what physically happens.")
    causes: list[Fault | Effect] = [*knowledge.faults.values(), *knowledge.effects.values()]
    for entry in causes:
        why = _weak(entry.mechanism, entry.name, 8)
        if why:
            yield warning(knowledge, "circular_because", entry.id, f"its mechanism {why}.", "Say what physically happens.")
    for repair in knowledge.repairs.values():
        why = _weak(repair.prove, repair.name)
        if why:
            yield warning(knowledge, "proof", repair.id, f"its prove {why}.", "Say what is looked at afterwards, and what it must then be.")
    for kind in ("findings", "effects", "faults", "procedures", "repairs", "rules", "prices", "access", "proposals"):
        for name, entry in getattr(knowledge, kind).items():
            yield from _usage(knowledge, name, " ".join(_texts(entry)))


def _weak(because: str, names: str, least: int = SHORTEST) -> str:
    words = re.findall(r"[a-z0-9]+", because.casefold())
    if len(words) < least:
        return f"is too short to be a reason ('{because}')"
    said = {_stem(w) for w in re.findall(r"[a-z0-9]+", names.casefold())}
    if not [w for w in words if w not in _EMPTY and _stem(w) not in said]:
        return f"only repeats the names ('{because}')"
    return ""


def _stem(word: str) -> str:
    """Crude on purpose: leak, leaks and leaking are one word."""
    return word.rstrip("s")[:5]


def _texts(entry: Any) -> Iterator[str]:
    for field in TEXTS:
        text = getattr(entry, field, None)
        if isinstance(text, str):
            yield text
    for field in ("how", "cautions", "do_with_it"):
        yield from getattr(entry, field, ())
    for field in ("links", "leads_to", "shows"):
        for link in getattr(entry, field, ()) or ():
            yield link.because


_RULES = [(re.compile(rf"\b{p}\b", re.IGNORECASE), w, "banned_word") for p, w in BANNED.items()]
_RULES += [(re.compile(rf"\b{p}\b", re.IGNORECASE), w, "spelling") for p, w in SPELLING.items()]


def _usage(knowledge: Knowledge, name: str, text: str) -> Iterator[Report]:
    for pattern, wanted, code in _RULES:
        if (found := pattern.search(text)) is not None:
            yield warning(knowledge, code, name, f"it says '{found[0]}'.", f"Here that is called '{wanted}'.")
