"""Every worked case in cases/ is assessed, and each thing that its `expect` asserts is held against the answer.

The truth of each case is argued in its own `why`, from the trade (common practice, no source). A case that the program honestly
misses carries `known_miss: reason`; it is then expected to fail, and a success is reported too.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.errors import InputError
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load
from diagnose.second_opinion import second_opinion
from diagnose.yamlfile import read

CASES = Path(__file__).parents[1] / "cases"
FILES = sorted(CASES.glob("*.yaml"))
KEYS = (
    "why",
    "leader",
    "not_leader",
    "in_first",
    "chance",
    "urgency",
    "nothing_wrong",
    "unproven",
    "next_gives",
    "verdict",
    "known_miss",
    "set",
    "kind",
)
LIKELY = 0.6  # chance from which a fault is called likely


@cache
def known() -> Knowledge:
    return load()


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return known()


@cache
def case_of(path: Path) -> Case:
    return read_case(path, None, known())


def words(value: Any) -> list[str]:
    return [str(v) for v in (value if isinstance(value, list) else [value])]


def misses(case: Case, told: Assessment, knowledge: Knowledge) -> Iterator[str]:
    """Each assertion of `expect` that the assessment does not meet, in words."""
    expect = case.expect or {}
    order = [c.id for c in told.ranking]
    chance = {c.id: c.chance for c in [*told.ranking, *told.beside]}
    first = order[0] if order else "nothing"
    shown = f"ranking: {', '.join(f'{c.id} {c.chance:.2f}' for c in told.ranking[:5])}"
    for key in expect:
        assert key in KEYS, f"'{key}' is not something that a case can expect; allowed: {', '.join(KEYS)}"
    if "leader" in expect and first not in words(expect["leader"]):
        yield f"leader is {first}, expected {expect['leader']}; {shown}"
    if first in words(expect.get("not_leader", [])):
        yield f"leader is {first}, which it must not be; {shown}"
    if "in_first" in expect:
        n = int(expect["in_first"]["n"])
        for name in words(expect["in_first"]["ids"]):
            if name not in order[:n]:
                yield f"{name} is not among the first {n}; {shown}"
    for name, bounds in expect.get("chance", {}).items():
        there = chance.get(name, 0.0)
        if there < float(bounds.get("at_least", 0.0)) or there >= float(bounds.get("below", 1.1)):
            yield f"chance of {name} is {there:.3f}, expected {bounds}; {shown}"
    if "urgency" in expect and told.urgency not in words(expect["urgency"]):
        yield f"urgency is {told.urgency}, expected {expect['urgency']}; {shown}"
    if expect.get("nothing_wrong") and told.verdict not in ("nothing_wrong", "harmless"):
        yield f"verdict is {told.verdict}, expected nothing wrong; {shown}"
    if expect.get("unproven"):
        likely = [f"{c.id} {c.chance:.2f}" for c in told.ranking if c.kind == "fault" and c.chance >= LIKELY]
        if likely:
            yield f"called likely although nothing is proven: {', '.join(likely)}"
    if "next_gives" in expect:
        proposed = [p.id for p in told.next[:3]]
        given = {finding for name in proposed for finding in knowledge.procedures[name].gives}
        if not given & set(words(expect["next_gives"])):
            yield f"none of the first proposed procedures ({', '.join(proposed)}) gives one of {expect['next_gives']}"


def parameters() -> list[Any]:
    out = []
    for number, path in enumerate(FILES):
        expect = (read(path, InputError).data or {}).get("expect") or {}
        if set(expect) <= {"verdict", "why", "known_miss", "set", "kind"}:
            continue  # only a second opinion is asserted, and tested as such
        reason = expect.get("known_miss")
        marks: list[Any] = [pytest.mark.xfail(reason=str(reason), strict=True)] if reason else []
        if number % 3 and path.stem != "demo":  # all of them would take the fast suite past its two minutes
            marks.append(pytest.mark.slow)
        out.append(pytest.param(path, id=path.stem, marks=marks))
    return out


def opinions() -> list[Any]:
    """Cases with a proposal of which the verdict is asserted: supported, premature, unsupported."""
    out = []
    for path in FILES:
        expect = (read(path, InputError).data or {}).get("expect") or {}
        if "verdict" in expect:
            reason = expect.get("known_miss")
            out.append(pytest.param(path, id=path.stem, marks=[pytest.mark.xfail(reason=str(reason), strict=True)] if reason else []))
    return out


@pytest.mark.slow
@pytest.mark.parametrize("path", opinions())
def test_the_second_opinion_comes_out_as_its_author_argued(path: Path, knowledge: Knowledge) -> None:
    case = case_of(path)
    told = second_opinion(case, case.proposal or "", knowledge)
    assert told.verdict in words((case.expect or {})["verdict"]), told.headline
    assert told.reasons


@pytest.mark.parametrize("path", parameters())
def test_the_case_comes_out_as_its_author_argued(path: Path, knowledge: Knowledge) -> None:
    case = case_of(path)
    told = assess(case, knowledge, plan="next_gives" in (case.expect or {}))
    assert not list(misses(case, told, knowledge))


def test_there_are_cases_and_each_argues_its_truth_and_asserts_something() -> None:
    assert len(FILES) >= 25
    for path in FILES:
        expect = case_of(path).expect or {}
        assert expect.get("why"), f"{path.name}: no why"
        assert set(expect) - {"why", "known_miss", "set", "kind"}, f"{path.name}: asserts nothing"


def test_names_that_a_case_expects_are_names_of_this_knowledge(knowledge: Knowledge) -> None:
    for path in FILES:
        expect = case_of(path).expect or {}
        faults = [*words(expect.get("leader", [])), *words(expect.get("not_leader", [])), *expect.get("chance", {})]
        faults += words(expect.get("in_first", {}).get("ids", []))
        assert not [f for f in faults if f not in knowledge.faults], path.name
        assert not [f for f in words(expect.get("next_gives", [])) if f not in knowledge.findings], path.name


def test_a_wrong_expectation_is_reported(knowledge: Knowledge) -> None:
    case = case_of(CASES / "demo.yaml")
    told = assess(case, knowledge, plan=False)
    wrong = case.model_copy(
        update={
            "expect": {
                "leader": "rain_or_wash_water",
                "urgency": ["none"],
                "chance": {"rain_or_wash_water": {"at_least": 0.9}},
                "in_first": {"n": 2, "ids": ["rain_or_wash_water"]},
                "next_gives": ["wet_carpet"],
            }
        }
    )
    assert len(list(misses(wrong, told, knowledge))) == 5
