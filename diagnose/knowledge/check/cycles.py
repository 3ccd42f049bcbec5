"""The causal graph has no way back: circles among effects and among past events, printed as a path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.check.report import Report, error
from diagnose.knowledge.knowledge import Knowledge


def check_cycles(knowledge: Knowledge) -> Iterator[Report]:
    """One report for each circle found by walking the links (`unless` counts: what hides something comes before it)."""
    effects: dict[str, set[str]] = {name: set() for name in knowledge.effects}
    for name in knowledge.effects:
        for link in knowledge.links_from(name):
            if link.effect in effects:
                effects[name].add(str(link.effect))
    for name in [*knowledge.faults, *knowledge.effects]:
        for link in knowledge.links_from(name):
            if link.effect in effects and link.unless in effects:
                effects[str(link.unless)].add(str(link.effect))
    for path in circles(effects):
        advice = "Split one of them into what comes first and what follows from it."
        yield error(knowledge, "cycle", path[0], f"effects go round in a circle: {' → '.join(path)}.", advice)
    events: dict[str, set[str]] = {name: set() for name in knowledge.faults}
    for fault in knowledge.faults.values():
        for after in fault.likelier_after:
            if after.event in events:
                events[after.event].add(fault.id)
    for path in circles(events):
        yield error(knowledge, "cycle", path[0], f"events go round in a circle: {' → '.join(path)}.", "Take one likelier_after away.")


def circles(follows: Mapping[str, set[str]]) -> Iterator[list[str]]:
    """Circles met by a depth-first walk in id order: each as a path that ends where it began, the smallest id first."""
    done: set[str] = set()
    met: set[tuple[str, ...]] = set()
    for start in sorted(follows):
        stack: list[tuple[str, Iterator[str]]] = [(start, iter(sorted(follows[start])))] if start not in done else []
        while stack:
            name, rest = stack[-1]
            following = next(rest, None)
            path = [n for n, _ in stack]
            if following is None:
                done.add(name)
                stack.pop()
            elif following in path:
                ring = path[path.index(following) :]
                at = ring.index(min(ring))
                met.add((*ring[at:], *ring[:at], ring[at]))
            elif following not in done:
                stack.append((following, iter(sorted(follows.get(following, ())))))
    yield from ([*path] for path in sorted(met))
