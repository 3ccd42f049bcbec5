"""Verdicts on logs from the physical model. Ranges, columns and what may not be told are fixed in `trace_scenarios.py`."""

from __future__ import annotations

import dataclasses
from collections import defaultdict

import numpy as np
import pytest
from trace_scenarios import SCENARIOS, Made, make
from trace_scoring import falsely_accused, is_right, verdict_of

from diagnose.derive.measure import CannotJudge
from diagnose.derive.trace.patterns import HEALTHY, PATTERNS, STATES, TABLES
from diagnose.derive.trace.trip import Trip
from diagnose.derive.trace.verdict import Verdict, judge, words

Judged = list[tuple[Made, Verdict]]
SEEDS_OF_THE_EXAMINATION = 4051  # other seeds were used while the tables were written


def _by_truth(judged: Judged) -> dict[str, Judged]:
    out: dict[str, Judged] = defaultdict(list)
    for made, verdict in judged:
        out[made.truth].append((made, verdict))
    return out


@pytest.fixture(scope="module")
def few() -> Judged:
    """Twenty logs of every scenario."""
    return [(m, verdict_of(m)) for m in make(20, first=SEEDS_OF_THE_EXAMINATION)]


@pytest.mark.parametrize("pattern", PATTERNS)
def test_twenty_of_a_scenario_are_read_right_or_rightly_left_open(few: Judged, pattern: str) -> None:
    judged = _by_truth(few)[pattern]
    right = np.mean([is_right(m, v) for m, v in judged])
    # twenty cannot show 95 %: a detector that holds 95 % fails here less than once in a hundred
    assert right >= 0.80, [(m.scenario, m.seed, v.pattern) for m, v in judged if not is_right(m, v)]


def test_few_sound_vehicles_are_called_faulty(few: Judged) -> None:
    sound = [(m, v) for m, v in few if m.truth in HEALTHY]
    assert np.mean([falsely_accused(m, v) for m, v in sound]) <= 0.02


def test_not_everything_is_left_open(few: Judged) -> None:
    """A detector that always says `cannot tell` would be right too often: plain cases must be named."""
    named = [v.pattern is not None for m, v in few if m.truth in ("normal", "bad_sensor", "air_pocket") and m.scenario != "not warmed up"]
    assert np.mean(named) > 0.8


def test_a_hot_day_uphill_is_no_fault(few: Judged) -> None:
    judged = [(m, v) for m, v in few if m.scenario == "hot day uphill"]
    assert max(float(np.nanmax(m.coolant)) for m, _ in judged) > 98  # it did run hot
    assert not any(falsely_accused(m, v) for m, v in judged)


def test_an_engine_that_did_not_warm_up_is_not_judged(few: Judged) -> None:
    for made, verdict in few:
        if made.scenario == "not warmed up":
            assert verdict.pattern is None
            assert any("not warmed up" in d.reason for d in verdict.cannot_tell)


def test_temperature_alone_does_not_tell_fan_from_flow() -> None:
    """Issue's own example: without speed and fan a climbing reading is either."""
    made = [m for m in make(30, first=77, scenarios=("no fan",)) if not m.masked]
    assert len(made) > 5
    for m in made:
        verdict = judge(Trip.of(m.seconds, m.coolant))
        open_ = set(verdict.possible if verdict.pattern is None else ()) | {p for d in verdict.cannot_tell for p in d.patterns}
        assert verdict.pattern != "no_fan"
        assert "no_fan" in open_ or verdict.pattern == "late", (m.seed, verdict.pattern, open_)


@pytest.mark.slow
@pytest.mark.parametrize("pattern", PATTERNS)
def test_two_hundred_of_a_scenario(many: Judged, pattern: str) -> None:
    judged = _by_truth(many)[pattern]
    right = float(np.mean([is_right(m, v) for m, v in judged]))
    print(f"{pattern}: {len(judged)} logs, right {right:.3f}")
    assert right >= 0.95 - SHORTFALL.get(pattern, 0.0)


@pytest.mark.slow
def test_two_hundred_sound_of_a_kind_called_faulty(many: Judged) -> None:
    sound = [(m, v) for m, v in many if m.truth in HEALTHY]
    assert np.mean([falsely_accused(m, v) for m, v in sound]) <= 0.02


# What was measured below the aim of 95 %, told and held so that it does not get worse. Empty is the aim.
SHORTFALL: dict[str, float] = {}


@pytest.fixture(scope="module")
def many() -> Judged:
    """Two hundred logs of every scenario."""
    return [(m, verdict_of(m)) for m in make(200, first=SEEDS_OF_THE_EXAMINATION)]


def test_band_chances_sum_to_one_for_every_state() -> None:
    for table in TABLES:
        assert set(table.named) <= {*STATES, "hardly any flow"}, table.figure
        for state in STATES:
            chances = table.chances(state)
            assert len(chances) == len(table.edges) + 1, (table.figure, state)
            assert sum(chances) == pytest.approx(1.0, abs=1e-9), (table.figure, state)


def test_every_figure_names_its_rows_and_every_likelihood_is_one_at_most(few: Judged) -> None:
    for made, verdict in few:
        assert set(verdict.likelihood) == set(PATTERNS)
        assert max(verdict.likelihood.values()) == pytest.approx(1.0)
        for figure in verdict.figures:
            assert 1 <= figure.rows[0] <= figure.rows[1] <= len(made.seconds), figure
            assert figure.measure.formula


def test_same_trip_same_verdict(few: Judged) -> None:
    made, verdict = few[0]
    assert dataclasses.asdict(verdict_of(made)) == dataclasses.asdict(verdict)


def test_no_reading_at_all_is_said() -> None:
    verdict = judge(Trip.of(np.arange(100.0), np.full(100, np.nan)))
    assert verdict.pattern is None
    assert words(verdict).startswith("cannot tell")


def test_markings_out_of_range_are_refused() -> None:
    with pytest.raises(CannotJudge, match="60 to 120"):
        judge(Trip.of(np.arange(10.0), np.full(10, 20.0)), nominal=20)


def test_thermostat_monitor_distance_is_an_edge(reference: object) -> None:
    """13 CCR 1968.2 (e)(10.2.1)(A)(ii): within 20 °F (11.1 K) of nominal (tests/reference/thermostat_sensor.csv)."""
    rows = reference("thermostat_sensor")  # type: ignore[operator]
    threshold = next(float(r["value"]) for r in rows if r["item"].startswith("example P0128"))
    level = next(t for t in TABLES if t.figure == "regulates above nominal")
    assert level.edges[0][0] == pytest.approx(threshold - 88.0, abs=0.05)


def test_scenarios_cover_every_pattern() -> None:
    assert set(SCENARIOS.values()) == set(PATTERNS)
