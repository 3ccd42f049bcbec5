"""What turns a saying round or weakens it, and how far it reaches: negation, hedging, 'used to', 'not looked', fears.

Two negations cancel out where they do in logic ("I can't say there's no smoke"); "don't lose no water" is one negation said twice.
A negation reaches to the end of its list ("no smoke, bubbles or leaks") and not into what starts anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.intake.words.quantities import NUMBERS, UNITS
from diagnose.intake.words.sayings import SAYINGS
from diagnose.intake.words.tokens import Token, stem
from diagnose.intake.words.wordlist import words

_AUX = "do does did is was are were has have had wo would could ca should ai must need"
_BARE = frozenset(w + "nt" for w in _AUX.split()) | {"dosnt", "doesn", "didn", "cannot", "cant", "wont", "dnt", "dont"}
_NEGATIVE = words("no not never none nothing nobody without neither nor nowt zero nil")
# A negation must not be lost by a slip of the pen: "dosent", "isent", "havnt", "nevr".
_MISSPELT = re.compile(
    r"do?e?se?n?'?n?e?n'?t|did[ie]n'?t|ise?n'?t|wase?n'?t|hase?n'?t|hav[ei]?n'?t|woul?de?n'?t|coul?de?n'?t|nev+[ea]?r?|nvr|nver"
)
_OBJECT = words("no none nothing nowt nor neither any")
_ENDS = words("because since so when whenever if while after before until unless except although as once till")
_EXCEPT = words("until unless except till")
_SAYING = words("say think that sure true mean claim swear case without believe suppose")
_RESUMES = words(
    "overheats loses losing runs running gets getting goes going smells drips boils blows keeps takes uses is has was does it "
    "there starts started comes stays"
)
# verbs that a subject of its own stands before, after a comma
_OWN_VERBS = words(
    "cycles works kicks cuts comes turns spins sits stays reads shows looks feels climbs drops is are was gets goes runs starts squeals"
)
_STATES = words("blown gone broken broke cracked split dead stuck hot cold low empty wet loose torn perished seized burnt melted")
# "Overheating hasn't happened since": what is denied stands before
_HAPPENS = words(
    "happened happen occurred occur returned return reappeared seen present visible apparent evident noticeable recurred appear "
    "appeared appears show shows showed shown lit illuminated"
)
_AWAY = words("now away completely since altogether")
# who stops, not what stops
_STOPPERS = words("i we you he she they car engine when fan i've i'd just have truck van was")
_WAS_DONE = words("stopped stops stopping stop quit")

_MONTHLY = words("in since last this of by until till early late mid its it's")
_WORK = frozenset(
    stem(w)
    for w in [
        "changed",
        "replaced",
        "fitted",
        "fixed",
        "tightened",
        "swapped",
        "bled",
        "renewed",
        "flushed",
        "repaired",
        "new",
        "cured",
        "sorted",
    ]
)

# kind, words in a row; the longer ones are tried first
_PHRASES = tuple(sorted(((k, tuple(p.split())) for k, p in SAYINGS), key=lambda x: -len(x[1])))
_BY_FIRST: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
for _kind, _words in _PHRASES:
    _BY_FIRST.setdefault(_words[0], []).append((_kind, _words))
CUE_WORDS = frozenset(w for _, p in _PHRASES for w in p) | _BARE | _NEGATIVE | _ENDS | _SAYING | _RESUMES | _WAS_DONE


@dataclass(frozen=True)
class Cue:
    """Words that turn or weaken what is said at token places `reach[0]` up to, not including, `reach[1]`."""

    kind: str
    at: tuple[int, int]
    reach: tuple[int, int]
    word: str = ""


@dataclass(frozen=True)
class Judged:
    """What the cues make of one saying."""

    negated: bool = False
    hedged: bool = False
    silent: str = ""  # unknown or not_looked_at
    feared: bool = False
    past: bool = False
    denied: bool = False  # "doesn't seem to": weaker than a plain no


def excepted_inside(places: frozenset[int], tokens: Sequence[Token]) -> bool:
    """'Fine until it tows': what is denied before 'until' is so after it."""
    return any(tokens[i].word in _EXCEPT for i in range(min(places), max(places)) if i not in places)


def negative(word: str) -> bool:
    """Whether a word is a negation by itself."""
    return word in _NEGATIVE or word in _BARE or word.endswith("n't") or bool(_MISSPELT.fullmatch(word))


def cues_of(tokens: Sequence[Token], first: int, last: int) -> tuple[Cue, ...]:
    """All cues in tokens[first:last], one clause, with their reach."""
    out: list[Cue] = []
    i = first
    while i < last:
        kind, length = _phrase_at(tokens, i, last)
        if length:
            if kind == "hedge" and _amount(tokens, i + length, last):
                kind = "none"  # "maybe a litre" is about the figure, not the fact
            if tokens[i].word == "may" and i > first and tokens[i - 1].word in _MONTHLY:
                kind = "none"  # the month
            if kind == "none":
                out.append(Cue(kind, (i, i + length), (i, i)))
            else:
                out.append(
                    Cue(
                        kind,
                        (i, i + length),
                        _reach(kind, tokens, i + length, first, last),
                        " ".join(t.word for t in tokens[i : i + length]),
                    )
                )
            i += length
            continue
        cue = _single(tokens, i, first, last)
        if cue:
            out.append(cue)
        i += 1
    cured = _cured(tokens, first, last)
    return (*out, cured) if cured else tuple(out)


def _cured(tokens: Sequence[Token], first: int, last: int) -> Cue | None:
    """'It leaked until I tightened the clip', 'overheated before the thermostat was changed': what stands before is of the past."""
    for i in range(first + 1, last):
        if tokens[i].word in ("until", "till", "before") and {t.stem for t in tokens[i + 1 : last]} & _WORK:
            return Cue("past", (i, i + 1), (first, i), tokens[i].word)
    return None


def _phrase_at(tokens: Sequence[Token], i: int, last: int) -> tuple[str, int]:
    for kind, said in _BY_FIRST.get(tokens[i].word, ()):
        if i + len(said) <= last and all(tokens[i + k].word == w for k, w in enumerate(said)):
            return kind, len(said)
    return "", 0


def _amount(tokens: Sequence[Token], i: int, last: int) -> bool:
    while i < last and tokens[i].word in ("about", "around", "a", "an", "half", "some", "quarter", "of"):
        i += 1
    return i < last and (tokens[i].word[0].isdigit() or tokens[i].word in UNITS or tokens[i].word in NUMBERS)


def _single(tokens: Sequence[Token], i: int, first: int, last: int) -> Cue | None:
    word = tokens[i].word
    if word in _WAS_DONE and (i == first or tokens[i - 1].word not in _STOPPERS):
        following = tokens[i + 1].word if i + 1 < last else ""
        if following.endswith("ing") and following not in ("working", "being"):
            return Cue("not", (i, i + 1), (i + 1, _end(tokens, i + 1, first, last)), word)
        return None if word == "stop" else Cue("ended", (i, i + 1), (first, i), word)
    if word == "gone" and not {t.word for t in tokens[i + 1 : i + 2]} & {"away", "now"}:
        return None  # "the pump has gone": failed
    if word in ("gone", "disappeared", "cured", "vanished") and all(t.word in _AWAY for t in tokens[i + 1 : last]):
        return Cue("ended", (i, i + 1), (first, i), word)
    if not negative(word):
        return None
    if word in ("none", "nil", "nothing") and i + 1 == last:
        return Cue("ended", (i, i + 1), (first, i), word)
    if word == "no" and i == first and i + 1 < last and tokens[i + 1].word == ",":
        return None  # "No, it never does": an answer, not part of the sentence
    after = [t.word for t in tokens[i + 1 : min(i + 5, last)]]
    came = any(a in ("come", "came", "comes", "coming") and b in ("on", "back", "out", "up") for a, b in pairwise(after))
    closing = i + 2 == last and after[:1] == ["on"]  # "the light isn't on"
    happening = (came or closing or set(after[:3]) & _HAPPENS) and not any(
        t.word in _ENDS or t.word in ("and", "or") for t in tokens[first:i]
    )
    return Cue("not", (i, i + 1), (first if happening else i + 1, _end(tokens, i + 1, first, last)), word)


def _reach(kind: str, tokens: Sequence[Token], start: int, first: int, last: int) -> tuple[int, int]:
    if kind == "after":
        return first, start
    if kind == "ended":
        return first, _end(tokens, start, first, last)
    if kind in ("past", "deny", "not"):
        return start, _end(tokens, start, first, last)
    if kind == "fear":
        return start, last
    return first, last


def _end(tokens: Sequence[Token], start: int, first: int, last: int) -> int:
    """Where a negation's reach ends."""
    lead_in = any(t.word in _ENDS for t in tokens[first : min(first + 2, last)])
    listing = any(t.word in ("or", "nor") for t in tokens[start:last])
    for i in range(start, last):
        word = tokens[i].word
        following = tokens[i + 1].word if i + 1 < last else ""
        if word in _ENDS or (
            word in ("it", "it's") and start > first and tokens[start - 1].word in ("no", "without") and not following.endswith("ing")
        ):
            return i
        if word == "," and ((lead_in and not listing) or following in ("only", "just", "mostly", "mainly")):
            return i
        if word == "," and not listing and not negative(following) and {t.word for t in tokens[i + 2 : min(i + 4, last)]} & _OWN_VERBS:
            return i  # "no smell, no drips, fan cycles like it should": a thing of its own
        if word in ("and", "&") and i + 2 < last and tokens[i + 2].word in (_OWN_VERBS | _STATES) and not negative(following):
            return i  # "not spinning and fuse blown"
        if word in ("and", "&") and (following in _RESUMES or following.endswith("ing") or negative(following)):
            return i
    return last


