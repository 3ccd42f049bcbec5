"""What turns a saying round or weakens it, and how far it reaches: negation, hedging, 'used to', 'not looked', fears.

Two negations cancel out where they do in logic ("I can't say there's no smoke"); "don't lose no water" is one negation said twice.
A negation reaches to the end of its list ("no smoke, bubbles or leaks") and not into what starts anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.intake.words.tokens import Token

_AUX = "do does did is was are were has have had wo would could ca should ai must need"
_BARE = frozenset(w + "nt" for w in _AUX.split()) | {"dosnt", "doesn", "didn", "cannot", "cant", "wont", "dnt", "dont"}
_NEGATIVE = frozenset({"no", "not", "never", "none", "nothing", "nobody", "without", "neither", "nor", "nowt", "zero", "nil"})
_OBJECT = frozenset({"no", "none", "nothing", "nowt", "nor", "neither", "any"})
_ENDS = frozenset("because since so when whenever if while after before until unless except although as once till".split())
_EXCEPT = frozenset({"until", "unless", "except", "till"})
_SAYING = frozenset("say think that sure true mean claim swear case without believe suppose".split())
_RESUMES = frozenset(
    "overheats loses losing runs running gets getting goes going smells drips boils blows keeps takes takes uses is has was does it there"
    " starts started comes stays".split()
)
_WAS_DONE = frozenset({"stopped", "stops", "stopping", "quit"})

# kind, words in a row; the longer ones are tried first
_SAID: tuple[tuple[str, str], ...] = (
    ("none", "not only"), ("none", "not just"), ("none", "no doubt"), ("none", "without fail"), ("none", "no matter"),
    ("none", "nothing but"), ("none", "no wonder"), ("none", "no sooner"), ("none", "without doubt"), ("none", "never fails to"),
    ("none", "didn't used to"), ("none", "didnt used to"), ("none", "never used to"), ("none", "didn't use to"), ("none", "can't help"),
    ("hedge", "not sure"), ("hedge", "not certain"), ("hedge", "can't be sure"), ("hedge", "hard to tell"), ("hedge", "hard to say"),
    ("hedge", "can't tell"), ("hedge", "couldn't tell"), ("hedge", "could be wrong"), ("hedge", "not a hundred percent"),
    ("hedge", "not 100"), ("hedge", "can't say for sure"), ("hedge", "wouldn't swear"), ("hedge", "can't really tell"),
    ("hedge", "not really sure"), ("hedge", "not entirely sure"), ("hedge", "not too sure"), ("hedge", "not quite sure"),
    ("deny", "don't think"), ("deny", "dont think"), ("deny", "don't believe"), ("deny", "don't reckon"), ("deny", "doesn't seem"),
    ("deny", "doesn't appear"), ("deny", "didn't seem"), ("deny", "doesnt seem"), ("deny", "don't seem"),
    ("hedge", "i think"), ("hedge", "maybe"), ("hedge", "may be"), ("hedge", "perhaps"), ("hedge", "possibly"), ("hedge", "probably"),
    ("hedge", "might"), ("hedge", "may"), ("hedge", "could be"), ("hedge", "could have"), ("hedge", "could possibly"),
    ("hedge", "i guess"), ("hedge", "i suspect"), ("hedge", "suspect"), ("hedge", "i suppose"), ("hedge", "i believe"),
    ("hedge", "reckon"), ("hedge", "reckons"), ("hedge", "thinks"), ("hedge", "seems"), ("hedge", "seem"), ("hedge", "seemed"),
    ("hedge", "appears to"), ("hedge", "appear to"), ("hedge", "apparently"), ("hedge", "supposedly"), ("hedge", "wonder if"),
    ("hedge", "wondering if"), ("hedge", "i fancy"), ("hedge", "as far as i know"), ("hedge", "unsure"), ("hedge", "potentially"),
    ("hedge", "i assume"), ("hedge", "presumably"), ("hedge", "if i'm not mistaken"), ("hedge", "i could have sworn"),
    ("hedge", "hardly any"), ("hedge", "hardly ever"), ("hedge", "barely any"), ("hedge", "thought i"), ("hedge", "i thought"),
    ("hedge", "suspected"), ("hedge", "possible"), ("hedge", "as if"),
    ("unknown", "don't know"), ("unknown", "dont know"), ("unknown", "no idea"), ("unknown", "not known"), ("unknown", "do not know"),
    ("unknown", "couldn't say"), ("unknown", "can't remember"), ("unknown", "don't remember"), ("unknown", "never noticed if"),
    ("unknown", "haven't noticed if"), ("unknown", "haven't noticed whether"), ("unknown", "doesn't know"), ("unknown", "unknown"),
    ("unlooked", "haven't checked"), ("unlooked", "havent checked"), ("unlooked", "not checked"), ("unlooked", "didn't check"),
    ("unlooked", "haven't looked"), ("unlooked", "havent looked"), ("unlooked", "never looked"), ("unlooked", "not looked"),
    ("unlooked", "didn't look"), ("unlooked", "never checked"), ("unlooked", "yet to check"), ("unlooked", "still to check"),
    ("unlooked", "not yet checked"), ("unlooked", "hasn't been checked"), ("unlooked", "not been checked"), ("unlooked", "haven't tested"),
    ("unlooked", "couldn't check"), ("unlooked", "can't check"), ("unlooked", "not tested"), ("unlooked", "have not checked"),
    ("past", "used to"), ("past", "previously"), ("past", "formerly"),
    ("fear", "in case"), ("fear", "what if"), ("fear", "worried it might"), ("fear", "worried it will"), ("fear", "afraid it"),
    ("fear", "don't want it"), ("fear", "check for"), ("fear", "check if"), ("fear", "check whether"), ("fear", "scared it"),
    ("fear", "to see if"), ("fear", "stop it from"), ("fear", "to prevent"), ("fear", "would it"), ("fear", "will it"),
    ("fear", "should i"), ("fear", "could you check"), ("fear", "want to avoid"), ("fear", "worried it could"),
    ("after", "any more"), ("after", "anymore"), ("after", "no more"), ("after", "any longer"),
)  # fmt: skip
_PHRASES = tuple(sorted(((k, tuple(p.split())) for k, p in _SAID), key=lambda x: -len(x[1])))
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


def negative(word: str) -> bool:
    """Whether a word is a negation by itself."""
    return word in _NEGATIVE or word in _BARE or word.endswith("n't")


def cues_of(tokens: Sequence[Token], first: int, last: int) -> tuple[Cue, ...]:
    """All cues in tokens[first:last], one clause, with their reach."""
    out: list[Cue] = []
    i = first
    while i < last:
        kind, length = _phrase_at(tokens, i, last)
        if length:
            if kind != "none":
                out.append(Cue(kind, (i, i + length), _reach(kind, tokens, i + length, first, last), " ".join(t.word for t in tokens[i : i + length])))
            i += length
            continue
        cue = _single(tokens, i, first, last)
        if cue:
            out.append(cue)
        i += 1
    return tuple(out)


def _phrase_at(tokens: Sequence[Token], i: int, last: int) -> tuple[str, int]:
    for kind, words in _PHRASES:
        if i + len(words) <= last and all(tokens[i + k].word == w for k, w in enumerate(words)):
            return kind, len(words)
    return "", 0


def _single(tokens: Sequence[Token], i: int, first: int, last: int) -> Cue | None:
    word = tokens[i].word
    if word in _WAS_DONE:
        following = tokens[i + 1].word if i + 1 < last else ""
        if following.endswith("ing") and following not in ("working", "being"):
            return Cue("not", (i, i + 1), (i + 1, _end(tokens, i + 1, first, last)), word)
        return Cue("ended", (i, i + 1), (first, i), word)
    if word in ("gone", "disappeared", "cured", "vanished") and all(t.word in ("now", "away", "completely", "since", "altogether") for t in tokens[i + 1 : last]):
        return Cue("ended", (i, i + 1), (first, i), word)
    if not negative(word):
        return None
    if word in ("none", "nil", "nothing") and i + 1 == last:
        return Cue("ended", (i, i + 1), (first, i), word)
    if word == "no" and i == first and i + 1 < last and tokens[i + 1].word == ",":
        return None  # "No, it never does": an answer, not part of the sentence
    return Cue("not", (i, i + 1), (i + 1, _end(tokens, i + 1, first, last)), word)


def _reach(kind: str, tokens: Sequence[Token], start: int, first: int, last: int) -> tuple[int, int]:
    if kind == "after":
        return first, start
    if kind in ("past", "deny"):
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
        if word in _ENDS:
            return i
        if word == "," and (lead_in and not listing):
            return i
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
    hedged = "hedge" in kinds or (count >= 2 and count % 2 == 0 and _litotes(nots))
    return Judged(negated or past, hedged, silent, "fear" in kinds, past)


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


def _litotes(nots: Sequence[Cue]) -> bool:
    """'I can't say it doesn't': neither yes nor no."""
    return nots[0].word in ("can't", "cant", "cannot", "couldn't")


def _excepted(cue: Cue, places: frozenset[int], tokens: Sequence[Token], clause_last: int) -> bool:
    """'Never smokes until it is warm': it does smoke then."""
    end = cue.reach[1]
    return end < clause_last and tokens[end].word in _EXCEPT and min(places) < end
