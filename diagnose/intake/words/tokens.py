"""Words of a text with their place, and its cutting into sentences and clauses."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from diagnose.intake.words.wordlist import words

_WORD = re.compile(r"[-+−]?\d+(?:[.,]\d+)?|[a-z]+(?:'[a-z]+)?\d*[a-z]*|p\d{4}|[.,;:!?\n()&/—–]|%|°", re.IGNORECASE)
# without their ending they would be another word
_WHOLE = words("fine used lights boiled boiling")
_STOPS = frozenset(".;!?\n")
# Words that carry no meaning of their own here: they do not count as distance between the words of a phrase.
FILLERS = words(
    "a an the my your our his her its their this that these those it i we you he she they is are was were be been being am i'm "
    "it's that's there's there has have had do does did of to for so just really quite very bit some all right down up out off "
    "back even get gets got getting go goes going gone went come comes coming keep keeps kept ' & 've ll also still again about "
    "around bloody darn absolutely completely totally properly slightly little any at in on with from by then me one and where"
)
_SUBJECTS = words(
    "the my it its it's i i'm i've there there's theres we you he she they this that also then now no not never customer heater coolant a"
)
_LEADS = words("when whenever if after while once since on in at only during as because until before every under with without")
_BREAKS = words(", ( ) — –")
_LOOSE = words(", and & : /")
# ", mostly in traffic": no new saying
_WHERE = words("on in at under with without")
_SAYS = words("it it's is its runs gets goes")
_ON = words("even especially mostly mainly only particularly usually worst")
_CONTRAST = words("but however though although yet whereas except otherwise instead plus")


@dataclass(frozen=True)
class Token:
    """One word: as written, as read (spelling put right), its stem, and where it stands in the text."""

    raw: str
    word: str
    stem: str
    start: int
    end: int

    def read_as(self, word: str) -> Token:
        """The same word, read with another spelling."""
        return replace(self, word=word, stem=stem(word))


@dataclass(frozen=True)
class Clause:
    """Part of one sentence that says one thing: tokens[first:last]; `sentence` counts from 0."""

    first: int
    last: int
    sentence: int


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """A word without its endings; rough, and the same for phrases and for what is said.

    >>> [stem(w) for w in ("losing", "loses", "leaking", "dripped", "bubbles", "speed")]
    ['los', 'los', 'leak', 'drip', 'bubbl', 'speed']
    """
    low = word.lower()
    if low in _WHOLE:
        return low
    if low.endswith("'s"):
        low = low[:-2]
    low = low.replace("'", "")
    if len(low) > 5 and low.endswith("ing"):
        low = low[:-3]
    elif len(low) > 4 and low.endswith("ed") and not low.endswith("eed"):
        low = low[:-2]
    elif len(low) > 4 and low.endswith("ies"):
        low = low[:-3] + "y"
    elif len(low) > 4 and low.endswith(("ches", "shes", "sses", "xes")):
        low = low[:-2]
    elif len(low) > 3 and low.endswith("s") and not low.endswith(("ss", "us", "gas")):
        low = low[:-1]
    if len(low) > 3 and low.endswith("e"):
        low = low[:-1]
    if len(low) > 3 and low[-1] == low[-2] and low[-1] not in "aeiou":
        low = low[:-1]
    return low


def tokens_of(text: str) -> tuple[Token, ...]:
    """All words and stops of a text, in order."""
    plain = text.replace("’", "'").replace("`", "'")
    return tuple(Token(m[0], m[0].lower(), stem(m[0]), m.start(), m.end()) for m in _WORD.finditer(plain))


def clauses_of(tokens: tuple[Token, ...]) -> tuple[Clause, ...]:
    """Tokens cut into clauses: at stops, at contrasts, at 'and' before a new subject, and at commas unless a lead-in stands before it."""
    out: list[Clause] = []
    sentence = first = 0

    def close(last: int) -> None:
        start = first
        while last > start and tokens[last - 1].word in _LOOSE:
            last -= 1
        while start < last and tokens[start].word in _LOOSE:
            start += 1
        if start < last:
            out.append(Clause(start, last, sentence))

    for i, token in enumerate(tokens):
        following = tokens[i + 1].word if i + 1 < len(tokens) else ""
        if token.word in _STOPS:
            close(i)
            first, sentence = i + 1, sentence + 1
        elif (
            (token.word in _CONTRAST and not (token.word == "yet" and following == "to"))
            or (token.word in ("and", "&", "so", "then") and following in _SUBJECTS and not _joined(tokens, i))
            or (
                token.word in _BREAKS
                and not (token.word == "," and (following in _ON or _lead_in(tokens, first, i) or _listing(tokens, i)))
            )
        ):
            close(i)
            first = i + 1
    close(len(tokens))
    return tuple(out)


def _joined(tokens: tuple[Token, ...], joint: int) -> bool:
    """'Oil and coolant both clean': one saying about two things."""
    return any(t.word == "both" for t in tokens[joint + 2 : joint + 5])


def _lead_in(tokens: tuple[Token, ...], first: int, comma: int) -> bool:
    """Whether what stands before the comma only says when: 'in traffic, ...', 'when it is cold, ...'; not 'in town it is fine, ...'."""
    if tokens[first].word not in _LEADS:
        return False
    return tokens[first].word not in _WHERE or not {t.word for t in tokens[first:comma]} & _SAYS


def _listing(tokens: tuple[Token, ...], comma: int) -> bool:
    """Whether the comma stands in a list that ends with 'or' or 'nor': 'no smoke, bubbles or leaks'."""
    for token in tokens[comma + 1 : comma + 9]:
        if token.word in ("or", "nor"):
            return True
        if token.word in _STOPS or token.word in _CONTRAST or token.word in _SUBJECTS or token.word == "and":
            return False
    return False
