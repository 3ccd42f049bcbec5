"""The causal story: the routes that weighing found, as a graph from faults down to findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.rules.weigh import Route

if TYPE_CHECKING:
    import networkx


@dataclass(frozen=True)
class Step:
    """One arrow of a story: cause, what it brings about, why, and where that is written."""

    cause: str
    sign: str
    because: str
    source: str
    where: str


def graph(routes: Sequence[Route]) -> networkx.DiGraph[str]:
    """All routes as a directed graph from causes to signs. Imports networkx only when drawn or searched."""
    import networkx

    out: networkx.DiGraph[str] = networkx.DiGraph()
    for route in routes:
        out.add_edge(route.cause, route.sign, because=route.because, source=route.source, where=route.where)
    return out


def stories(routes: Sequence[Route], fault: str, chance: Mapping[str, float]) -> tuple[tuple[Step, ...], ...]:
    """Each way from `fault` to a finding, the shortest and then the likeliest first, one way a finding."""
    below: dict[str, list[Route]] = {}
    for route in routes:
        below.setdefault(route.cause, []).append(route)
    best: dict[str, tuple[Route, ...]] = {}
    frontier: list[tuple[Route, ...]] = [(r,) for r in below.get(fault, ())]
    while frontier:  # breadth first: the short way is the one to tell
        frontier.sort(key=lambda way: (-min(chance.get(r.cause, 0.0) for r in way), [r.sign for r in way]))
        coming = []
        for way in frontier:
            last = way[-1].sign
            if last in best:
                continue
            best[last] = way
            coming += [(*way, r) for r in below.get(last, ()) if r.sign not in best]
        frontier = coming
    ends = [way for sign, way in sorted(best.items()) if sign not in below]
    return tuple(tuple(Step(r.cause, r.sign, r.because, r.source, r.where) for r in way) for way in ends)
