"""Misspelt words of the trade, read as what was meant; only where one known word is clearly nearest."""

from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz.distance import DamerauLevenshtein

from diagnose.intake.words.phrases import Book
from diagnose.intake.words.scope import CUE_WORDS
from diagnose.intake.words.tokens import FILLERS, Token, stem

_SHORTEST = 4
_LONG = 7  # from this length on two slips are forgiven, below it one


def put_right(tokens: Sequence[Token], book: Book) -> tuple[tuple[Token, ...], dict[str, str]]:
    """Tokens with misspelt words read anew, and what was read as what."""
    changed: dict[str, str] = {}
    plain = book.plain | FILLERS | CUE_WORDS
    plain_stems = {stem(w) for w in plain}
    out = []
    for token in tokens:
        if not _ordinary(token, book, plain, plain_stems) and (meant := _nearest(token, book, plain)):
            changed[token.raw] = meant
            token = token.read_as(meant)
        out.append(token)
    return tuple(out), changed


def _ordinary(token: Token, book: Book, plain: frozenset[str], plain_stems: set[str]) -> bool:
    if len(token.word) < _SHORTEST or not token.word.replace("'", "").isalpha():
        return True
    return token.word in plain or token.stem in book.vocabulary or token.stem in plain_stems


def _nearest(token: Token, book: Book, plain: frozenset[str]) -> str:
    """The one word that is clearly nearest, or nothing: a tie between two words is not decided."""
    best: dict[str, int] = {}
    bound = 2 if len(token.word) >= _LONG else 1
    for word in (*book.vocabulary, *(p for p in plain if len(p) >= _SHORTEST)):
        if abs(len(word) - len(token.word)) > bound + 3:
            continue
        for said in {token.stem, token.word}:
            if len(word) < _SHORTEST or word[0] != said[0]:
                continue
            distance = DamerauLevenshtein.distance(said, word, score_cutoff=bound)
            if distance <= bound and distance < best.get(word, 9):
                best[word] = distance
    if not best:
        return ""
    least = min(best.values())
    nearest = sorted(w for w, d in best.items() if d == least)
    stems = {stem(w) for w in nearest}
    if len(stems) > 1 or (least == 2 and len(nearest) > 1):
        return ""
    return nearest[0]
