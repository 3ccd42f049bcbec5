"""The verdict in one word and one sentence: likely, unproven, harmless, nothing wrong, or nothing known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from diagnose import assessment as a
from diagnose.explain.words import percent
from diagnose.knowledge.schema import URGENCIES

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

LIKELY = 0.6  # chance from which a fault is called likely; below, the case is unproven
WRONG_FROM = 0.3  # chance of any fault from which "nothing wrong" cannot be said
ORDINARY = 0.5  # chance before anything was found, from which a harmless cause is simply how things are
EXPLAINS = 0.3  # chance of being needed for what was found, from which something explains it
LOOKED_AT = 4  # findings looked at before "nothing wrong" may be said


@dataclass(frozen=True)
class Verdict:
    """The word, the sentence, and the case's urgency that goes with them."""

    word: str
    headline: str
    urgency: str
    drive: list[a.Sentence] = field(default_factory=list)


def judge(parts: Parts, ranked: Sequence[a.Candidate]) -> Verdict:
    """From the ranked list to a verdict. What is unproven is called so."""
    urgency = parts.advice.urgency
    present = [f for f in parts.seen.findings.values() if f.level != "absent"]
    kinds = parts.knowledge.faults
    worst = max((c for n, c in parts.ranking.chance.items() if n in kinds and kinds[n].kind == "fault"), default=0.0)
    if not parts.seen.findings:
        return Verdict("nothing_known", "Nothing is known yet. Start with what costs nothing: the looks below.", urgency)
    faults = [c for c in ranked if c.kind == "fault"]
    if not present and worst < WRONG_FROM:
        if len(parts.seen.findings) >= LOOKED_AT:
            usual = f" Ordinary on this vehicle: {ranked[0].name}." if ranked and ranked[0].kind == "harmless" else ""
            return Verdict("nothing_wrong", f"Nothing wrong was found.{usual} Look again before winter and before summer.", urgency)
        return Verdict("unproven", "Nothing was found so far, but little has been looked at.", urgency)
    first = ranked[0] if ranked else None
    needed = sum(c.accounts for c in faults)  # about how many faults what was found asks for
    if first and first.kind == "harmless" and first.chance >= LIKELY and worst < WRONG_FROM and needed < WRONG_FROM:
        share = (
            "" if first.before >= ORDINARY else f" ({percent(first.chance)})"
        )  # what is nearly always there proves nothing by being there
        return Verdict("harmless", f"Most likely harmless: {first.name}{share}.", urgency, _drive(parts, first))
    proven = [c for c in faults if c.chance >= LIKELY and c.accounts >= 0.5 * c.chance]
    if proven:
        names = ", and ".join(f"{c.name} ({c.said}, {percent(c.chance)})" for c in proven[:3])
        return Verdict("likely", f"{names[0].upper()}{names[1:]}.", urgency, _drive(parts, proven[0]))
    quiet = first is None or first.kind == "harmless" or first.chance < 0.1
    if quiet and needed < WRONG_FROM and worst < WRONG_FROM / 2 and urgency in URGENCIES[:2]:
        if present and len(parts.seen.findings) < LOOKED_AT and not any(c.accounts >= EXPLAINS for c in ranked):
            return Verdict("unproven", "Nothing likely explains what was found, and little else has been looked at: look again.", urgency)
        tail = f" What was found is most likely {first.name} ({percent(first.chance)})." if first and first.chance >= 0.4 else ""
        return Verdict("nothing_wrong", f"No fault is likely on what was found.{tail}", urgency, _drive(parts, first))
    reckoned = [c for c in ranked if c.accounts >= 0.5 * c.chance] or list(ranked)  # what is there anyway explains nothing
    best = " or ".join(f"{c.name} ({percent(c.chance)})" for c in reckoned[:2])
    return Verdict("unproven", f"Unproven. Most to be reckoned with: {best or 'nothing in particular'}.", urgency, _drive(parts, first))


def _drive(parts: Parts, first: a.Candidate | None) -> list[a.Sentence]:
    """Where no rule says how it may be driven: what the leader's own entry says, unless the case is more urgent than the leader."""
    if first is None or parts.advice.urgency == "none":
        return []
    if URGENCIES.index(first.urgency) < URGENCIES.index(parts.advice.urgency):
        return []
    text = parts.knowledge.faults[first.id].drive
    return [a.Sentence(text=text, rules=[], because=[])] if text else []
