"""From what somebody proposes, in their words, to what is meant: a repair, something wasteful or harmful, or nothing."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import InputError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Proposed

SURE = 80.0  # likeness (0 to 100) from which words are taken to mean an entry
NEAR = 50.0  # and from which an entry is offered as a guess


@dataclass(frozen=True)
class Meant:
    """What a proposal was taken to mean: its name, its kind, the repairs, and the entry where there is one."""

    name: str
    kind: str
    repairs: tuple[str, ...] = ()
    entry: Proposed | None = None


def match(text: str, knowledge: Knowledge) -> Meant:
    """What `text` means. An id of a repair or proposal means itself; nothing at all means no proposal.

    Raises InputError, naming the nearest, for words that mean nothing known.
    """
    words = " ".join(text.lower().replace("_", " ").split())
    if not words:
        return Meant("no proposal", "none")
    if text.strip() in knowledge.repairs:
        return Meant(knowledge.repairs[text.strip()].name, "repair", (text.strip(),))
    known = _known(knowledge)
    if words in known:
        return known[words]
    from rapidfuzz import fuzz, process

    scores = {n: s for n, s, _ in process.extract(words, sorted(known), scorer=fuzz.token_sort_ratio, limit=None)}
    for name, score, _ in process.extract(words, sorted(known), scorer=fuzz.token_set_ratio, limit=None):
        scores[name] = 0.5 * (scores[name] + score) if score >= 100.0 else max(scores[name], 0.8 * score)
    for name, score, _ in process.extract(words, sorted(known), scorer=fuzz.ratio, limit=None):
        scores[name] = max(scores[name], score)
    best = sorted(scores.items(), key=lambda x: (-x[1], x[0]))
    if best and best[0][1] >= SURE:
        return known[best[0][0]]
    near = list(dict.fromkeys(known[n].name for n, s in best[:8] if s >= NEAR))[:3]
    allowed = f"Nearest: {'; '.join(near)}." if near else "Name a repair, such as 'head gasket' or 'thermostat'."
    raise InputError(Problem(f"'{text}' is no repair known here", allowed=allowed))


def _known(knowledge: Knowledge) -> dict[str, Meant]:
    out: dict[str, Meant] = {}
    for fault in knowledge.faults.values():
        if fault.repair:
            out[fault.name.lower()] = Meant(knowledge.repairs[fault.repair[0]].name, "repair", (fault.repair[0],))
    for repair in knowledge.repairs.values():
        out[repair.name.lower()] = Meant(repair.name, "repair", (repair.id,))
        out[repair.id.replace("_", " ")] = Meant(repair.name, "repair", (repair.id,))
    for entry in knowledge.proposals.values():
        meant = Meant(entry.name, entry.kind, tuple(r for r in entry.repairs if r in knowledge.repairs), entry)
        for words in (entry.name, entry.id.replace("_", " "), *entry.also):
            out[words.lower()] = meant
    return out
