"""Weigh: the trade's causal knowledge run backwards. A finding makes what shows it suspect, a suspect effect what brings it about.

The firings are the routes that the explanation tells. They add and remove no evidence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Link
from diagnose.rules.engine import AS, MATCH, Fact, P, Rule, engine_class

TOLD_FROM = 0.1  # chance of a link, from which it is a way worth telling (estimate); ranking hears all of them


@dataclass(frozen=True, order=True)
class Route:
    """One step back: `cause` could have brought about `sign` (a finding or an effect), by this link."""

    cause: str
    sign: str
    because: str
    source: str
    where: str = ""


class Weigher:
    """Two generic rules joined to the links that the case touches. One instance per process and thread."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._routes: set[Route] = set()
        self._suspected: set[str] = set()
        self._into: dict[str, list[Route]] = {}
        for name in sorted([*knowledge.faults, *knowledge.effects]):
            entry = knowledge.causal(name)
            file, line = knowledge.where.get(name, ("", 0))
            for link in knowledge.links_from(name):
                if _most(link) < TOLD_FROM:
                    continue
                route = Route(name, link.to, link.because, link.source or entry.source, f"{file}:{line}")
                self._into.setdefault(link.to, []).append(route)
        # a fact must not be bound to the name of a value that it carries: experta would then match nothing
        seen = AS.fact << Fact(kind="sign", key=MATCH.sign, level=P(lambda v: v in ("present", "unsure")))
        suspect = AS.fact << Fact(kind="suspect", key=MATCH.sign)
        link = AS.arrow << Fact(kind="ways", to=MATCH.sign)  # all ways into one sign together: one firing a sign, not one a link
        self._engine = engine_class(
            "WeighEngine", {"from_sign": Rule(seen, link)(self._step), "from_suspect": Rule(suspect, link)(self._step)}
        )()

    def _step(self, _: Any, fact: Any, arrow: Any, sign: str) -> None:
        fresh = []
        for index in arrow["indexes"]:
            route = self._into[sign][index]
            self._routes.add(route)
            if route.cause in self._into and route.cause not in self._suspected:  # what nothing brings about ends the way
                self._suspected.add(route.cause)
                fresh.append(Fact(kind="suspect", key=route.cause))
        if fresh:
            self._engine.declare(*fresh)

    def run(self, levels: dict[str, str], possible: Iterable[str]) -> tuple[Route, ...]:
        """Routes from findings (id -> present, unsure, absent) back to all that is `possible` on this vehicle, sorted."""
        self._routes, self._suspected = set(), set()
        allowed = set(possible)
        self._engine.reset()
        stack = [f for f, level in levels.items() if level in ("present", "unsure")]
        touched: set[str] = set()
        facts = []
        while stack:  # only the links upstream of what was found are declared: joins stay small
            sign = stack.pop()
            if sign in touched:
                continue
            touched.add(sign)
            ways = tuple(i for i, route in enumerate(self._into.get(sign, ())) if route.cause in allowed)
            if ways:
                facts.append(Fact(kind="ways", to=sign, indexes=ways))
                stack += [self._into[sign][i].cause for i in ways]
        facts += [Fact(kind="sign", key=f, level=level) for f, level in sorted(levels.items()) if level in ("present", "unsure")]
        if facts:
            self._engine.declare(*facts)
        self._engine.run()
        return tuple(sorted(self._routes))


def _most(link: Link) -> float:
    """The greatest chance that a link has in any context."""
    pushes = [link.chance, *(variant.chance for variant in link.in_context)]
    return max(max(p.values()) if isinstance(p, dict) else p for p in pushes)
