"""The session over a pipe: answers from a file, what is kept, what is said when nobody is there or nothing can be written."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from conftest import Command

from diagnose.intake import settingsfile as settings_file
from diagnose.intake.casefile import read_case
from diagnose.intake.settingsfile import owned
from diagnose.knowledge.knowledge import Knowledge
from diagnose.session.journal import Journal, contents

START = "\n1\ndiesel, turbo\nn\n"  # nothing said, engine cold, the vehicle, nothing of the past


def test_a_piped_session_is_kept_and_gone_on_with(command: Command, knowledge: Knowledge) -> None:
    first = command("session", "--answers", "-", stdin=f"# a comment\n{START}white_exhaust: yes # seen today\n")
    assert first.code == 0, first.err
    assert "Saved: session.yaml" in first.out
    assert "Traceback" not in first.err
    case = read_case(Path("session.yaml"), None, knowledge)
    assert case.vehicle.fuel == "diesel"
    assert [o.answer for o in case.observations if o.of == "white_exhaust"] == ["yes"]
    again = command("session", "--answers", "-", stdin="finish\n")
    assert again.code == 2
    assert "--resume" in again.err
    last = command("session", "--answers", "-", "--resume", stdin="list\nundo white_exhaust\nfinish\n")
    assert last.code == 0, last.err
    assert "white exhaust on a warm engine: yes" in last.out
    assert "Taken back: white exhaust" in last.out
    assert "Written: session.yaml" in last.out
    assert not Path("session.yaml.journal").exists()
    assert "white_exhaust" not in Path("session.yaml").read_text()


def test_the_order_of_the_answers_leaves_no_trace_in_the_file(command: Command) -> None:
    said = ["white_exhaust: yes", "gauge_hot: no", "level_cold: low"]
    files = []
    for name, lines in (("a.yaml", said), ("b.yaml", said[::-1])):
        result = command("session", name, "--answers", "-", stdin="\n".join([START.rstrip("\n"), *lines, "finish"]))
        assert result.code == 0, result.err
        files.append(Path(name).read_bytes())
    assert files[0] == files[1]


def test_without_a_terminal_and_without_answers_it_says_so_and_ends(command: Command) -> None:
    result = command("session")
    assert result.code == 2
    assert "not a terminal" in result.err
    assert "--answers" in result.err
    assert not list(Path().iterdir())


def test_an_answer_that_cannot_be_understood_ends_an_unattended_session_with_its_line(command: Command) -> None:
    result = command("session", "--answers", "-", stdin="\n1\n\n# comment\nperhaps not\n")
    assert result.code == 2
    assert "answers:5" in result.err
    assert "is not one of them" in result.err
    assert contents(Path("session.yaml.journal").read_bytes()).events  # what was answered before is kept


def test_a_case_file_is_gone_on_from_and_left_as_it_was(command: Command) -> None:
    text = "complaint: loses coolant\nobservations:\n  - level_fell: yes\n  - white_exhaust: no\n"
    Path("my.yaml").write_text(text)
    result = command("session", "my.yaml", "--answers", "-", stdin="1\n\nn\nundo level_fell\nfinish\n")
    assert result.code == 0, result.err
    assert Path("my.yaml").read_text() == text
    written = Path("my-answered.yaml").read_text()
    assert "white_exhaust" in written
    assert "level_fell" not in written


def test_an_open_session_refuses_a_second_one(command: Command) -> None:
    journal = Journal(Path("session.yaml.journal"))
    journal.add({"t": "start", "case": {}})
    result = command("session", "--answers", "-", "--resume", stdin="")
    assert result.code == 2
    assert "another session on this case is open" in result.err
    journal.close()


def test_begun_afresh_the_old_one_is_kept_aside(command: Command) -> None:
    command("session", "--answers", "-", stdin="\n1\n")
    result = command("session", "--answers", "-", "--fresh", stdin="\n1\n")
    assert result.code == 0, result.err
    assert Path("session.yaml.journal.old-1").exists()
    assert Path("session.yaml").exists()
    assert Path("session-2.yaml").exists()


def test_a_file_that_is_there_is_not_written_over(command: Command) -> None:
    Path("there.yaml").write_text("title: mine\n")
    result = command("session", "--answers", "-", "--out", "there.yaml", stdin="")
    assert result.code == 2
    assert "is there already" in result.err


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a user to whom a folder can be closed")
def test_a_folder_that_may_not_be_written_to(command: Command, tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    result = command("session", "--answers", "-", stdin="\n")
    tmp_path.chmod(0o700)
    assert result.code == 1
    assert "no permission to write here" in result.err


def test_a_folder_that_is_not_there(command: Command) -> None:
    result = command("session", "--answers", "-", "--out", "no/such/case.yaml", stdin="\n")
    assert result.code == 1
    assert "cannot be opened for writing" in result.err


def test_a_torn_journal_is_gone_on_with(command: Command) -> None:
    command("session", "--answers", "-", stdin=START + "gauge_hot: yes\n")
    path = Path("session.yaml.journal")
    raw = path.read_bytes()
    path.write_bytes(raw[: raw.rfind(b"gauge_hot") + 3])
    result = command("session", "--answers", "-", "--resume", stdin="list\nfinish\n")
    assert result.code == 0, result.err
    assert "Going on with" in result.out
    assert "gauge_hot" not in Path("session.yaml").read_text()


def test_stop_comes_at_once_whatever_was_asked(command: Command) -> None:
    result = command("session", "--answers", "-", stdin=START + "boiled_over: yes\nfinish\n")
    at, noted = result.out.index("STOP: don't run this engine"), result.out.index("boiled_over: yes")
    between = result.out[noted:at]
    assert "NEXT" not in between
    assert between.count("> ") == 0


@pytest.mark.parametrize("width", [40, 57, 80, 200])
def test_no_line_is_wider_than_asked_and_nothing_hangs_on_colour(command: Command, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    lines = (
        START
        + "why\nhelp\nlist\npoints\nwhat 1\nsuppose ?\nresult\nvehicle fuel petrol\nvehicle x\nengine\nnote wet\n"
        + "?\nundo\nchange 1\n?\nfinish\n"
    )
    result = command("session", "--answers", "-", "--width", str(width), stdin=lines)
    assert "Traceback" not in result.err
    shown = [line for line in result.out.split("\n") if not line.startswith("> ")]
    assert [line for line in shown if len(line) > width] == []
    assert not re.search(r"[\x1b\u2500-\u257f]", result.out)


def test_every_command_is_answered_and_none_ends_in_a_traceback(command: Command) -> None:
    from diagnose.session.commands import WORDS

    odd = ["", " 1", " 99", " -1", " nothing known", " white_exhaust: yes", " white_exhaust: 5 V", " \N{SNOWFLAKE}"]
    for word in WORDS:
        if word in ("save", "finish"):
            continue
        lines = "\n".join(f"{word}{tail}\n{word.upper()}{tail}" for tail in odd)
        result = command("session", "--answers", "-", "--out", f"{word}.yaml", stdin=f"{START}{lines}\n")
        assert result.code in (0, 2), (word, result.err)
        assert "defect" not in result.err, (word, result.err)
        if word != "change":  # there the next line is an answer
            assert result.code == 0, (word, result.err)


def test_tools_come_from_the_settings_file_and_the_command_line_goes_before(knowledge: Knowledge, tmp_path: Path) -> None:
    path = tmp_path / "settings.yaml"
    path.write_text("tools: [torch, paper]\nskill: home\nhelper: no\n")
    found = owned(knowledge, {}, path)
    assert (found.tools, found.skill, found.helper) == (("torch", "paper"), "home", "no")
    assert owned(knowledge, {"tools": "refractometer", "skill": None}, path).tools == ("refractometer",)
    assert owned(knowledge, {}).tools is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("colour: red\n", "'colour' is not a setting"),
        ("labor_rate: 80\n", "Did you mean labour_rate?"),
        ("skill: home\nbudget: [20, much]\n", "mine.yaml:2: budget: '20, much' cannot be used"),
        ("\nlabour_rate: -3\n", "mine.yaml:2: labour_rate: -3 is not a price. Allowed: the price of an hour"),
        ("refused: [leakage_tset]\n", "Did you mean leakage_test"),
        ("prices: {replace_cap: 20, replace_kap: 3}\n", "Did you mean replace_cap"),
        ("tools: [torhc]\n", "Did you mean torch"),
        ("skill: wizard\n", "skill: 'wizard' cannot be used. Allowed: home, workshop, specialist"),
        ("- a\n", "field: value"),
    ],
)
def test_a_settings_file_that_cannot_be_used_is_said(
    command: Command, text: str, words: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(text)
    monkeypatch.setattr(settings_file, "place", lambda: path)
    result = command("session", "--answers", "-", stdin="\n")
    assert result.code == 2
    assert words in result.err


def test_the_look_over_walks_cold_things_first_and_ends_in_the_same_assessment(command: Command, knowledge: Knowledge) -> None:
    from diagnose.plan.settings import Settings
    from diagnose.session.engine_state import warms
    from diagnose.session.walk_round import order

    walk = [knowledge.procedures[p] for p in order(knowledge, Settings(), {})]
    assert 6 <= len(walk) <= 36
    kinds = [p.engine == "cold" and not warms(p) for p in walk if p.engine != "any"]
    assert kinds == sorted(kinds, reverse=True) or not any(warms(p) for p in walk[: kinds.index(False)])
    result = command("look-over", "--answers", "-", stdin="1\n\n" + "n\n" * 3)
    assert "cold things first" in result.out
    start = contents(Path("session.yaml.journal").read_bytes()).events[0]
    assert start["case"]["why_here"] == "routine"


@pytest.mark.slow
def test_assess_reads_the_case_file_to_the_same_assessment_byte_for_byte(knowledge: Knowledge, tmp_path: Path) -> None:
    from diagnose.assess import assess
    from diagnose.plan.settings import Settings
    from diagnose.session.casewriter import write
    from diagnose.session.state import replay

    answers = [
        {"of": "white_exhaust", "answer": "yes", "engine": "warm", "ambient": 14.2}, {"of": "level_cold", "answer": "low"},
        {"of": "coolant_voltage", "answer": "0.31 V"}, {"of": "gauge_hot", "answer": "unknown"},
        {"of": "freeze_margin", "answer": "-34 °F"},
    ]  # fmt: skip
    state = replay([{"t": "start", "case": {"vehicle": {"fuel": "diesel", "cap_rating": 1.1}}}, {"t": "answer", "obs": answers, "by": ""}])
    path = tmp_path / "a.yaml"
    write(path, state.case())
    read = read_case(path, None, knowledge)
    assert assess(read, knowledge, Settings()).model_dump_json() == assess(state.case(), knowledge, Settings()).model_dump_json()