def judge(places: frozenset[int], cues: Sequence[Cue], tokens: Sequence[Token], clause_last: int) -> Judged:
    """What `cues` make of what is said at token `places`; cues that are part of the saying are left out."""
    live = [c for c in cues if not places & set(range(*c.at)) and places & set(range(*c.reach))]
    nots = [c for c in live if c.kind in ("not", "deny")]
    count = _count(nots, tokens)
    if nots and any(_excepted(c, places, tokens, clause_last) for c in nots[-1:]):
        count += 1
    kinds = {c.kind for c in live}
    ended = "ended" in kinds
    if "after" in kinds and not count and not ended:
        ended = "past" in kinds
    negated = count % 2 == 1 or (ended and count == 0)
    past = "past" in kinds and not nots
    silent = "unknown" if "unknown" in kinds else "not_looked_at" if "unlooked" in kinds else ""
    hedged = "hedge" in kinds or (count >= 2 and count % 2 == 0 and _litotes(nots, tokens))
    return Judged(negated or past, hedged, silent, "fear" in kinds, past, "deny" in kinds)


def _count(nots: Sequence[Cue], tokens: Sequence[Token]) -> int:
    """Negations that count: a second one without a verb of saying between is the same one said twice."""
    count = 0
    previous: Cue | None = None
    for cue in nots:
        if previous is not None and cue.word in _OBJECT:
            between = {t.word for t in tokens[previous.at[0] : cue.at[0]]}
            if not between & _SAYING and cue.word in ("no", "none", "nothing", "nowt", "nor", "neither"):
                continue
        count += 1
        previous = cue
    return count


def _litotes(nots: Sequence[Cue], tokens: Sequence[Token]) -> bool:
    """'I can't say it doesn't': neither yes nor no."""
    following = tokens[nots[0].at[1]].word if nots[0].at[1] < len(tokens) else ""
    return following in _SAYING and nots[0].word in ("can't", "cant", "cannot", "couldn't")


def _excepted(cue: Cue, places: frozenset[int], tokens: Sequence[Token], clause_last: int) -> bool:
    """'Never smokes until it is warm': it does smoke then."""
    end = cue.reach[1]
    return end < clause_last and tokens[end].word in _EXCEPT and min(places) < end
