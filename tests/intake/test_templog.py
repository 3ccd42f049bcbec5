"""A temperature log in a case: read beside the case file, told as observations, refused in words. Logs made by the test model."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.assess import assess
from diagnose.errors import InputError
from diagnose.intake.casefile import read_case
from diagnose.intake.templog import answers
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load()


def written(folder: Path, log: str) -> Path:
    case = folder / "case.yaml"
    case.write_text(f"observations:\n  - level_cold: normal\n  - temperature_log: {log}\n    stood: yes\n", encoding="utf-8")
    return case


def test_a_log_becomes_observations_that_name_their_rows(knowledge: Knowledge) -> None:
    case = read_case(CASES / "a_log_that_never_reaches_the_thermostat_means_it_stands_open.yaml", None, knowledge)
    told = {o.of: o for o in case.observations}
    # A thermostat stuck open warms slowly and runs cold: common practice, no source.
    assert told["warms_slowly"].answer == "yes"
    assert told["gauge_hot"].answer == "no"
    assert "rows" in (told["warms_slowly"].note or "")
    shown = {u.of: u for u in assess(case, knowledge, plan=False).understood}
    assert any("a_drive_log" in why for why in shown["warms_slowly"].reasons)


def test_no_log_says_nothing(tmp_path: Path, knowledge: Knowledge) -> None:
    case = read_case(written(tmp_path, "unknown"), None, knowledge)
    assert [o.answer for o in case.observations] == ["normal", "unknown"]


def test_patterns_that_cannot_be_told_apart_leave_what_differs_unknown(knowledge: Knowledge) -> None:
    both = answers(("no_fan", "low_flow"), knowledge)
    assert both["gauge_hot"] == "yes"
    assert both["hot_in_traffic"] == both["hot_under_load"] == "unknown"
    assert both["warms_slowly"] == "no"
    assert set(answers(("normal",), knowledge).values()) == {"no"}


def test_every_pattern_and_every_finding_of_the_logs_is_known(knowledge: Knowledge) -> None:
    from diagnose.derive.trace.patterns import PATTERNS

    assert {entry.pattern for entry in knowledge.logs.values()} == set(PATTERNS)
    for entry in knowledge.logs.values():
        for finding, answer in entry.shows.items():
            assert answer in ("yes", *knowledge.findings[finding].bands)


@pytest.mark.parametrize(
    ("content", "words"),
    [(None, "cannot be read"), ("a;b\n1;2\n", ""), ("", ""), ("seconds,coolant\n0,80\n", "")],
)
def test_a_log_that_is_none_is_refused_with_the_line(tmp_path: Path, knowledge: Knowledge, content: str | None, words: str) -> None:
    if content is not None:
        (tmp_path / "log.csv").write_text(content, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_case(written(tmp_path, "log.csv"), None, knowledge)
    assert ":3: temperature_log: " in str(refused.value)
    assert words in str(refused.value)
