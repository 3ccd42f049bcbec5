"""Putting together what was said: two things that mean a third, one finding said twice, a theme with nothing more precise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.intake.words.phrases import Book, Phrases

_SILENT = ("unknown", "not_looked_at")


@dataclass(frozen=True)
class Item:
    """Something said: what it is about (a finding or a theme), the finding meant, the answer, its tokens, how full the phrase was."""

    about: str
    finding: str
    answer: str
    places: frozenset[int]
    size: int
    entry: Phrases | None
    remark: str = ""
    past: bool = False


def resolve(items: Sequence[Item], book: Book) -> list[Item]:
    """The items that stay: joined ones instead of their parts, each finding once."""
    joined = _joined(list(items), book)
    out = []
    for finding in sorted({i.finding for i in joined}):
        out.append(_one([i for i in joined if i.finding == finding], book))
    return out + _formerly(items, out)


def _joined(items: list[Item], book: Book) -> list[Item]:
    for rule in book.together:
        parts: list[Item] = []
        for about, answer in rule.together.items():
            fitting = [i for i in items if i.about == about and i.answer == answer]
            parts += fitting[:1]
        if len(parts) < len(rule.together):
            continue
        places = frozenset().union(*(p.places for p in parts))
        items = [i for i in items if not (i.about in rule.together and i.answer == rule.together[i.about])]
        items += [Item(name, name, answer, places, sum(p.size for p in parts), None) for name, answer in rule.means.items()]
    return items


def _one(same: Sequence[Item], book: Book) -> Item:
    """One answer for one finding: now before formerly, seen before not looked, the more precise before the vague; else both are told."""
    told = [i for i in same if i.answer not in _SILENT] or list(same)
    told = [i for i in told if not i.past] or told
    precise = [i for i in told if i.about not in book.themes] or told
    sizes = max(i.size for i in precise)
    fullest = [i for i in precise if i.size == sizes]
    answers = {i.answer for i in fullest}
    first = fullest[0]
    if len(answers) == 1:
        return first
    if answers == {"yes", "no"}:
        return replace(first, answer="unsure", remark="said both ways")
    worst = [i for i in fullest if i.answer not in ("yes", "no")]
    return worst[0] if worst else first


def _formerly(items: Sequence[Item], kept: Sequence[Item]) -> list[Item]:
    """What 'used to' be so is a thing of the past, where the book says which."""
    have = {i.finding for i in kept}
    out: dict[str, Item] = {}
    for item in items:
        if item.past and item.entry and item.entry.was and item.entry.was not in have:
            out[item.entry.was] = replace(item, about=item.entry.was, finding=item.entry.was, answer="yes", entry=None)
    return list(out.values())
