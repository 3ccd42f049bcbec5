"""Misspelt words of the trade, read as what was meant; only where one known word is clearly nearest."""

from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz import process
from rapidfuzz.distance import DamerauLevenshtein

from diagnose.intake.words.phrases import Book
from diagnose.intake.words.scope import CUE_WORDS, negative
from diagnose.intake.words.tokens import FILLERS, Token, stem

_CUE_STEMS = frozenset(stem(w) for w in CUE_WORDS | FILLERS)
_SHORTEST = 4
_LONG = 7  # from this length on two slips are forgiven, below it one


def put_right(tokens: Sequence[Token], book: Book) -> tuple[tuple[Token, ...], dict[str, str]]:
    """Tokens with misspelt words read anew, and what was read as what."""
    changed: dict[str, str] = {}
    plain = book.plain | FILLERS | CUE_WORDS
    plain_stems = book.plain_stems | _CUE_STEMS
    out = []
    for token in tokens:
        if not _ordinary(token, book, plain, plain_stems) and (meant := _nearest(token, book, plain)):
            changed[token.raw] = meant
            token = token.read_as(meant)
        out.append(token)
    return tuple(out), changed


def _ordinary(token: Token, book: Book, plain: frozenset[str], plain_stems: frozenset[str]) -> bool:
    if len(token.word) < _SHORTEST or negative(token.word) or not token.word.replace("'", "").isalpha():
        return True
    return token.word in plain or token.stem in book.vocabulary or token.stem in plain_stems


def _nearest(token: Token, book: Book, plain: frozenset[str]) -> str:
    """The one word that is clearly nearest, or nothing: a tie between two words is not decided."""
    best: dict[str, int] = {}
    bound = 2 if len(token.word) >= _LONG else 1
    known = [w for w in (*book.vocabulary, *plain) if len(w) >= _SHORTEST and w[0] == token.word[0]]
    for said in {token.stem, token.word}:
        near = process.extract(said, known, scorer=DamerauLevenshtein.distance, score_cutoff=bound, limit=8)
        for word, distance, _ in near:
            best[word] = min(int(distance), best.get(word, 9))
    if not best:
        return ""
    least = min(best.values())
    nearest = sorted(w for w, d in best.items() if d == least)
    stems = {stem(w) for w in nearest}
    if len(stems) > 1 or (least == 2 and len(nearest) > 1):
        dropped = [w for w in nearest if w in book.vocabulary and len(w) > len(token.word)]  # a letter left out is the commonest slip
        return dropped[0] if len(dropped) == 1 and least == 1 else ""
    return nearest[0]
