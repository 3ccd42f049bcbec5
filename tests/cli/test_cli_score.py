"""`diagnose knowledge score`: a wrong case is a miss, one JSON document whatever happens, a page that fits a terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_shell import Command

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo case as it is, and once more with a truth and an urgency that it does not have."""
    before, argued = (CASES / "demo.yaml").read_text(encoding="utf-8").split("expect:\n")
    argued = "".join(line for line in argued.splitlines(keepends=True) if "next_gives" not in line)  # it would cost a plan
    (tmp_path / "right.yaml").write_text(f"{before}expect:\n  set: open\n  kind: hard\n{argued}", encoding="utf-8")
    wrong = "  set: open\n  kind: clear\n  leader: rain_or_wash_water\n  urgency: [none]\n"
    (tmp_path / "deliberately_wrong.yaml").write_text(f"{before}expect:\n{wrong}", encoding="utf-8")
    return tmp_path


def test_a_deliberately_wrong_case_is_counted_as_a_miss(command: Command, folder: Path) -> None:
    ended = command("knowledge", "score", "--cases", str(folder), "--quick", "--jobs", "1", "--names", "--json")
    assert ended.code == 0, ended.err
    told = ended.document
    measures = told["worked"]["open"]["all"]["measures"]
    assert told["format"] == "score 1"
    assert (measures["first"]["count"], measures["first"]["of"]) == (1, 2)
    assert (measures["over_urgent"]["count"], measures["over_urgent"]["of"]) == (1, 2)
    assert told["worked"]["open"]["clear"]["measures"]["first"]["count"] == 0
    assert [f["case"] for f in told["failing_open"]] == ["deliberately_wrong"]
    assert told["confusion"][0]["truth"] == "rain_or_wash_water"
    assert told["simulated"] is None
    assert "worked cases" in ended.err


@pytest.mark.slow
def test_the_page_fits_eighty_columns(command: Command, folder: Path) -> None:
    ended = command("knowledge", "score", "--cases", str(folder), "--simulated", "8", "--jobs", "1", "--names", "--width", "80")
    assert ended.code == 0, ended.err
    assert max(len(line) for line in ended.out.splitlines()) <= 80
    for words in ("truth comes first", "1/2", "Plainer methods", "naive Bayes", "nearly free", "deliberately_wrong", "--coverage"):
        assert words in ended.out


def test_cases_set_aside_are_never_named(command: Command, folder: Path) -> None:
    path = folder / "deliberately_wrong.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("set: open", "set: aside"), encoding="utf-8")
    ended = command("knowledge", "score", "--cases", str(folder), "--set", "aside", "--quick", "--jobs", "1", "--names")
    assert ended.code == 0, ended.err
    assert "deliberately_wrong" not in ended.out
    assert "rain_or_wash_water" not in ended.out
    assert "0/1" in ended.out


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        ("no folder", "no such folder"),
        ("empty", "holds no worked case"),
        ("other set", "set 'aside'"),
        ("unknown fault", "expects 'no_such_fault'"),
    ],
)
def test_what_cannot_be_scored_is_said_in_one_document(command: Command, folder: Path, spoil: str, words: str) -> None:
    asked = folder
    more: list[str] = []
    if spoil == "no folder":
        asked = folder / "nowhere"
    elif spoil == "empty":
        asked = folder / "empty"
        asked.mkdir()
    elif spoil == "other set":
        more = ["--set", "aside"]
    else:
        path = folder / "right.yaml"
        path.write_text(path.read_text(encoding="utf-8").replace("cracked_head", "no_such_fault"), encoding="utf-8")
    ended = command("knowledge", "score", "--cases", str(asked), "--quick", "--json", *more)
    assert ended.code == 2
    assert words in str(ended.document)


def test_an_unknown_kind_names_those_there_are(command: Command) -> None:
    ended = command("knowledge", "score", "--kind", "easy", "--json")
    assert ended.code == 2
    assert "clear" in str(ended.document)
