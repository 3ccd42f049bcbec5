"""Second opinions on worked cases: what each says is common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.errors import InputError
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.match import match
from diagnose.second_opinion import second_opinion

CASES = Path(__file__).parents[2] / "cases"
CAP = "a_cap_that_weeps_and_holds_nothing_is_a_weak_cap"
SLOW_LOSS = "half_a_litre_since_summer_proves_no_gasket_and_asks_for_a_test"


def case_of(name: str, knowledge: Knowledge) -> Case:
    return read_case(CASES / f"{name}.yaml", None, knowledge)


@pytest.mark.parametrize(("name", "proposal", "allowed"), [
    (CAP, "new cap", {"supported"}),
    (CAP, "blown head gasket", {"unsupported"}),
    (CAP, "flush it", {"unsupported"}),
    (SLOW_LOSS, "head gasket", {"unsupported", "premature"}),
    (SLOW_LOSS, "new sensor", {"unsupported"}),
    ("a_puddle_with_a_wet_weep_hole_is_the_pump_seal", "water pump", {"supported"}),
    ("a_healthy_car_with_everything_looked_at_needs_nothing", "thermostat", {"unsupported"}),
    ("a_healthy_car_with_everything_looked_at_needs_nothing", "leave it", {"supported"}),
    ("milky_only_under_the_filler_cap_in_a_winter_of_short_trips_is_condensation", "head off", {"unsupported"}),
    ("vapour_at_minus_5_two_minutes_after_the_start_is_condensation", "head gasket", {"unsupported"}),
    ("demo", "lift the head", {"premature"}),
    ("demo", "use a sealer", {"unsupported"}),
    ("demo", "open it hot", {"unsupported"}),
    ("demo", "drive it to see", {"unsupported"}),
    ("demo", "leave it", {"unsupported"}),
])  # fmt: skip
def test_verdicts(real_knowledge: Knowledge, name: str, proposal: str, allowed: set[str]) -> None:
    told = second_opinion(case_of(name, real_knowledge), proposal, real_knowledge)
    assert told.verdict in allowed, told.headline
    assert told.reasons
    assert told.hours_now >= told.hours_best - 1e-6
    if told.verdict == "premature":
        assert told.overturn is not None or told.first


def test_a_teardown_says_what_is_checked_while_it_is_open(real_knowledge: Knowledge) -> None:
    told = second_opinion(case_of("demo", real_knowledge), "head gasket", real_knowledge)
    text = " ".join(told.check_while_open)
    assert "flat" in text
    assert "overheated" in text
    assert told.overturn is not None
    assert sum(r.chance for r in told.overturn.results) == pytest.approx(1.0, abs=0.15)
    assert {r.verdict_then for r in told.overturn.results} != {told.verdict}
    assert any(o.id != "head_gasket_gas" for o in told.others)


def test_nothing_proposed_still_says_what_to_do(real_knowledge: Knowledge) -> None:
    told = second_opinion(case_of("demo", real_knowledge), "", real_knowledge)
    assert told.verdict == "none"
    assert told.first


@pytest.mark.parametrize(("words", "repair"), [
    ("head gasket", "replace_head_gasket"), ("Headgasket", "replace_head_gasket"), ("new thermostat", "replace_thermostat"),
    ("replace_pump", "replace_pump"), ("fit a new water pump", "replace_pump"), ("radiator cap", "replace_cap"),
])  # fmt: skip
def test_words_find_their_repair(real_knowledge: Knowledge, words: str, repair: str) -> None:
    assert repair in match(words, real_knowledge).repairs


def test_words_that_mean_nothing_are_an_error_with_the_nearest(real_knowledge: Knowledge) -> None:
    with pytest.raises(InputError, match="no repair known"):
        match("polish the chrome", real_knowledge)
    with pytest.raises(InputError, match="Nearest"):
        match("thermos gasket flask", real_knowledge)


def two_faults(done: bool) -> Case:
    """A cap that holds nothing, low level and boiling over; and a suspicion of gas. Then the cap renewed, and looked at again."""
    observations: list[dict[str, object]] = [
        {"of": "cap_holds", "answer": "none", "on": "2026-03-01", "engine": "cold"},
        {"of": "cap_weeps", "answer": "yes", "on": "2026-03-01"},
        {"of": "boiled_over", "answer": "yes", "on": "2026-03-01"},
        {"of": "level_fell", "answer": "yes", "on": "2026-03-01"},
    ]
    if done:
        observations += [
            {"of": "gas_indicator", "answer": "turned", "on": "2026-03-05", "engine": "warm", "blank_done": "yes"},
            {"of": "hose_hard_early", "answer": "yes", "on": "2026-03-05", "engine": "cold"},
        ]
    return Case.model_validate({
        "invented": "yes", "vehicle": {"fuel": "petrol"}, "observations": observations,
        "done": [{"repair": "replace_cap", "on": "2026-03-03"}] if done else [],
    })  # fmt: skip


def test_the_proven_cheap_fault_is_mended_first_and_the_dear_one_not_blamed(real_knowledge: Knowledge) -> None:
    """The second fault is judged only on what is seen after the first is mended."""
    case = two_faults(False)
    levels = real_knowledge.findings["cap_holds"].levels
    case = case.model_copy(
        update={"observations": (case.observations[0].model_copy(update={"answer": levels[-1]}), *case.observations[1:])}
    )
    told = assess(case, real_knowledge)
    assert told.plan is not None
    repairs = [s.id for s in told.plan.steps if s.kind == "repair"]
    assert repairs in ([], ["replace_cap"])
    assert second_opinion(case, "replace_cap", real_knowledge).verdict == "supported"
    assert second_opinion(case, "head gasket", real_knowledge).verdict != "supported"


def test_after_the_repair_the_case_goes_on(real_knowledge: Knowledge) -> None:
    case = two_faults(True)
    levels = {n: real_knowledge.findings[n].levels for n in ("cap_holds", "gas_indicator")}
    fixed = [o.model_copy(update={"answer": levels[o.of][-1]}) if o.of in levels else o for o in case.observations]
    told = assess(case.model_copy(update={"observations": tuple(fixed)}), real_knowledge)
    assert [p.repair for p in told.after_repair] == ["replace_cap"]
    chance = {c.id: c.chance for c in told.ranking}
    assert chance.get("cap_weak", 0.0) < 0.3
    before = assess(two_faults(False), real_knowledge)
    assert chance.get("head_gasket_gas", 0.0) > {c.id: c.chance for c in before.ranking}.get("head_gasket_gas", 0.0)
