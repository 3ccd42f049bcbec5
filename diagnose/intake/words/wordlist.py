"""Sets of words written as plain text."""

from __future__ import annotations


def words(text: str) -> frozenset[str]:
    """The words of a text, as a set.

    >>> sorted(words("or nor"))
    ['nor', 'or']
    """
    return frozenset(text.split())
