"""Scope of negation and hedging, numbers, circumstances, errors in the phrases. Expected answers: common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.case.observation import Observation
from diagnose.errors import InputError, KnowledgeError
from diagnose.intake.words import observe, phrases
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load

KNOWLEDGE = load()
OWN = "- finding: gauge_hot\n  says: {yes: ['glows like a stove']}\n  source: estimate\n"
WORDS = ["no", "never", "it", "coolant", "leak", ",", ".", "maybe", "hot", "5", "psi", "hose", "not", "a", "white", "smoke"]


def said(text: str) -> dict[str, str]:
    return {o.of: str(o.answer) for o in observe.understand(text, KNOWLEDGE).observations}


def heard(text: str, of: str) -> Observation:
    return next(o for o in observe.understand(text, KNOWLEDGE).observations if o.of == of)


@pytest.mark.parametrize(
    ("text", "finding", "answer"),
    [
        ("no white smoke", "white_exhaust", "no"),
        ("it never overheats", "gauge_hot", "no"),
        ("doesn't lose any water", "level_fell", "no"),
        ("it hasn't got any hotter than normal", "gauge_hot", "no"),
        ("not only does it overheat, it smokes white", "gauge_hot", "yes"),
        ("no smoke, bubbles or leaks", "puddle_coolant", "no"),
        ("no smoke, bubbles or leaks", "bubbles_at_neck", "no"),
        ("it used to overheat but not any more", "gauge_hot", "no"),
        ("the white smoke has stopped", "white_exhaust", "no"),
        ("it has stopped losing water", "level_fell", "no"),
        ("it won't stop overheating", "gauge_hot", "yes"),
        ("don't lose no water", "level_fell", "no"),
        ("I can't drive it without it overheating", "gauge_hot", "yes"),
        ("maybe it is losing coolant", "level_fell", "unsure"),
        ("the radiator is leaking, I think", "wet_radiator", "unsure"),
        ("it doesn't overheat unless I'm towing", "hot_under_load", "yes"),
        ("the radiator isn't leaking but the pump is", "wet_radiator", "no"),
        ("the radiator fan dosent come on", "fan_not_running_hot", "yes"),
        ("it nevr overheats", "gauge_hot", "no"),
        ("the fan never fails to come on", "fan_not_running_hot", "no"),
        ("it overheated until I changed the thermostat", "history_overheated", "yes"),
        ("water leaks from the pump rather than the radiator", "wet_radiator", "no"),
        ("transmission was rebuilt in may", "gearbox_work_recent", "yes"),
        ("compression 170 172 95 168", "compression", "one_low"),
        ("book says 1.4 bar, cap marked 0.9", "cap_mark", "lower"),
        ("70% antifreeze", "mix_strong", "70 vol %"),
    ],
)
def test_scope(text: str, finding: str, answer: str) -> None:
    assert said(text).get(finding) == answer


@pytest.mark.parametrize(
    "text",
    [
        "what if it overheats",
        "is the head gasket leaking?",
        "if it overheats I'll stop and call you",
        "it would boil over if I kept going",
        "can you check if it's leaking from the radiator",
        "my mate's van overheated",
    ],
)
def test_what_is_only_feared_asked_or_anothers_is_not_seen(text: str) -> None:
    understood = observe.understand(text, KNOWLEDGE)
    assert not understood.observations
    assert understood.not_understood


def test_circumstances() -> None:
    cold = heard("white smoke on cold mornings", "white_exhaust")
    assert (cold.engine, cold.ambient) == ("warming", 5.0)
    assert heard("after ten minutes the gauge is in the red", "gauge_hot").minutes_since_start == 10
    assert heard("since the coolant was changed the heater is cold", "heater_cold_always").after_refill == "yes"
    assert heard("it overheats going uphill", "hot_under_load").engine == "loaded"
    assert heard("my neighbour said he saw steam from the bonnet", "steam_seen").by == "somebody else"


def test_an_assumption_is_shown() -> None:
    rate = next(h for h in observe.understand("it loses about a litre a week", KNOWLEDGE).heard if h.observation.of == "loss_rate")
    assert any("km" in remark for remark in rate.remarks)


def test_spelling_is_shown() -> None:
    understood = observe.understand("the radiater is leeking", KNOWLEDGE)
    assert said("the radiater is leeking") == {"wet_radiator": "yes"}
    assert set(understood.spelling) == {"radiater", "leeking"}


def test_other_things_are_said_to_be_so() -> None:
    understood = observe.understand("The brakes squeal. It overheats in traffic.", KNOWLEDGE)
    assert understood.not_about_cooling == ("The brakes squeal",)
    assert [o.of for o in understood.observations] == ["hot_in_traffic"]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=120) | st.lists(st.sampled_from(WORDS), max_size=25).map(" ".join))
def test_any_text_is_taken(text: str) -> None:
    for observation in observe.understand(text, KNOWLEDGE).observations:
        assert observation.of in KNOWLEDGE.findings


def test_too_long_is_refused() -> None:
    with pytest.raises(InputError, match="characters"):
        observe.understand("hot " * 10_000, KNOWLEDGE)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ("- finding: no_such\n  says: {yes: [hot]}\n  source: estimate\n", "no finding"),
        ("- finding: gauge_hot\n  says: {perhaps: [hot]}\n  source: estimate\n", "not an answer"),
        ("- finding: gauge_hot\n  says: {yes: ['<nothing> hot']}\n  source: estimate\n", "is no word"),
        ("- something: else\n", "no entry"),
        ("- finding: gauge_hot\n  says: {yes: ['hot!']}\n  source: estimate\n", "does not belong"),
    ],
)
def test_bad_phrases_are_named_with_file_and_line(tmp_path: Path, entry: str, message: str) -> None:
    (tmp_path / "bad.yaml").write_text("# a comment\n" + entry, encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        observe.book_of(KNOWLEDGE, tmp_path)
    assert "bad.yaml:2" in str(caught.value)
    assert message in str(caught.value)


def test_phrases_can_be_changed_without_python(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(
        "- finding: gauge_hot\n  says: {yes: ['glows like a stove']}\n  source: estimate\n", encoding="utf-8"
    )
    own: Knowledge = KNOWLEDGE
    understood = observe.understand("it glows like a stove", own, tmp_path)
    assert [o.of for o in understood.observations] == ["gauge_hot"]
    assert not observe.understand("it glows like a stove", own).observations


def test_every_finding_a_customer_can_tell_has_phrases() -> None:
    book = observe.book_of(KNOWLEDGE)
    spoken = {p.about for p in book.patterns} | {m.measured for m in book.measured} | set(book.themes.values())
    told = {"history", "dash", "road", "exhaust", "cabin", "oil"}
    missing = [f.id for f in KNOWLEDGE.findings.values() if f.place in told and f.id not in spoken]
    assert not missing
    assert phrases.folder().is_dir()


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("there's a sweet smell, no white smoke", "exhaust_sweet"),
        ("smells sweet but no smoke at all", "exhaust_sweet"),
        ("runs hot with no coolant loss", "history_ran_low"),
    ],
)
def test_what_is_said_before_a_denial_is_not_denied_with_it(text: str, finding: str) -> None:
    assert finding not in said(text)


def test_what_the_denial_is_about_is_denied() -> None:
    assert said("there's a sweet smell, no white smoke")["white_exhaust"] == "no"
