"""Case files as people write them: what is accepted, and what each slip is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.case.case import Case
from diagnose.case.observation import Conditions
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge


@pytest.fixture(scope="session")
def knowledge(real_knowledge: Knowledge) -> Knowledge:
    return real_knowledge


def _problems(text: str, knowledge: Knowledge) -> list[tuple[int, str]]:
    with pytest.raises(InputError) as caught:
        read_case(None, text, knowledge)
    return [(p.line, f"{p.message} {p.allowed}".strip()) for p in caught.value.problems]


# name -> text, and for each problem its line and words that must be said
GALLERY: dict[str, tuple[str, list[tuple[int, tuple[str, ...]]]]] = {
    "empty file": ("", [(0, ("is empty", "diagnose new"))]),
    "only comments": ("# nothing\n", [(0, ("is empty", "diagnose new"))]),
    "a list": ("- a\n- b\n", [(1, ("holds a list", "field: value"))]),
    "plain text": ("it boils\n", [(1, ("holds plain text", "field: value"))]),
    "unknown part": ("observation: []\n", [(1, ("'observation' is not a part of a case", "Did you mean observations?"))]),
    "unknown finding": (
        "title: x\nobservations:\n  - white_exaust: yes\n",
        [(3, ("'white_exaust' is not a finding", "Did you mean white_exhaust?"))],
    ),
    "nothing like it": ("observations:\n  - zzzqqq: yes\n", [(2, ("'zzzqqq' is not a finding", "diagnose new"))]),
    "unknown condition": (
        "observations:\n  - white_exhaust: yes\n    engin: warm\n",
        [(3, ("'engin' is not a condition", "Did you mean engine?"))],
    ),
    "unknown value of a condition": (
        "observations:\n  - white_exhaust: yes\n    engine: boiling\n",
        [(3, ("'boiling'", "cold, warming, warm, loaded, hot_off, opened_running, cranking, unknown"))],
    ),
    "unknown vehicle field": ("vehicle:\n  fule: diesel\n", [(2, ("'fule' is not a field of the vehicle", "Did you mean fuel?"))]),
    "unknown vehicle value": ("vehicle:\n  fuel: coal\n", [(2, ("fuel: 'coal'", "petrol, diesel, gas, unknown"))]),
    "why here": ("why_here: bored\n", [(1, ("'bored'", "complaint, routine, second_opinion."))]),
    "no answer": ("observations:\n  - white_exhaust\n", [(2, ("'white_exhaust' has no answer", "- name: answer"))]),
    "no name": ("observations:\n  - engine: warm\n", [(2, ("names nothing", "- name: answer"))]),
    "two names": (
        "observations:\n  - white_exhaust: yes\n    oil_milky_dipstick: no\n",
        [(2, ("more than one thing: white_exhaust, oil_milky_dipstick", "'-'"))],
    ),
    "unknown answer": ("observations:\n  - white_exhaust: purple\n", [(2, ("'purple' is not an answer", "yes, no, unsure, unknown"))]),
    "answer in the long form": (
        "observations:\n  - of: white_exhaust\n    engine: warm\n    answer: purple\n",
        [(4, ("'purple' is not an answer",))],
    ),
    "wrong unit": ("vehicle:\n  cap_rating: 5 V\n", [(2, ("cap_rating", "'5 V'", "bar"))]),
    "wrong unit in an observation": ("observations:\n  - white_exhaust: no\n    ambient: 5 kg\n", [(3, ("ambient", "degC"))]),
    "impossible": ("vehicle:\n  lowest_ambient: -300 degC\n", [(2, ("impossible", "From -90 to 1300 degC"))]),
    "no number": ("vehicle:\n  distance: far\n", [(2, ("distance: 'far' is not a number with a unit",))]),
    "not a number": ("vehicle:\n  distance: .nan\n", [(2, ("'.nan' is not a number",))]),
    "infinite": ("vehicle:\n  distance: 1e999 km\n", [(2, ("not a usable number", "finite"))]),
    "infinite answer": ("observations:\n  - white_exhaust: 1e999\n", [(2, ("white_exhaust", "not a usable number"))]),
    "list for a quantity": ("vehicle:\n  altitude: [1, 2]\n", [(2, ("altitude: one number is needed",))]),
    "vehicle in words": ("vehicle: a red one\n", [(1, ("vehicle: lines of 'field: value'", "fuel"))]),
    "observations in words": ("observations: all good\n", [(1, ("observations: a list is needed",))]),
    "empty series": ("observations:\n  - white_exhaust: {}\n", [(2, ("the series is empty",))]),
    "series in a series": ("observations:\n  - white_exhaust: {1: {2: 3}}\n", [(2, ("one quantity",))]),
    "no day": ("observations:\n  - white_exhaust: no\n    on: 2026-13-45\n", [(3, ("'2026-13-45' is not a day", "2026-11-25"))]),
    "a number for a day": ("observations:\n  - white_exhaust: no\n    on: 20260101\n", [(3, ("'20260101' is not a day",))]),
    "not a count": ("observations:\n  - white_exhaust: no\n    times: 0\n", [(3, ("'0' is not a count", "1 to 1000"))]),
    "text needed": ("observations:\n  - white_exhaust: no\n    note: {a: b}\n", [(3, ("note: text is needed",))]),
    "unknown repair": (
        "done:\n  - repair: replace_capp\n",
        [(2, ("'replace_capp' is not a repair", "Did you mean replace_cap?", "what:"))],
    ),
    "nothing done": ("done:\n  - on: 2026-01-01\n", [(2, ("says not what was done", "what:"))]),
    "done in words": ("done: a lot\n", [(1, ("done: a list is needed",))]),
    "alias bomb": ("a: &a [x, x]\nb: [*a, *a]\n", [(1, ("anchors (&) and aliases (*) are not allowed",))]),
    "two documents": ("title: a\n---\ntitle: b\n", [(3, ("more than one document",))]),
    "doubled field": ("title: a\ntitle: b\n", [(2, ("given twice",))]),
    "tab": ("vehicle:\n\tfuel: diesel\n", [(2, ("not valid YAML", "spaces, not tabs"))]),
    "broken": ("observations:\n  - white_exhaust: [yes\n", [(3, ("not valid YAML",))]),
    "control sign": ("title: a\x00b\n", [(0, ("not valid YAML",))]),
    "too deep": ("title: " + "[" * 3000 + "]" * 3000 + "\n", [(1, ("nest",))]),
}


@pytest.mark.parametrize("name", GALLERY)
def test_a_slip_is_told_with_its_line_and_what_is_allowed(name: str, knowledge: Knowledge) -> None:
    text, expected = GALLERY[name]
    found = _problems(text, knowledge)
    assert len(found) == len(expected)
    for (line, said), (wanted_line, words) in zip(found, expected, strict=True):
        assert line == wanted_line
        assert all(w in said for w in words), said


def test_every_slip_is_listed_not_the_first_only(knowledge: Knowledge) -> None:
    text = "why_here: bored\nvehicle:\n  fuel: coal\nobservations:\n  - white_exaust: yes\n  - oil_milky_dipstick: purple\ndone:\n  - {}\n"
    assert [line for line, _ in _problems(text, knowledge)] == [1, 3, 5, 6, 8]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda p: p / "none.yaml", "no such file"),
        (lambda p: p, "is a folder, not a file"),
        (lambda p: _written(p / "b.yaml", b"\x89PNG\r\n\x1a\n\x00\xff"), "is not a text file"),
        (lambda p: _written(p / "l.yaml", b"#" * 3_000_000), "bytes long"),
    ],
    ids=["missing", "folder", "binary", "too long"],
)
def test_a_file_that_cannot_be_read_is_named(make: object, words: str, tmp_path: Path, knowledge: Knowledge) -> None:
    path = make(tmp_path)  # type: ignore[operator]
    with pytest.raises(InputError) as caught:
        read_case(path, None, knowledge)
    assert words in str(caught.value)
    assert str(path) in str(caught.value)


def _written(path: Path, raw: bytes) -> Path:
    path.write_bytes(raw)
    return path


@pytest.mark.parametrize("text", ["title: nothing looked at yet\n", "observations:\n", "{}\n", "vehicle:\nobservations: []\ndone:\n"])
def test_a_case_without_observations_is_a_case(text: str, knowledge: Knowledge) -> None:
    assert read_case(None, text, knowledge).observations == ()


def test_other_names_and_other_spellings_mean_the_same(knowledge: Knowledge) -> None:
    plain = read_case(None, "observations:\n  - white_exhaust: yes\n", knowledge)
    for name in ("White Exhaust", "white-exhaust", "White smoke", "white exhaust on a warm engine"):
        assert read_case(None, f"observations:\n  - {name}: yes\n", knowledge) == plain


def test_a_name_that_may_mean_two_things_is_asked_about(knowledge: Knowledge) -> None:
    from diagnose.intake.names import Names

    found = Names({"a": ("both",), "b": ("Both",)}, "finding").find("both")
    assert (found.id, "a or b" in found.message) == ("", True)


def test_words_from_across_the_ocean_are_understood(knowledge: Knowledge) -> None:
    case = read_case(None, "vehicle:\n  transmission: automatic\n  fuel: gasoline\n  block: aluminum\n", knowledge)
    assert (case.vehicle.gearbox, case.vehicle.fuel, case.vehicle.block) == ("automatic", "petrol", "aluminium")


def test_mapping_list_and_long_form_are_one(knowledge: Knowledge) -> None:
    forms = [
        "observations:\n  white_exhaust: no\n",
        "observations:\n  - white_exhaust: no\n",
        "observations:\n  - of: white_exhaust\n    answer: no\n",
        "observations:\n  white_exhaust: {answer: no}\n",
        '{"observations": [{"white_exhaust": "no"}]}',
    ]
    cases = {read_case(None, text, knowledge).model_dump_json() for text in forms}
    assert len(cases) == 1


def test_quantities_are_read_in_the_units_that_people_write(knowledge: Knowledge) -> None:
    case = read_case(None, "vehicle:\n  cap_rating: 15 psi\n  lowest_ambient: -34 °F\n", knowledge)
    assert case.vehicle.cap_rating == pytest.approx(1.0342, abs=1e-3)  # 1 psi = 6.894757 kPa, NIST SP 811 (from memory)
    assert case.vehicle.lowest_ambient == pytest.approx(-36.67, abs=0.01)  # (-34 - 32) / 1.8


def test_a_number_for_a_cylinder_and_a_repair_by_name_are_taken(knowledge: Knowledge) -> None:
    repair = next(iter(knowledge.repairs.values()))
    text = f"title: 7\nobservations:\n  - white_exhaust: no\n    cylinder: 3\ndone:\n  - repair: '{repair.name}'\n  - washed it\n"
    case = read_case(None, text, knowledge)
    assert (case.title, case.observations[0].cylinder) == ("7", "3")
    assert [(d.repair, d.what) for d in case.done] == [(repair.id, None), (None, "washed it")]


@pytest.mark.slow
def test_every_worked_case_reads(knowledge: Knowledge) -> None:
    from diagnose.cli.places import packed

    paths = sorted(packed("cases").glob("*.yaml"))
    assert paths
    assert all(isinstance(read_case(p, None, knowledge), Case) for p in paths)


def _refused(text: str, knowledge: Knowledge) -> list[str]:
    """Messages of a refusal; nothing where it was read."""
    try:
        read_case(None, text, knowledge)
    except InputError as why:
        return [p.message for p in why.problems]
    return []


_WORD = st.sampled_from(
    ["yes", "no", "unsure", "0.4 V", "13 psi", "-3", "1e999", ".nan", "", "?", "warm", "{", "[a", "x" * 300, "°C", "1 1 1", "٣ V"]
)
_LEAF = st.one_of(_WORD, st.text(max_size=8), st.integers(), st.floats(), st.none(), st.booleans())
_ANY = st.recursive(_LEAF, lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(_WORD, inner, max_size=3)), max_leaves=5)


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_written_is_read_or_refused_with_a_reason(data: st.DataObject, real_knowledge: Knowledge) -> None:
    names = [*real_knowledge.observable(), *Conditions.model_fields, "of", "answer", "foo"]
    observation = st.dictionaries(st.sampled_from(names), _ANY, max_size=4)
    vehicle = st.dictionaries(st.sampled_from([*Vehicle.model_fields, "foo"]), _ANY, max_size=4)
    parts = {"vehicle": st.one_of(vehicle, _ANY), "observations": st.one_of(st.lists(st.one_of(observation, _ANY), max_size=4), _ANY)}
    others = dict.fromkeys(("title", "why_here", "complaint", "done", "invented", "bar"), _ANY)
    raw = data.draw(st.fixed_dictionaries({}, optional={**parts, **others}))
    assert all(_refused(json.dumps(raw), real_knowledge))


@given(st.one_of(st.text(max_size=60), st.binary(max_size=60).map(lambda b: b.decode("latin-1"))))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_at_all_is_read_or_refused_with_a_reason(real_knowledge: Knowledge, text: str) -> None:
    assert all(_refused(text, real_knowledge))
