"""From what somebody proposes, in their words, to what is meant: a repair, something wasteful or harmful, or nothing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.errors import InputError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Proposed

_FILLERS = frozenset((
    "a", "an", "the", "new", "fit", "fitting", "renew", "renewing", "replace", "replacing", "replacement", "change",
    "changing", "swap", "swapping", "exchange", "another", "just", "now", "please", "it", "and", "to", "on", "in",
    "get", "put", "do", "have", "has", "of", "up", "my", "his", "her", "its", "their", "our", "some", "we", "i", "want",
    "wants", "would", "like", "going", "garage", "says", "said", "immediately", "straight", "away", "today", "repair",
    "repairing", "mend", "fix", "fixing", "they", "he", "she", "take", "taking", "off", "out", "with", "for", "or", "overhaul",
    "overhauling", "renewed", "replaced", "changed", "fitted", "be", "should", "must", "need", "needs", "time", "is", "are", "was",
    "that", "this", "one", "old", "good", "cheap", "while", "there", "at", "same", "then", "first", "again", "completely", "whole",
    "complete", "set", "s", "let", "us", "me", "him", "by", "from", "main", "dealer", "quoted", "quote", "advised", "recommends",
    "suggests", "wanna", "gonna", "install", "installing", "installed", "stick", "throw", "chuck", "slap", "bung", "remove", "removing",
    "pull", "strip", "check", "checked", "also", "plus", "both", "all", "as", "well",
))  # fmt: skip
"""Words that a proposal is clothed in and that do not say what is meant."""
_REASON = re.compile(
    r"\b(?:because|since|so that|so it|so the|in case|in order|as the|as it|which|before it|before the|until|till|to stop|to see)\b"
    r"|[.;:]|, (?=the |it |its |he |she |they |that |no |not )"
)
"""Where the reason begins."""
_NEXT = frozenset(("and", "then", "plus", "or", ",", "&", "/", "+"))
"""What stands between two things said one after the other."""
SURE = 80.0  # likeness (0 to 100) from which words are taken to mean an entry
COVERED = 0.5  # share of the words that known single words must account for before the rest is taken as talk
COVERED_BY_MORE = 0.25  # the same where a known phrase of two words or more is among them
LOOSE = 2  # other words that may stand between those of a phrase
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
    phrases = [Phrase(frozenset(_content(said)), tuple(_content(said)), _raw(said), meant) for said, meant in sorted(known.items())]
    for part in _parts(words):  # what is to be done stands before the reason for it
        held = _held(part, phrases)
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


@dataclass(frozen=True)
class Phrase:
    """A known wording: its words without fillers as a set and in order, all its words, and what it means."""

    words: frozenset[str]
    bare: tuple[str, ...]
    raw: tuple[str, ...]
    meant: Meant


def _parts(words: str) -> list[str]:
    """What is to be done without its reason, then the whole."""
    doing = _REASON.split(words)[0].strip(" ,.;:")
    return [doing, words] if doing and doing != words else [words]


def _held(words: str, phrases: Sequence[Phrase]) -> list[Meant]:
    """What the known phrases in the words mean, the longest first, no word used twice; told in the order in which they are said.

    A phrase is there where all its words stand close together. What harms or wastes is taken by all its words, the small ones too:
    "top up with water" is not in "rinse with water". Nothing where two phrases as long, on the same words, mean different things, or
    where what is known is too little of what is said. Something harmful goes before all, something wasteful before what is said later.
    """
    said, places, parts = _content_at(words)
    raw = _raw(words)
    found: list[tuple[int, int, frozenset[int], Meant]] = []
    for phrase in phrases:
        if not phrase.bare:
            continue
        if phrase.meant.kind in ("harm", "waste", "leave"):
            at = [i for i in range(len(raw) - len(phrase.raw) + 1) if raw[i : i + len(phrase.raw)] == phrase.raw]
            spans = [frozenset(j for j, place in enumerate(places) if i <= place < i + len(phrase.raw)) for i in at]
            if phrase.meant.kind != "leave" and len(phrase.bare) > 1:
                spans += _close(said, parts, phrase)
        else:
            spans = _close(said, parts, phrase)
        found += [(-len(phrase.bare), min(span), span, phrase.meant) for span in spans if span]
    taken: list[tuple[int, Meant]] = []
    used: set[int] = set()
    for length, start, span, _ in sorted(found, key=lambda f: (f[0], f[1], sorted(f[2]), f[3].name)):
        if span & used:
            continue
        same = [m for n, _, other, m in found if n == length and other == span]
        listed = [m for m in same if m.entry] or same  # what people say goes before the names of repairs
        if len({(m.kind, m.repairs) for m in listed}) == 1:
            used |= span
            if (listed[0].kind, listed[0].repairs) not in {(m.kind, m.repairs) for _, m in taken}:
                taken.append((start, listed[0]))
    longest = max((-n for n, _, span, _ in found if span <= used), default=0)
    if len(used) < (COVERED if longest < 2 else COVERED_BY_MORE) * len(said):
        return []
    return [m for _, m in sorted(taken, key=lambda t: (t[1].kind != "harm", t[0], t[1].name))]


def _close(said: Sequence[str], parts: Sequence[int], phrase: Phrase) -> list[frozenset[int]]:
    """Where all words of a phrase stand: as they are, or in any order within one thing said, with at most LOOSE others between them."""
    out = []
    width = len(phrase.bare)
    for i, word in enumerate(said):
        if tuple(said[i : i + width]) == phrase.bare:
            out.append(frozenset(range(i, i + width)))
        elif width > 1 and word in phrase.words:
            wanted = list(phrase.bare)
            span = []
            for j in range(i, min(len(said), i + width + LOOSE)):
                if said[j] in wanted and parts[j] == parts[i]:
                    wanted.remove(said[j])
                    span.append(j)
            if not wanted:
                out.append(frozenset(span))
    return out


def _raw(words: str) -> tuple[str, ...]:
    return tuple(_singular(w) for w in re.findall(r"[a-z0-9]+", words.lower().replace("-", " ")))


def _singular(word: str) -> str:
    return word.removesuffix("s") if len(word) > 4 else word


def _content_at(words: str) -> tuple[list[str], list[int], list[int]]:
    """Words without fillers, plurals cut; where each stands among all words; and in which of the things said one after the other."""
    kept: list[tuple[str, int, int]] = []
    at = number = 0
    for token in re.findall(r"[a-z0-9]+|[,&/+]", words.lower().replace("-", " ")):
        number += token in _NEXT
        if token.isalnum():
            if _singular(token) not in _FILLERS:
                kept.append((_singular(token), at, number))
            at += 1
    return [w for w, _, _ in kept], [i for _, i, _ in kept], [n for _, _, n in kept]


def _content(words: str) -> list[str]:
    return _content_at(words)[0]


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
