"""The orders of testing compared on a few drawn cases; the real comparison is run by hand (compare_orders.py) and reported."""

from __future__ import annotations

from random import Random

import compare_orders
import pytest
import yaml

from diagnose.knowledge.knowledge import Knowledge


def test_the_experts_order_knows_only_what_is_known(real_knowledge: Knowledge) -> None:
    order = yaml.safe_load(compare_orders.ORDER.read_text(encoding="utf-8"))
    assert {p for stages in order["order"].values() for p in stages} <= set(real_knowledge.procedures)
    assert set(order["starts_with"].values()) <= set(order["order"])
    assert set(order["starts_with"]) <= set(real_knowledge.findings)


def test_a_drawn_case_is_the_same_twice(real_knowledge: Knowledge) -> None:
    one, two = (compare_orders.draw(Random(5), real_knowledge) for _ in range(2))
    assert one == two
    assert all(one.answers[name].answer != "no" for name in one.complaint)


@pytest.mark.slow
def test_nobody_beats_perfect_play_and_testing_by_plan_is_not_worse_than_cheapest_first(real_knowledge: Knowledge) -> None:
    runs = compare_orders.compare(12, 3, real_knowledge)
    print(compare_orders.report(runs))
    for name, found in runs.items():
        assert all(r.hours >= p.hours - 1e-9 for r, p in zip(found, runs["perfect"], strict=True) if r.right), name
    hours = {name: sum(r.hours for r in found) for name, found in runs.items()}
    assert hours["perfect"] < hours["ours"] <= 1.1 * hours["cheapest"]
