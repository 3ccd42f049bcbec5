"""Finding the phrases of the book in what was said: all slots of a phrase near each other; the fuller phrase wins."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.intake.words.phrases import Book, Pattern
from diagnose.intake.words.quantities import NUMBERS
from diagnose.intake.words.scope import negative
from diagnose.intake.words.tokens import FILLERS, Token
from diagnose.intake.words.wordlist import words

_FEW = 3  # slots up to which a phrase is not read across a "but"
FURTHEST = 4  # words of meaning from one slot to the next; beyond that they hardly belong together
_SMALL = words("a bit very realy really quit quite so the litl little rather pretty just my slightly too")
_SUBJECT = words(
    "it it's its she car engine truck van and with also while when but temperature temp coolant heater fan gauge radiator , water "
    "hose smoke"
)
# a place, not the thing itself
_BESIDE = words("behind near by under above beside below over from at after before around round to past with")
_BEFORE_PLACE = words("to at in on of for from into under round between over")
_NEW_DENIAL = words("no without zero nil")  # a denial that starts a thing of its own after one of these
_JOINS = words(", and but with")
_ONLY = words("only just mostly mainly especially particularly")  # "but only at speed" says more of the same
_WELL = words("ok okay fine good normal great perfect alright right well")
_ELSE = words("otherwise")
_VERBS_OF_ALL = words("it it's its is runs run drives all everything everything's been works seems all's")
Span = tuple[int, int]


@dataclass(frozen=True)
class Match:
    """One phrase found at token `places`."""

    pattern: Pattern
    places: frozenset[int]

    @property
    def first(self) -> int:
        """Its first token."""
        return min(self.places)


class Tagged:
    """Tokens with the words of the book found in them, and each token's distance in words of meaning."""

    def __init__(self, tokens: Sequence[Token], book: Book, spoken: frozenset[int] = frozenset()) -> None:
        self.tokens = tokens
        self.depth: list[int] = []
        depth = 0
        for token in tokens:
            depth += not (token.word in FILLERS or token.word in NUMBERS or token.word in (",", "or") or token.word[0].isdigit())
            self.depth.append(depth)
        self.spans: dict[str, list[Span]] = {}
        stems = [t.stem for t in tokens]
        starts: dict[str, list[int]] = {}
        of_the_rest = _otherwise(tokens)
        for i, word in enumerate(stems):
            if i not in of_the_rest and not (
                i in spoken and (word == "used" or (negative(tokens[i].word) and stems[i + 1] == "fail"))
            ):  # "used to" is no use, "never fails to" no denial
                starts.setdefault(word, []).append(i)
        for name, sayings in book.families.items():
            found = self._find(sayings, stems, starts)
            if found:
                self.spans[f"<{name}>"] = found
        self.unmasked = dict(self.spans)
        self._mask(book)
        self.spans["<not>"] = [(i, i + 1) for i, t in enumerate(tokens) if negative(t.word) and i not in spoken]
        self.spans["<number>"] = [(i, i + 1) for i, t in enumerate(tokens) if t.word[-1].isdigit() and t.word[0] != "p"]
        self.elsewhere = [s for sayings in book.elsewhere.values() for s in self._find(sayings, stems, starts)]
        parts = [s for name, sayings in book.elsewhere.items() if name != "business" for s in self._find(sayings, stems, starts)]
        self.other_part = {p for a, b in parts for p in range(a, b)}
        self._starts = starts
        here = set(starts) | {name for name, spans in self.spans.items() if spans}
        self.possible = [p for p in book.patterns if here.issuperset(p.slots)]

    @staticmethod
    def _find(sayings: Iterable[tuple[str, ...]], stems: Sequence[str], starts: dict[str, list[int]]) -> list[Span]:
        found = []
        for saying in sayings:
            for i in starts.get(saying[0], ()) if saying else ():
                end = _follow(saying, stems, i)
                if end:
                    found.append((i, end))
        return found

    def _mask(self, book: Book) -> None:
        """Words within the longer name of a part say nothing by themselves."""
        names = [s for part in book.parts for s in self.spans.get(f"<{part}>", ()) if s[1] - s[0] > 1]
        heads = {s: self._head(s) for s in names}
        for name, spans in self.spans.items():
            self.spans[name] = [
                s for s in spans if not any(n[0] <= s[0] and s[1] <= n[1] and not s[0] <= heads[n] < s[1] for n in names if n != s)
            ]

    def _head(self, name: Span) -> int:
        """The word that says what it is: "pump" of "water pump", "pipes" of "pipes to the heater"."""
        for place in range(name[0] + 1, name[1]):
            if self.tokens[place].word in _BEFORE_PLACE:
                return place - 1
        return name[1] - 1

    def excluded(self, name: str) -> list[Span]:
        """Where a slot that must not be said is said, within the names of parts too."""
        return self.unmasked.get(name) or self.slot(name)

    def slot(self, name: str) -> list[Span]:
        """Where a slot of a phrase is said."""
        return self.spans.get(name, []) if name.startswith("<") else [(i, i + 1) for i in self._starts.get(name, ())]

    def known(self, place: int) -> bool:
        """Whether any word of the book covers a token."""
        return any(a <= place < b for spans in self.spans.values() for a, b in spans)


