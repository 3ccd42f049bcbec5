"""The worked cases scored: per set and kind, with counts and intervals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.score.expected import KINDS, SETS, Expected
from diagnose.score.interval import Proportion, bootstrap
from diagnose.score.marks import MEASURES, brier_classes, brier_event, marks, met, rank_of_truth
from diagnose.score.told import Told

ALL = "all"


@dataclass(frozen=True)
class Worked:
    """One worked case: its name (the file's), what it holds, what it asserts."""

    name: str
    case: Case
    wanted: Expected


def score(cases: Sequence[Worked], told: Sequence[Told], seed: int) -> dict[str, Any]:
    """Set -> kind (and all) -> measures. Known misses count as misses."""
    pairs = list(zip(cases, told, strict=True))
    out: dict[str, Any] = {}
    for which in SETS:
        mine = [(c, t) for c, t in pairs if c.wanted.set == which]
        if not mine:
            continue
        kinds = [k for k in KINDS if any(c.wanted.kind == k for c, _ in mine)]
        out[which] = {k: _block([(c, t) for c, t in mine if k in (ALL, c.wanted.kind)], seed) for k in (*kinds, ALL)}
    return out


def _block(pairs: Sequence[tuple[Worked, Told]], seed: int) -> dict[str, Any]:
    marked = [marks(c.wanted, t) for c, t in pairs]
    places = [p for c, t in pairs if (p := rank_of_truth(c.wanted, t)) is not None]
    event = [b for c, t in pairs if (b := brier_event(c.wanted, t)) is not None]
    classes = [b for c, t in pairs if (b := brier_classes(c.wanted, t)) is not None]
    return {
        "cases": len(pairs),
        "known_misses": sum(c.wanted.known_miss for c, _ in pairs),
        "all_met": Proportion(sum(met(m) for m in marked), len(marked)).document(),
        "measures": {name: _counted(marked, name).document() for name in MEASURES if any(name in m for m in marked)},
        "place_of_truth": _places(places),
        "brier_event": bootstrap(event, seed).document(),
        "brier_classes": bootstrap(classes, seed).document(),
    }


def _counted(marked: Sequence[Mapping[str, bool]], name: str) -> Proportion:
    row = [m[name] for m in marked if name in m]
    return Proportion(sum(row), len(row))


def _places(places: Sequence[int]) -> dict[str, int]:
    words = Counter("not listed" if p == 0 else str(p) if p <= 3 else "4 to 10" if p <= 10 else "later" for p in places)
    return {word: words[word] for word in ("1", "2", "3", "4 to 10", "later", "not listed")}


def failing(cases: Sequence[Worked], told: Sequence[Told]) -> list[dict[str, Any]]:
    """Open cases that do not come out as asserted, and in what. Cases set aside are never named."""
    out = []
    for worked, answer in zip(cases, told, strict=True):
        marked = marks(worked.wanted, answer)
        if worked.wanted.set == "open" and not met(marked):
            wrong = [name for name, happened in marked.items() if not met({name: happened})]
            out.append({"case": worked.name, "not_met": wrong, "known_miss": worked.wanted.known_miss})
    return out
