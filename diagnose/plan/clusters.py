"""Ordering repairs that share access: opening a place once serves all that lies behind it.

Single fault, sure repairs, and a sign that can be read while the place is open ("inside information"). A place with its cost of
opening is worked through like a block: the best is the opening of the place with the most worthwhile first part of what lies
behind it, by chance over cost, opening included; what is left there then competes by its own ratio.
Source: T. J. Ottosen and F. V. Jensen, The cost of troubleshooting cost clusters with inside information, UAI 2010.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Item = tuple[float, float, str]  # chance, cost, place ("" where nothing must be opened)


def order(items: Sequence[Item], opening: Mapping[str, float]) -> tuple[int, ...]:
    """Positions in the cheapest order. Raises ValueError for a place without a cost of opening, or a cost that is not above 0."""
    for _, cost, place in items:
        if cost <= 0.0:
            raise ValueError("costs must be above nothing")
        if place and place not in opening:
            raise ValueError(f"no cost of opening for '{place}'")
    left = sorted(range(len(items)), key=lambda i: (-items[i][0] / items[i][1], i))
    opened: set[str] = {""}
    done: list[int] = []
    while left:
        blocks = [_block(place, left, items, 0.0 if place in opened else opening[place]) for place in sorted({items[i][2] for i in left})]
        _, chosen = max(blocks, key=lambda b: (b[0], [-i for i in b[1]]))
        opened.add(items[chosen[0]][2])
        done += chosen
        left = [i for i in left if i not in chosen]
    return tuple(done)


def _block(place: str, left: Sequence[int], items: Sequence[Item], cost: float) -> tuple[float, list[int]]:
    """The most worthwhile first part of what lies behind a place, and its ratio."""
    chance = 0.0
    taken: list[int] = []
    best: tuple[float, list[int]] = (-1.0, [])
    for i in (i for i in left if items[i][2] == place):
        chance += items[i][0]
        cost += items[i][1]
        taken.append(i)
        if chance / cost > best[0]:
            best = (chance / cost, list(taken))
    return best


def expected_cost(sequence: Sequence[int], items: Sequence[Item], opening: Mapping[str, float]) -> float:
    """Expected cost of trying in this order until the cause is met, each place opened when first needed."""
    still, total = 1.0, 0.0
    opened = {""}
    for i in sequence:
        chance, cost, place = items[i]
        total += still * (cost + (0.0 if place in opened else opening[place]))
        opened.add(place)
        still -= chance
    return total
