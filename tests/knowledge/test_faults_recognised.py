"""Every fault is recognised by what this knowledge says of it; pairs are seen, or said to hide each other; look-alikes are told apart.

These tests hold the knowledge against itself (no source outside it): a fault that its own typical picture does not bring to the
top is described too thinly, or is one with another.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from random import Random

import pytest
from drawn import drawn, real, signs, vehicle_for

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load

PAIRS, EVERY, EVERY_PAIR = 300, 16, 48
MISSED = 0.06  # share of pairs of which one may be neither seen nor named as hidden
TELLS = 0.3  # difference of chance from which a finding tells two faults apart
SAID = ("inseparable", "nothing tells", "cannot be told", "only with the", "decided with")  # how a written reason begins


@cache
def known() -> Knowledge:
    return load(cache=False)


ROOTS = [f.id for f in known().faults.values() if f.kind != "event"]


def place_of(fault: str, case: Case) -> int:
    """Where the fault stands in the ranking, from 0; a harmless cause among the harmless ones."""
    kind = known().faults[fault].kind
    order = [c.id for c in assess(case, known(), plan=False).ranking if kind == "fault" or c.kind == kind]
    return order.index(fault) if fault in order else len(order) + 3


# Honest misses, each with its reason; a success is reported too.
NOT_SEEN = {
    "underfilled": "a level under its mark with none of its consequences is also what any boiling over leaves behind; what tells it "
    "apart is that it stays up once filled, and that takes a week",
}


def some(names: list[str]) -> list[object]:
    """All of them, a spread few in the fast run."""
    return [pytest.param(name, marks=[*_slow(i), *_missed(name)]) for i, name in enumerate(names)]


def _slow(number: int) -> list[pytest.MarkDecorator]:
    return [] if number % EVERY == 0 else [pytest.mark.slow]


def _missed(name: str) -> list[pytest.MarkDecorator]:
    return [pytest.mark.xfail(reason=NOT_SEEN[name], strict=True)] if name in NOT_SEEN else []


@pytest.mark.parametrize("fault", some(ROOTS))
def test_its_typical_picture_brings_it_into_the_first_three(fault: str) -> None:
    assert place_of(fault, drawn(known(), [fault])) < 3


@pytest.mark.slow
def test_drawn_by_chance_most_are_in_the_first_three() -> None:
    """One draw of each. Some draws show next to nothing of the fault, and then nobody could name it (77 % when this was written)."""
    seen = [place_of(fault, drawn(known(), [fault], 0)) < 3 for fault in ROOTS]
    assert sum(seen) >= 0.7 * len(seen)


def pairs() -> list[tuple[str, str]]:
    faults = known().faults
    fit = [
        (a, b)
        for a, b in combinations(real(known()), 2)
        if not (faults[a].part and faults[a].part == faults[b].part) and vehicle_for(known(), (a, b)) is not None
    ]
    return sorted(Random(2026).sample(fit, PAIRS))


def unseen(pair: tuple[str, str]) -> list[str]:
    """Faults of the pair that are not among the first four, and that the answer does not name as hidden by another."""
    told = assess(drawn(known(), pair), known(), plan=False)
    hidden = " ".join(told.masks)
    return [name for name in pair if name not in [c.id for c in told.ranking][:4] and known().faults[name].name not in hidden]


def test_of_a_few_pairs_nearly_all_are_seen_or_one_is_said_to_hide_the_other() -> None:
    few = pairs()[::EVERY_PAIR]
    assert sum(bool(unseen(pair)) for pair in few) <= 1


@pytest.mark.slow
def test_of_300_pairs_nearly_all_are_seen_or_one_is_said_to_hide_the_other() -> None:
    """Measured with 79 faults: of 300 pairs 288 were both in the first four, 1 was said to be hidden, 11 were neither. Mostly a weak
    second fault in fifth or sixth place behind look-alikes of the first. Not yet measured since the faults that were added later.
    """
    missed = [(pair, name) for pair in pairs() for name in unseen(pair)]
    assert len({pair for pair, _ in missed}) <= MISSED * PAIRS, "\n".join(f"{' and '.join(p)}: {name} not seen" for p, name in missed)


@pytest.mark.parametrize("fault", real(known()))
def test_a_finding_tells_it_from_its_nearest_neighbour_or_a_reason_says_why_none_can(fault: str) -> None:
    entry = known().faults[fault]
    assert entry.nearest, "names no look-alike"
    nearest = entry.nearest[0]
    own, other = signs(known(), fault), signs(known(), nearest)
    apart = [f for f in own.keys() | other.keys() if abs(own.get(f, 0.0) - other.get(f, 0.0)) >= TELLS]
    if vehicle_for(known(), (fault, nearest)) is None:
        return  # no vehicle can have both: the vehicle itself tells them apart
    reason = f"{entry.told_apart} {entry.note or ''}".lower()
    assert apart or any(words in reason for words in SAID), f"nothing tells it from {nearest}"
