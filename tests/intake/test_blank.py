"""The blank case and the schemas for editors."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.case.fields import allowed_of
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError
from diagnose.intake.blank import blank, write_blank
from diagnose.intake.casefile import read_case
from diagnose.intake.formats import case_schema
from diagnose.knowledge.knowledge import Knowledge


@pytest.fixture(scope="session")
def knowledge(real_knowledge: Knowledge) -> Knowledge:
    return real_knowledge


def test_a_blank_case_reads_as_nothing_known(knowledge: Knowledge) -> None:
    case = read_case(None, blank(knowledge), knowledge)
    assert case.observations == ()
    assert case.vehicle == Vehicle()


def test_every_field_and_finding_stands_in_it_once(knowledge: Knowledge) -> None:
    text = blank(knowledge)
    for name in Vehicle.model_fields:
        assert len(re.findall(rf"^  {name}:", text, re.M)) == 1
    for name in knowledge.observable():
        assert len(re.findall(rf"^  # - {name}: ", text, re.M)) == 1


def test_the_first_answer_of_every_finding_is_accepted(knowledge: Knowledge) -> None:
    def answered(match: re.Match[str]) -> str:
        finding = knowledge.findings.get(match[1])
        return f"  - {match[1]}: {(finding.along or finding.bands or ('yes',))[0] if finding else 'unknown'}"

    text = re.sub(r"^  # - (\w+):.*$", answered, blank(knowledge), flags=re.M)
    # one more than there are names: a temperature log that is not there says one thing, that nothing is known
    assert len(read_case(None, text, knowledge).observations) == len(knowledge.observable()) + 1


def test_the_words_that_it_offers_for_the_vehicle_are_accepted(knowledge: Knowledge) -> None:
    for name, allowed in allowed_of(Vehicle).items():
        for word in allowed.words:
            case = read_case(None, f"vehicle:\n  {name}: {word}\n", knowledge)
            assert getattr(case.vehicle, name) == word


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("mine")
    with pytest.raises(InputError, match=r"is there already.*--force"):
        write_blank(path, "new", force=False)
    assert path.read_text() == "mine"
    write_blank(path, "new", force=True)
    assert path.read_text() == "new"


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_blank(tmp_path / "none" / "case.yaml", "new", force=False)


def test_the_schema_knows_every_finding_and_takes_units(knowledge: Knowledge) -> None:
    schema = case_schema(knowledge)
    item = schema["properties"]["observations"]["anyOf"][0]["items"]["properties"]
    assert set(knowledge.observable()) <= set(item)
    assert "string" in schema["properties"]["vehicle"]["properties"]["cap_rating"]["type"]
    assert schema["properties"]["vehicle"]["properties"]["fuel"]["enum"] == ["petrol", "diesel", "gas", "unknown", None]
