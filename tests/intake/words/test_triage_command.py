"""The triage at the shell."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from diagnose.cli.triage import _text, triage
from diagnose.errors import InputError

app = typer.Typer()
app.command()(triage)
RUN = CliRunner()


def test_in_a_breath() -> None:
    result = RUN.invoke(app, ["it loses a litre of coolant every 500 miles and it overheats in traffic, brakes squeal"])
    assert result.exit_code == 0, result.output
    wanted = "Understood|runs hot when standing or slow: yes|How urgent|May it be driven|Tell the customer"
    wanted += "|Likeliest|Ask on the phone|First in the"
    plain = " ".join(result.output.split())
    for part in wanted.split("|"):
        assert part in plain
    assert plain.index("How urgent") < plain.index("Understood")
    assert "Not about cooling" in result.output
    assert "scalds" in result.output


def test_json_from_a_pipe_and_a_file_agree(tmp_path: Path) -> None:
    text = "no white smoke but it boiled over"
    (tmp_path / "said.txt").write_text(text, encoding="utf-8")
    piped = RUN.invoke(app, ["-", "--json"], input=text)
    assert _text(None, tmp_path / "said.txt") == text
    data = json.loads(piped.output)
    assert {o["of"]: o["answer"] for o in data["observations"]} == {"white_exhaust": "no", "boiled_over": "yes"}
    assert len(data["questions"]) == 3
    assert 1 <= len(data["causes"]) <= 3


def test_nothing_understood_concludes_nothing() -> None:
    data = json.loads(RUN.invoke(app, ["the radio is broken", "--json"]).output)
    assert data["causes"] == []
    assert data["urgency"] == ""
    assert data["not_about_cooling"] == ["the radio is broken"]


@pytest.mark.parametrize("arguments", [["  "], ["--file", "no_such_file.txt"], ["hot", "--fuel", "steam"]])
def test_bad_input_is_said(arguments: list[str]) -> None:
    result = RUN.invoke(app, [*(["it overheats"] if arguments[0] == "hot" else []), *[a for a in arguments if a != "hot"]])
    assert isinstance(result.exception, InputError)


@pytest.mark.parametrize("width", [40, 80])
def test_it_fits_the_screen(width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    output = RUN.invoke(app, ["it boiled over towing the caravan and the fan never came on, wipers judder"]).output
    assert max(len(line) for line in output.splitlines()) <= width


def test_what_is_always_asked_on_the_phone_stands_in_the_knowledge() -> None:
    """Nothing understood: the questions are the first ones of knowledge/phone.yaml, in their order; another list asks others."""
    from dataclasses import replace

    from diagnose.intake.words.triage import triage_of
    from diagnose.knowledge.load import load

    knowledge = load()
    talk = next(t for t in knowledge.talks.values() if t.suspected is None)
    asked = triage_of("the radio is broken", knowledge).questions
    assert asked == tuple(knowledge.findings[f].ask for f in talk.asks[:3])
    other = replace(knowledge, talks={talk.id: talk.model_copy(update={"asks": ("smell_cabin",)})})
    assert triage_of("the radio is broken", other).questions == (knowledge.findings["smell_cabin"].ask,)


def test_nobody_is_asked_how_far_it_was_driven_hot_where_nothing_ran_hot() -> None:
    """Common practice, no source: a question that the caller must find silly costs the trust in the next."""
    from diagnose.intake.words.triage import triage_of
    from diagnose.knowledge.load import load

    knowledge = load()
    heat = knowledge.findings["history_driven_on_hot"].ask
    assert heat not in triage_of("cream under the oil filler cap", knowledge).questions
    assert heat in triage_of("it boiled over", knowledge).questions


def test_where_the_engine_must_stay_off_nothing_is_asked_that_it_would_be_started_for() -> None:
    """Common practice, no source: what a customer is asked to look at on a warm running engine, he starts it for."""
    from diagnose.intake.words.triage import triage_of
    from diagnose.knowledge.load import load

    told = triage_of("it boiled over on the motorway and now it won't start, I poured cold water in", load())
    assert told.urgency == "stop_now"
    assert told.questions
    assert not [q for q in told.questions if "warm" in q.lower() or "idle" in q.lower()]
