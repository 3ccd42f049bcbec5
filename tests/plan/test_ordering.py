"""The order by chance over cost, and with shared access, against every order there is."""

from __future__ import annotations

import csv
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems_drawn import draw

from diagnose.plan import clusters, ordering
from diagnose.plan.exact import Exact
from diagnose.plan.problem import Problem, Repair

CHANCES, COSTS = (0.45, 0.25, 0.20, 0.10), (30.0, 5.0, 20.0, 1.0)
REFERENCE = Path(__file__).parents[1] / "reference" / "diagnosis_examples.csv"


def published(quantity: str, setting: str) -> str:
    with REFERENCE.open(encoding="utf-8") as file:
        rows = [
            r
            for r in csv.DictReader(file)
            if r["example"] == "ecr" and r["quantity"].startswith(quantity) and r["setting"].startswith(setting)
        ]
    return rows[0]["value"]


def test_the_published_example() -> None:
    """tests/reference/diagnosis_examples.csv, rows `ecr`: Kadane and Simon 1977; Heckerman, Breese and Rommelse 1995."""
    order, cost = published("optimal", "p=").split(" ; ")
    assert ",".join(map(str, ordering.order(CHANCES, COSTS))) == order
    assert ordering.expected_cost(ordering.order(CHANCES, COSTS), CHANCES, COSTS) == pytest.approx(float(cost))
    worst, dear = published("worst", "same").split(" ; ")
    costs = {p: ordering.expected_cost(p, CHANCES, COSTS) for p in permutations(range(4))}
    assert max(costs.values()) == pytest.approx(float(dear))
    assert ",".join(map(str, max(costs, key=costs.__getitem__))) == worst


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.floats(0.01, 1.0), st.floats(0.1, 30.0)), min_size=1, max_size=6))
def test_no_order_is_cheaper_than_by_ratio(drawn: list[tuple[float, float]]) -> None:
    total = sum(p for p, _ in drawn)
    chances, costs = [p / total for p, _ in drawn], [c for _, c in drawn]
    best = min(ordering.expected_cost(p, chances, costs) for p in permutations(range(len(drawn))))
    assert ordering.expected_cost(ordering.order(chances, costs), chances, costs) == pytest.approx(best)


def test_the_plan_finds_the_published_cost_too() -> None:
    names = ["a", "b", "c", "d"]
    patterns = (*(frozenset({n}) for n in names), frozenset[str]())
    repairs = tuple(Repair(n, c, frozenset({n})) for n, c in zip(names, COSTS, strict=True))
    problem = Problem(patterns, (*CHANCES, 0.0), (), repairs, dict.fromkeys(names, 1000.0))
    assert Exact(problem).value() == (pytest.approx(29.0), ("repair", 3))
    assert ordering.why_not_by_ratio(problem) == []


def test_the_conditions_are_said_where_they_fail() -> None:
    from random import Random

    assert len(ordering.why_not_by_ratio(draw(Random(4), 4, 2, detect=0.9))) >= 4


def test_a_cost_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        ordering.order([0.5, 0.5], [1.0, -1.0])
    with pytest.raises(ValueError, match="opening"):
        clusters.order([(0.5, 1.0, "under")], {})


@settings(deadline=None, max_examples=120)
@given(
    st.lists(st.tuples(st.floats(0.01, 1.0), st.floats(0.1, 10.0), st.sampled_from(["", "under", "front"])), min_size=1, max_size=6),
    st.floats(0.0, 8.0),
    st.floats(0.0, 8.0),
)
def test_no_order_is_cheaper_where_access_is_shared(drawn: list[tuple[float, float, str]], under: float, front: float) -> None:
    """Ottosen and Jensen 2010, cost clusters with inside information, against every order."""
    total = sum(p for p, _, _ in drawn)
    items = [(p / total, c, place) for p, c, place in drawn]
    opening = {"under": under, "front": front}
    best = min(clusters.expected_cost(p, items, opening) for p in permutations(range(len(items))))
    assert clusters.expected_cost(clusters.order(items, opening), items, opening) == pytest.approx(best)
