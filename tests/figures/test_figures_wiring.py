"""Every reading has a figure, every figure a reading, every part a finding; words stay words; slips are refused in words."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import pytest

from diagnose.errors import InputError
from diagnose.figures.figures import FIGURES
from diagnose.knowledge.knowledge import BUILT_IN_SOURCES, Knowledge

Read = Any


def test_every_reading_names_a_figure_that_loads_and_findings_that_exist(knowledge: Knowledge) -> None:
    assert knowledge.readings
    for reading in knowledge.readings.values():
        assert callable(FIGURES[reading.figure].load())
        assert {reading.finding, *reading.feeds.values()} <= set(knowledge.findings)
        assert reading.source in {*knowledge.sources, *BUILT_IN_SOURCES}


def test_no_figure_is_without_a_reading(knowledge: Knowledge) -> None:
    assert set(FIGURES) == {r.figure for r in knowledge.readings.values()}


def test_a_finding_is_taken_over_by_one_reading_at_most(knowledge: Knowledge) -> None:
    taken = [r.finding for r in knowledge.readings.values() if r.takes != "nothing"]
    assert len(taken) == len(set(taken))


def test_words_and_bands_are_answered_as_before(read: Read) -> None:
    found = read({}, {"coolant_voltage": "spent"}, {"boiled_over": "yes"}, {"coolant_voltage": "not_looked_at"})
    assert found["coolant_voltage"][0].likelihood == (0.0, 0.0, 1.0)
    assert len(found["coolant_voltage"]) == 1
    assert found["boiled_over"][0].likelihood == (0.0, 1.0)


@pytest.mark.parametrize(
    ("observation", "said"),
    [
        ({"freezing_point": "12 V"}, "unit"),
        ({"freezing_point": "unsure"}, "not a number"),
        ({"compression": {"a": 12}}, "not a cylinder"),
        ({"hose_temperatures": {"top": "90 degC"}}, "not known here"),
        ({"neck_gas": {"argon": "1 %"}, "engine": "warm"}, "not a gas"),
        ({"top_ups": {"2026-13-01": "0.3 L", "2026-05-01": "0.2 L"}}, "not a day"),
        ({"pressure_record": {0: "0.1 bar", 2: "0.2 bar"}, "gas_volume": "1 L"}, "no temperature"),
        ({"pressure_test": {0: "1 bar"}}, "no test"),
        ({"coolant_filled": "2021-19-40"}, "not a day"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(read: Read, observation: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        read({"fuel": "petrol"}, observation)


def test_several_slips_are_told_at_once(read: Read) -> None:
    with pytest.raises(InputError) as caught:
        read({}, {"freezing_point": "12 V"}, {"top_ups": {"x": "1 L"}})
    assert len(caught.value.problems) == 2


def test_the_figures_module_alone_loads_no_units_library_and_no_derivation() -> None:
    code = "import sys, diagnose.figures.figures; print([m for m in ('pint', 'numpy', 'diagnose.derive.boiling') if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
