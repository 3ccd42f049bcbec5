"""Marking a case by hand: what is a miss, what is missed urgency, and what the scores come to."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.case.case import Case
from diagnose.score.expected import expected
from diagnose.score.marks import brier_classes, brier_event, marks, met, rank_of_truth
from diagnose.score.told import Told
from diagnose.score.worked import Worked, failing, score

TOLD = Told(
    order=("pump", "gasket", "dew"),
    chance={"pump": 0.7, "gasket": 0.2, "dew": 0.9, "old": 0.3},
    accounts={"pump": 0.6, "gasket": 0.2, "dew": 0.1},
    faults=frozenset({"pump", "gasket"}),
    urgency="this_week",
    verdict="likely",
    gives=frozenset({"weep_hole"}),
)


def marked(**expect: Any) -> dict[str, bool]:
    wanted = expected(Case.model_validate({"expect": {"why": "-", **expect}}))
    assert wanted is not None
    return marks(wanted, TOLD)


def test_any_of_several_leaders_is_right() -> None:
    assert marked(leader=["gasket", "pump"]) == {"first": True, "first_three": True}
    assert marked(leader="gasket") == {"first": False, "first_three": True}
    assert marked(leader="hose") == {"first": False, "first_three": False}


@pytest.mark.parametrize(
    ("allowed", "happened"),
    [
        (["this_week"], {"urgency"}),
        (["stop_now"], {"urgency_missed"}),
        (["do_not_drive_far", "stop_now"], {"urgency_missed"}),
        (["this_week", "stop_now"], {"urgency"}),
        (["next_service", "none"], {"over_urgent"}),
        (["next_service", "stop_now"], set()),  # between the two: wrong, but neither more nor less urgent than all of them
    ],
)
def test_urgency(allowed: list[str], happened: set[str]) -> None:
    assert {name for name, yes in marked(urgency=allowed).items() if yes} == happened


def test_less_urgent_where_nothing_was_pressing_is_not_missed() -> None:
    quiet = Told((), {}, {}, frozenset(), "none", "unproven")
    wanted = expected(Case.model_validate({"expect": {"urgency": ["this_week"]}}))
    assert wanted is not None
    assert marks(wanted, quiet) == {"urgency": False, "over_urgent": False, "under_urgent": True}


def test_the_rest() -> None:
    assert marked(nothing_wrong="yes") == {"called_wrong": True, "called_likely": True}
    assert marked(unproven="yes") == {"unproven": False}
    assert marked(next_gives=["weep_hole"]) == {"next_gives": True}
    assert marked(in_first={"n": 2, "ids": ["gasket", "pump"]}) == {"all_named": True}
    assert marked(in_first={"n": 2, "ids": ["gasket", "dew"]}) == {"all_named": False}
    assert marked(not_leader="pump") == {"not_leader": False}
    assert marked(chance={"old": {"below": 0.3}}) == {"chance": False}
    assert marked(chance={"old": {"at_least": 0.3, "below": 0.4}, "hose": {"below": 0.1}}) == {"chance": True}


def test_brier_by_hand() -> None:
    wanted = expected(Case.model_validate({"expect": {"leader": ["gasket", "dew"]}}))
    assert wanted is not None
    # Event: the likelier of the two truths has 0.9: (1 - 0.9)^2.
    assert brier_event(wanted, TOLD) == pytest.approx(0.01)
    # Classes: truths together 0.3, pump 0.6, none of these 0.1: 0.7^2 + 0.6^2 + 0.1^2.
    assert brier_classes(wanted, TOLD) == pytest.approx(0.86)
    assert rank_of_truth(wanted, TOLD) == 2


def case(name: str, expect: dict[str, Any]) -> Worked:
    held = Case.model_validate({"expect": expect})
    wanted = expected(held)
    assert wanted is not None
    return Worked(name, held, wanted)


def test_a_known_miss_counts_as_a_miss_and_a_case_set_aside_is_never_named() -> None:
    cases = [
        case("right", {"leader": "pump", "set": "open", "kind": "clear"}),
        case("known", {"leader": "hose", "set": "open", "kind": "clear", "known_miss": "because"}),
        case("hidden", {"leader": "hose", "set": "aside", "kind": "hard"}),
    ]
    told = [TOLD, TOLD, TOLD]
    found = score(cases, told, seed=0)
    assert found["open"]["clear"]["measures"]["first"]["count"] == 1
    assert found["open"]["clear"]["measures"]["first"]["of"] == 2
    assert found["open"]["all"]["known_misses"] == 1
    assert found["open"]["all"]["place_of_truth"] == {"1": 1, "2": 0, "3": 0, "4 to 10": 0, "later": 0, "not listed": 1}
    assert found["aside"]["all"]["measures"]["first"]["count"] == 0
    assert [f["case"] for f in failing(cases, told)] == ["known"]


def test_a_case_that_asserts_nothing_is_not_scored() -> None:
    assert expected(Case.model_validate({"expect": {"why": "only told", "set": "aside"}})) is None
    assert met({"first": True, "over_urgent": False})
    assert not met({"first": True, "over_urgent": True})
