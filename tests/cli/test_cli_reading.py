"""Reading the knowledge from the command line: for programs, and as a picture."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_shell import Command

from diagnose.knowledge.knowledge import Knowledge

ONE_OF_EACH = {
    "cap_weak": "a fault", "boils_early": "effect", "cap_holds": "finding", "test_cap_on_pump": "procedure", "replace_cap": "repair",
    "was_overheated": "something of the past", "exhaust_condensation": "a harmless cause",
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_an_entry_of_every_kind_is_told_in_prose_and_for_programs(command: Command, knowledge: Knowledge, name: str) -> None:
    told = command("knowledge", "show", name, "--width", "60")
    assert told.code == 0
    assert f"[{name}]" in told.out
    assert all(len(line) <= 60 for line in told.out.splitlines())
    document = command("knowledge", "show", name, "--json").document
    assert (document["format"], document["id"], document["is"]) == ("entry 1", name, ONE_OF_EACH[name])
    assert document["name"] == knowledge.name_of(name)
    assert document["line"] > 0
    assert document["from"] or document["to"]


def test_arrows_are_those_of_the_knowledge(command: Command, knowledge: Knowledge) -> None:
    document = command("knowledge", "show", "cap_weak", "--json").document
    assert {a["id"] for a in document["to"]} == {link.to for link in knowledge.links_from("cap_weak")}
    assert "replace_cap" in {a["id"] for a in document["from"]}


def test_the_picture_names_every_neighbour(command: Command, knowledge: Knowledge) -> None:
    told = command("knowledge", "show", "boils_early", "--picture")
    assert told.code == 0
    for link in knowledge.links_from("boils_early"):
        assert f"[{link.to}]" in told.out


def test_the_picture_as_a_file_is_the_same_twice(command: Command, tmp_path: Path) -> None:
    pytest.importorskip("matplotlib")
    files = [tmp_path / "a.svg", tmp_path / "b.svg"]
    for file in files:
        assert command("knowledge", "show", "cap_weak", "--svg", str(file)).code == 0
    assert files[0].read_bytes() == files[1].read_bytes()
    assert b"<svg" in files[0].read_bytes()
    assert command("knowledge", "show", "cap_weak", "--svg", str(tmp_path / "no" / "c.svg")).code == 2


def test_what_tells_two_apart_for_programs(command: Command) -> None:
    document = command("knowledge", "apart", "cap_weak", "head_gasket_gas", "--json").document
    assert document["format"] == "apart 1"
    assert document["differences"] == sorted(document["differences"], key=lambda row: (-row["differs"], row["finding"]))


@pytest.mark.parametrize("words", [("show", "zzzqqq"), ("apart", "cap_weak", "cap_weak"), ("apart", "cap_weak", "boils_early")])
def test_an_error_is_one_document_too(command: Command, words: tuple[str, ...]) -> None:
    result = command("knowledge", *words, "--json")
    assert (result.code, result.err) == (2, "")
    assert result.document["format"] == "error 1"