def _otherwise(tokens: Sequence[Token]) -> set[int]:
    """'Ok otherwise', 'otherwise it runs fine': what is well is all the rest, not what was just told."""
    out: set[int] = set()
    for i, token in enumerate(tokens):
        if token.word not in _WELL:
            continue
        before = i - 1
        while before >= 0 and tokens[before].word in _VERBS_OF_ALL:
            before -= 1
        after = [t.word for t in tokens[i + 1 : i + 4]]
        if (
            after[:1] == ["otherwise"]
            or after[:2] in (["apart", "from"], ["other", "than"])
            or (before >= 0 and tokens[before].word in _ELSE)
        ):
            out.add(i)
    return out


def _follow(saying: tuple[str, ...], stems: Sequence[str], start: int) -> int:
    """Where a saying that starts at `start` ends; small words may stand between its own ("runs a bit hot"). 0 where it is not said."""
    place = start + 1
    for word in saying[1:]:
        while place < len(stems) and stems[place] != word and stems[place] in _SMALL:
            place += 1
        if place >= len(stems) or stems[place] != word:
            return 0
        place += 1
    return place


def matches_in(tagged: Tagged, patterns: Sequence[Pattern], first: int, last: int, least: int = 1) -> list[Match]:
    """Every phrase of at least `least` slots that is said within tokens[first:last]."""
    out = []
    for pattern in patterns:
        if len(pattern.slots) < least:
            continue
        choices = [[s for s in tagged.slot(name) if first <= s[0] and s[1] <= last] for name in pattern.slots]
        if not all(choices) or any(first <= a < last for name in pattern.without for a, _ in tagged.excluded(name)):
            continue
        taken: set[int] = set()
        for places in sorted(_fits(tagged, pattern, choices), key=lambda p: (max(p) - min(p), min(p))):
            if not taken & places and not _of_another_part(tagged, places, first) and not _straddles(tagged, places, pattern):
                taken |= places
                out.append(Match(pattern, frozenset(places)))
    return out


def _fits(tagged: Tagged, pattern: Pattern, choices: Sequence[Sequence[Span]]) -> list[set[int]]:
    """Ways to fill the slots with different words, in order where asked for, each near the next."""
    partial: list[tuple[Span, ...]] = [()]
    for i, spans in enumerate(choices):
        partial = [
            (*chosen, span)
            for chosen in partial
            for span in spans
            if not any(a < span[1] and span[0] < b for a, b in chosen) and not (pattern.ordered[i] and chosen and span[0] < chosen[-1][1])
        ][:200]
    found = []
    for chosen in partial:
        ordered = sorted(chosen)
        if all(tagged.depth[b[0]] - tagged.depth[a[1] - 1] <= (1 if pattern.alias else FURTHEST) for a, b in pairwise(ordered)):
            found.append({p for a, b in chosen for p in range(a, b)})
    return found


