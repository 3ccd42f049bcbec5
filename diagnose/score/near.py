"""The numbers that stand between the foremost causes of a case and what was looked at."""

from __future__ import annotations

from diagnose.score.ground import Ground, Posterior
from diagnose.score.numbers import Number, numbers_of

FOREMOST = 2  # the leader and the one behind it


def near(ground: Ground, ranked: Posterior) -> list[Number]:
    """Priors of the foremost causes, and every number on their way to what was looked at."""
    network, foremost = ground.network, ranked.order[:FOREMOST]
    roots = {network.place(name)[0] for name in foremost}
    numbers = list(numbers_of(network, sorted(network.ancestors(ground.evidence) | roots)))
    ways: dict[str, list[Number]] = {}
    for number in numbers:
        if number.kind == "link":
            ways.setdefault(number.of, []).append(number)
    found: set[Number] = set()
    todo, reached = list(foremost), set(foremost)
    while todo:
        for link in ways.get(todo.pop(), ()):
            found.add(link)
            if link.to not in reached:
                reached.add(link.to)
                todo.append(link.to)
    return sorted(found | {n for n in numbers if n.kind != "link" and (n.of in reached or n.to in foremost)})


def heard(ground: Ground) -> list[Number]:
    """All links on the way from what this vehicle can have to what was looked at."""
    upstream = ground.network.ancestors(ground.evidence)
    return sorted(n for n in numbers_of(ground.network, sorted(upstream)) if n.kind == "link")
