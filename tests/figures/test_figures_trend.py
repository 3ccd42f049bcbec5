"""Readings on several days: the last counts for today, all of them for the date (a least-squares line is the reference)."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import numpy as np
import pytest

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding

DAYS = ("2024-05-01", "2025-05-01", "2026-05-01")


def assessed(knowledge: Knowledge, *observations: dict[str, Any], done: tuple[dict[str, Any], ...] = ()) -> Assessment:
    case = Case.model_validate({"why_here": "routine", "observations": list(observations), "done": list(done)})
    return assess(case, knowledge, plan=False)


def volts(*values: float) -> list[dict[str, Any]]:
    return [{"coolant_voltage": f"{v} V", "on": day} for v, day in zip(values, DAYS, strict=False)]


def trend_of(told: Assessment, finding: str = "coolant_voltage") -> str:
    return next(r for u in told.understood if u.finding == finding for r in u.reasons if r.startswith("Trend"))


def test_a_rising_voltage_is_given_the_date_of_the_least_squares_line(knowledge: Knowledge) -> None:
    values = (0.10, 0.19, 0.31)
    years = [(dt.date.fromisoformat(d) - dt.date(2026, 5, 1)).days / 365.25 for d in DAYS]
    slope, level = np.polyfit(years, values, 1)  # general reference: numpy's least squares
    due = dt.date(2026, 5, 1) + dt.timedelta(days=(0.4 - level) / slope * 365.25)
    assert f"0.4 V about {due:%B %Y}" in trend_of(assessed(knowledge, *volts(*values)))


def test_only_the_last_reading_counts_for_today(knowledge: Knowledge) -> None:
    alone = assessed(knowledge, volts(0.31)[0] | {"on": DAYS[-1]})
    all_three = assessed(knowledge, *volts(0.10, 0.19, 0.31))
    assert {c.id: c.chance for c in alone.ranking} == {c.id: c.chance for c in all_three.ranking}
    assert all_three.disagrees == alone.disagrees


def test_readings_that_do_not_move_or_go_back_give_no_date(knowledge: Knowledge) -> None:
    assert "no clear trend" in trend_of(assessed(knowledge, *volts(0.20, 0.21, 0.20)))
    assert "against wear" in trend_of(assessed(knowledge, *volts(0.45, 0.30, 0.12)))


def test_what_was_read_before_the_coolant_was_changed_makes_no_trend(knowledge: Knowledge) -> None:
    told = assessed(knowledge, *volts(0.10, 0.30, 0.12), done=({"what": "coolant changed", "on": "2025-09-01"},))
    assert "two dates" in trend_of(told)


def test_one_sample_written_twice_counts_once(knowledge: Knowledge) -> None:
    twice = [*volts(0.10, 0.19, 0.31), *volts(0.10, 0.19, 0.31)[:1]]
    assert trend_of(assessed(knowledge, *twice)) == trend_of(assessed(knowledge, *volts(0.10, 0.19, 0.31)))


def test_an_acidity_falls(knowledge: Knowledge) -> None:
    told = assessed(knowledge, *({"coolant_ph": v, "on": d} for v, d in zip(("9.6", "8.6", "7.9"), DAYS, strict=True)))
    found = re.search(r"7\.3 pH about \w+ (\d{4})", trend_of(told, "coolant_ph"))
    assert found
    assert found[1] in ("2026", "2027")


def test_wears_needs_a_number() -> None:
    entry = {
        "id": "smell", "name": "sour smell", "ask": "How does it smell?", "yes_is": "Sour.", "no_is": "Of nothing.",
        "place": "coolant", "misread": 0.01, "source": "estimate",
    }  # fmt: skip
    Finding.model_validate(entry)
    with pytest.raises(ValueError, match="wears"):
        Finding.model_validate({**entry, "wears": "rising"})