def _of_another_part(tagged: Tagged, places: set[int], first: int) -> bool:
    """'Seat heater does not work': another part is named just before or within what would be read."""
    inside = tagged.other_part & (set(range(min(places) - 1, max(places) + 1)) - places)
    for p in sorted(tagged.other_part & set(range(first, min(places)))):
        if {t.word for t in tagged.tokens[p : min(places)]}.isdisjoint(_SUBJECT):
            inside |= {p}
    return any({t.word for t in tagged.tokens[max(0, p - 2) : p]}.isdisjoint(_BESIDE) for p in inside)


def _straddles(tagged: Tagged, places: set[int], pattern: Pattern) -> bool:
    """Whether two things said are read as one: "a sweet smell, no white smoke", "no drips, fan cycles", "hot here, but on the motorway"."""
    words_of = tagged.tokens
    inside = set(range(min(places) + 1, max(places))) - places
    if any(words_of[p].word in _NEW_DENIAL and words_of[p - 1].word in _JOINS for p in inside):
        return True
    for p in places:  # a denial of its own thing, told before a comma
        rest = [q for q in places if q > p]
        if words_of[p].word in _NEW_DENIAL and rest and any(words_of[q].word == "," for q in range(p + 1, min(rest))):
            return True
    few = len(pattern.slots) <= _FEW
    return few and any(words_of[p].word == "but" and words_of[p + 1].word not in _ONLY for p in inside)


def fullest(matches: Sequence[Match], sentence_of: Sequence[int]) -> list[Match]:
    """Leave out a match that is part of a fuller one, and what another match says instead of it in the same sentence."""
    matches = [m for m in matches if not (m.pattern.alias and any(_other_says(o, m) for o in matches))]
    kept: list[Match] = []
    for match in sorted(matches, key=_fuller):
        if any(_contrary(other, match) for other in kept):
            continue
        if any(match.places < other.places for other in kept):
            continue
        if any(_instead(other, match, sentence_of) for other in kept):
            continue
        kept = [k for k in kept if not _instead(match, k, sentence_of)]
        kept.append(match)
    unique: dict[tuple[str, str, frozenset[int]], Match] = {(m.pattern.about, m.pattern.answer, m.places): m for m in kept}
    return sorted(unique.values(), key=lambda m: (m.first, m.pattern.about, m.pattern.answer))


def _fuller(match: Match) -> tuple[int, bool, int, int, str]:
    """The fuller phrase first; of two as full, the one written for the contrary: it holds the words that make it so."""
    return -len(match.pattern.slots), match.pattern.answer == "yes", -len(match.places), match.first, match.pattern.about


def _contrary(other: Match, match: Match) -> bool:
    """Whether another phrase reads the same words as another answer of the same finding."""
    return other.pattern.about == match.pattern.about and other.pattern.answer != match.pattern.answer and bool(other.places & match.places)


def _other_says(other: Match, alias: Match) -> bool:
    """Whether a phrase written for another finding reads the words of a mere name otherwise."""
    return not other.pattern.alias and other.pattern.about != alias.pattern.about and bool(other.places & alias.places)


def _instead(other: Match, match: Match, sentence_of: Sequence[int]) -> bool:
    if other.pattern.entry is None or match.pattern.about == other.pattern.about:
        return False
    if match.pattern.about not in other.pattern.entry.instead_of or sentence_of[other.first] != sentence_of[match.first]:
        return False
    # what is said with words of its own is a second thing that was seen, unless it was only a vague word
    return bool(other.places & match.places) or len(match.pattern.slots) == 1
