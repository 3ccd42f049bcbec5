"""`assess`, `new`, `schema` and `knowledge` from the shell."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cli_shell import Command

from diagnose.assess import assess
from diagnose.assessment import Arrow, Assessment
from diagnose.cli.places import demo_case
from diagnose.explain.words import URGENCY_WORDS
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.console import DETAILS, page


@pytest.fixture(scope="session")
def demo(knowledge: Knowledge) -> Assessment:
    return assess(read_case(demo_case(), None, knowledge), knowledge)


@pytest.fixture(scope="session")
def nothing(knowledge: Knowledge) -> Assessment:
    return assess(read_case(None, "title: nothing looked at\n", knowledge), knowledge)


def test_the_demo_prints_a_page_and_says_that_it_is_invented(command: Command) -> None:
    result = command("assess", "--demo")
    assert (result.code, result.err) == (0, "")
    assert "invented" in result.out


def test_a_file_and_standard_input_give_the_same_bytes(command: Command) -> None:
    path = demo_case()
    read = command("assess", str(path), "--json", "--no-plan")
    piped = command("assess", "-", "--json", "--no-plan", stdin=path.read_bytes())
    assert read.out == piped.out
    assert read.out.endswith("}\n")
    Assessment.model_validate(read.document)


def test_standard_input_that_is_not_text_is_told(command: Command) -> None:
    result = command("assess", "-", stdin=b"\xff\xfe\x00")
    assert (result.code, result.err) == (2, "diagnose: standard input:1: is not text in UTF-8.\n")


def test_every_problem_is_listed_one_a_line(command: Command) -> None:
    result = command("assess", "-", stdin="vehicle:\n  fuel: coal\nobservations:\n  - white_exaust: yes\n")
    assert result.code == 2
    assert re.findall(r"^diagnose: standard input:(\d+): ", result.err, re.M) == ["2", "4"]


def test_costs_are_said_in_money_where_a_rate_is_given(command: Command) -> None:
    result = command("assess", "--demo", "--labour-rate", "80", "--currency", "EUR")
    assert " EUR" in result.out
    assert "hours' pay" not in result.out


def test_tools_that_are_missing_hold_tests_back(command: Command) -> None:
    document = command("assess", "--demo", "--tools", "torch", "--json").document
    assert all(set(p["tools"]) <= {"torch", "hand", "eyes"} for p in document["next"])


@pytest.mark.parametrize("width", [40, 57, 80, 120, 200])
@pytest.mark.parametrize("detail", DETAILS)
def test_no_line_is_wider_than_the_page(demo: Assessment, knowledge: Knowledge, width: int, detail: str) -> None:
    text = page(demo, knowledge, width, detail)
    assert max(map(len, text.splitlines())) <= width
    assert "\x1b" not in text  # no colour: nothing to switch off, nothing lost without it


def test_the_first_line_says_how_urgent_and_whether_it_may_be_driven(demo: Assessment, knowledge: Knowledge) -> None:
    first = page(demo, knowledge, 200).splitlines()[0]
    assert first.lower().startswith(URGENCY_WORDS[demo.urgency].lower())
    assert demo.drive[0].text in first


def test_the_first_ten_lines_say_what_to_do(demo: Assessment, knowledge: Knowledge) -> None:
    top = " ".join(page(demo, knowledge, 80).splitlines()[:10])
    assert demo.headline in top
    assert demo.next[0].name in top


def test_the_brief_page_fits_a_screen(demo: Assessment, knowledge: Knowledge) -> None:
    assert len(page(demo, knowledge, 100, "brief").splitlines()) <= 36


def test_ids_are_shown_by_the_full_page_only(demo: Assessment, knowledge: Knowledge) -> None:
    usual, full = page(demo, knowledge, 100), page(demo, knowledge, 200, "full")
    assert not re.search(r"[a-z]_[a-z]", usual)
    assert all(c.id in full for c in demo.ranking)
    assert all(f.rule in full for f in demo.rules_fired)


def test_everything_of_the_assessment_is_on_the_page(demo: Assessment, knowledge: Knowledge) -> None:
    text = " ".join(page(demo, knowledge, 200).split())
    for said in [
        *(s.text for s in demo.cautions),
        *(s.text for s in demo.notes),
        *(c for p in demo.next for c in p.cautions),
        *(h for p in demo.next for h in p.how),
        *(p.name for p in demo.not_now),
        *(r.prove for leader in demo.leaders for r in leader.repairs),
        *(leader.told_apart for leader in demo.leaders),
        *(u.name for u in demo.understood),
        *(r for u in demo.understood for r in u.reasons if u.trust < 0.95),
    ]:
        assert " ".join(said.split()) in text


def test_a_caution_stands_above_the_step_that_needs_it(demo: Assessment, knowledge: Knowledge) -> None:
    text = " ".join(page(demo, knowledge, 200).split())
    step = next(p for p in demo.next if p.cautions)
    start = text.index("What to do next")
    assert text.index(step.cautions[0], start) < text.index(step.how[0], start)


def test_the_causal_story_is_told_with_its_reasons(demo: Assessment, knowledge: Knowledge) -> None:
    arrows = [
        Arrow(cause="a", sign="b", text="worn seal → air gets in", because="The seal is hard.", source="estimate", where="f.yaml:1"),
        Arrow(cause="b", sign="c", text="air gets in → heater gurgles", because="air runs through", source="estimate", where="f.yaml:2"),
    ]
    first = demo.leaders[0].model_copy(update={"story": [arrows]})
    told = demo.model_copy(update={"leaders": [first]})
    text = page(told, knowledge, 100)
    assert "  - air gets in -> heater gurgles\n      The seal is hard.\n      Air runs through.\n" in text
    assert "[estimate; f.yaml:2]" in page(told, knowledge, 100, "full")


def test_a_case_without_observations_gets_advice_what_to_look_at(nothing: Assessment, knowledge: Knowledge) -> None:
    text = page(nothing, knowledge, 80)
    assert nothing.next
    assert text.startswith("Nothing known yet: ")
    assert nothing.next[0].name in " ".join(text.split())


@pytest.mark.parametrize("path", sorted(demo_case().parent.glob("*.yaml")), ids=lambda p: p.stem[:40])
@pytest.mark.slow
def test_every_worked_case_makes_a_page(path: Path, knowledge: Knowledge) -> None:
    found = assess(read_case(path, None, knowledge), knowledge)
    for width in (40, 100):
        text = page(found, knowledge, width)
        assert max(map(len, text.splitlines())) <= width
        assert not re.search(r"[a-z]_[a-z]", text)


def test_new_writes_a_case_that_assess_reads(command: Command, tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    assert command("new", str(path)).code == 0
    again = command("new", str(path))
    assert (again.code, "--force" in again.err) == (2, True)
    assert command("new", str(path), "--force").code == 0
    assert command("assess", str(path), "--no-plan").out.startswith("Nothing known yet")


def test_new_without_a_file_prints_it(command: Command) -> None:
    assert "vehicle:" in command("new").out


@pytest.mark.parametrize("shape", ["case", "assessment", "error"])
def test_schemas_are_json(command: Command, shape: str) -> None:
    assert command("schema", shape).document["$schema"].startswith("https://json-schema.org/")


def test_show_tells_of_every_entry(knowledge: Knowledge) -> None:
    from diagnose.report.entry import entry_page, known_ids

    for name in known_ids(knowledge):
        text = entry_page(name, knowledge, 60)
        assert f"[{name}]" in text.replace("\n", "")
        assert max(map(len, text.splitlines())) <= 60


def test_show_takes_a_name_as_well_as_an_id(command: Command, knowledge: Knowledge) -> None:
    fault = next(f for f in knowledge.faults.values() if f.kind == "fault")
    assert command("knowledge", "show", fault.name).out == command("knowledge", "show", fault.id).out


def test_apart_names_what_separates_two_causes(command: Command) -> None:
    result = command("knowledge", "apart", "head_gasket_gas", "air_after_refill")
    assert result.code == 0
    assert "gas indicator" in result.out  # common practice, no source: refill air does not turn the indicator


def test_apart_wants_two_causes(command: Command) -> None:
    assert "both names are the same" in command("knowledge", "apart", "cap_weak", "cap_weak").err
    assert "not a fault or harmless cause" in command("knowledge", "apart", "cap_weak", "gas_in_coolant").err


def test_check_counts_what_there_is(command: Command, knowledge: Knowledge) -> None:
    result = command("knowledge", "check")
    assert result.code in (0, 3)
    assert f"{len(knowledge.findings)} findings" in result.out
    assert result.code == (0 if result.out.splitlines()[-1].startswith("0 errors") else 3)
