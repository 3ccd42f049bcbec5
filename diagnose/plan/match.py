"""From what somebody proposes, in their words, to what is meant: a repair, something wasteful or harmful, or nothing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.errors import InputError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Proposed

_FILLERS = frozenset((
    "a", "an", "the", "new", "fit", "fitting", "renew", "renewing", "replace", "replacing", "replacement", "change",
    "changing", "swap", "swapping", "exchange", "another", "just", "now", "please", "it", "and", "to", "on", "in",
    "get", "put", "do", "have", "has", "of", "up", "my", "his", "her", "its", "their", "our", "some", "we", "i", "want",
    "wants", "would", "like", "going", "garage", "says", "said", "immediately", "straight", "away", "today", "repair",
    "repairing", "mend", "fix", "fixing",
))  # fmt: skip
"""Words that a proposal is clothed in and that do not say what is meant."""
SURE = 80.0  # likeness (0 to 100) from which words are taken to mean an entry
COVERED = 0.5  # share of the words that known phrases must account for before the rest is taken as talk
NEAR = 50.0  # and from which an entry is offered as a guess


@dataclass(frozen=True)
class Meant:
    """What a proposal was taken to mean: its name, its kind, the repairs, the entry where there is one; `beside`: what else was said."""

    name: str
    kind: str
    repairs: tuple[str, ...] = ()
    entry: Proposed | None = None
    beside: tuple[Meant, ...] = ()


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
    held = _held(words, known)
    if held:
        return held[0] if len(held) == 1 else replace(held[0], beside=tuple(held[1:]))
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


def _held(words: str, known: Mapping[str, Meant]) -> list[Meant]:
    """What the known phrases in the words mean, longest phrase first, fillers left out and no word used twice.

    Nothing where two phrases as long, on the same words, mean different things. Something harmful or wasteful goes before a repair.
    """
    said = _content(words)
    found: list[tuple[int, int, Meant]] = []
    for phrase, meant in known.items():
        bare = _content(phrase)
        found += [(-len(bare), i, meant) for i in range(len(said) - len(bare) + 1) if bare and said[i : i + len(bare)] == bare]
    out: list[Meant] = []
    used: set[int] = set()
    for length, start, _ in sorted(found, key=lambda f: (f[0], f[1], f[2].name)):
        span = set(range(start, start - length))
        same = [m for n, i, m in found if (n, i) == (length, start)]
        listed = [m for m in same if m.entry] or same  # what people say goes before the names of repairs
        meant, rivals = listed[0], {(m.kind, m.repairs) for m in listed}
        if not span & used and len(rivals) == 1:
            used |= span
            out += [meant] if (meant.kind, meant.repairs) not in {(m.kind, m.repairs) for m in out} else []
    if len(used) < COVERED * len(said):
        return []
    return sorted(out, key=lambda m: m.kind not in ("harm", "waste"))


def _content(words: str) -> list[str]:
    """Words without fillers, plurals cut."""
    bare = [w.removesuffix("s") if len(w) > 4 else w for w in re.findall(r"[a-z0-9]+", words.lower())]
    return [w for w in bare if w not in _FILLERS]


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
