"""In which order to try repairs, when all that can be done is to repair and see.

The theorem: with exactly one cause, each repair removing one cause for certain, costs that do not depend on the order, and a
sure sign that the trouble is gone, falling chance over cost is the cheapest order.
Source: J. B. Kadane and H. A. Simon, Annals of Statistics 5 (1977) 237; D. Heckerman, J. S. Breese and K. Rommelse,
Communications of the ACM 38 (3) (1995) 49.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.plan.problem import Problem


def order(chances: Sequence[float], costs: Sequence[float]) -> tuple[int, ...]:
    """Positions by falling chance over cost; what costs nothing comes first; ties by position. Raises ValueError for a cost below 0."""
    if any(c < 0.0 for c in costs):
        raise ValueError("a cost below nothing")
    ratio = [float("inf") if cost == 0.0 else chance / cost for chance, cost in zip(chances, costs, strict=True)]
    return tuple(sorted(range(len(ratio)), key=lambda i: (-ratio[i], i)))


def expected_cost(sequence: Sequence[int], chances: Sequence[float], costs: Sequence[float]) -> float:
    """Expected cost of trying in this order until the cause is met: each cost counts as often as nothing before it helped.

    >>> round(expected_cost((3, 1, 0, 2), (0.45, 0.25, 0.20, 0.10), (30, 5, 20, 1)), 9)
    29.0
    """
    still, total = 1.0, 0.0
    for i in sequence:
        total += still * costs[i]
        still -= chances[i]
    return total


def why_not_by_ratio(problem: Problem) -> list[str]:
    """The conditions of the theorem that a problem breaks, in words; empty where the order by ratio is proven best."""
    out = []
    if any(len(p) != 1 for p, s in zip(problem.patterns, problem.share, strict=True) if s > 0.0):
        out.append("there may be several faults at once, or none")
    if any(len(r.removes) != 1 for r in problem.repairs) or len({r.removes for r in problem.repairs}) < len(problem.repairs):
        out.append("a repair removes several faults, or two remove the same")
    if problem.shared:
        out.append("actions share what must be opened")
    if problem.tests:
        out.append("there are tests to choose from")
    if problem.detect < 1.0:
        out.append("the proof may overlook that something is still wrong")
    removable = frozenset().union(*(r.removes for r in problem.repairs)) if problem.repairs else frozenset()
    if any(p - removable for p, s in zip(problem.patterns, problem.share, strict=True) if s > 0.0):
        out.append("the cause may be something that no repair here removes")
    return out
