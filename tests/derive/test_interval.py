"""When the coolant is due: dates with their spread, and refusals where the readings cannot tell."""

from __future__ import annotations

import random
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.interval import Reading, due_by_maker, due_by_trend, earliest, overdue, trend
from diagnose.derive.measure import CannotJudge, Measure


def test_a_half_spent_reading_is_a_date_and_not_an_alarm() -> None:
    """New 10, half spent at 7 after three years, spent at 4: due about year six, and not now."""
    due = due_by_trend([Reading(0.0, 10.0, 0.5), Reading(3.0, 7.0, 0.5)], 4.0, falling=True)
    assert due.value == pytest.approx(6.0)
    assert 0.5 < due.sd < 2.5
    assert overdue(due, 3.0) < 0.05


def test_a_spent_reading_lies_in_the_past() -> None:
    due = due_by_trend([Reading(0.0, 10.0, 0.5), Reading(4.0, 3.0, 0.5)], 4.0, falling=True)
    assert due.value < 4.0
    assert overdue(due, 5.0) > 0.9


def test_the_line_matches_least_squares_by_hand() -> None:
    """Normal equations for (0, 1), (1, 3), (2, 4): slope 1.5, mean 8/3."""
    line = trend([Reading(0, 1, 1), Reading(1, 3, 1), Reading(2, 4, 1)])
    assert line.slope == pytest.approx(1.5)
    assert line.level == pytest.approx(8 / 3)
    assert line.slope_sd == pytest.approx(1 / sqrt(2))


def test_the_line_matches_a_general_library() -> None:
    """numpy.polyfit with weights, as a general-purpose reference."""
    numpy = pytest.importorskip("numpy")
    points = [Reading(0, 9.7, 0.4), Reading(1.5, 8.1, 0.8), Reading(2.2, 8.3, 0.4), Reading(4.0, 6.0, 0.6)]
    slope, at_zero = numpy.polyfit([p.years for p in points], [p.value for p in points], 1, w=[1 / p.sd for p in points])
    line = trend(points)
    assert line.slope == pytest.approx(slope)
    assert line.level - line.slope * line.centre == pytest.approx(at_zero)


def test_stated_spread_covers_simulated_wear() -> None:
    """200 seeded histories of straight wear with noise: the true date lies within 2 sd in at least 90 %."""
    inside = judged = 0
    for seed in range(200):
        chance = random.Random(seed)
        rate = chance.uniform(0.5, 2.0)
        dates = sorted(chance.uniform(0.0, 4.0) for _ in range(chance.randint(3, 6)))
        points = [Reading(t, 10.0 - rate * t + chance.gauss(0.0, 0.4), 0.4) for t in dates]
        try:
            due = due_by_trend(points, 3.0, falling=True)
        except CannotJudge:
            continue
        judged += 1
        inside += abs(due.value - 7.0 / rate) <= 2 * due.sd
    assert judged > 150
    assert inside >= 0.9 * judged


def test_readings_that_contradict_each_other_are_refused_or_wide() -> None:
    with pytest.raises(CannotJudge, match="no clear trend"):
        due_by_trend([Reading(0, 10, 0.3), Reading(1, 5, 0.3), Reading(2, 9, 0.3), Reading(3, 6, 0.3)], 4.0, falling=True)
    clean = due_by_trend([Reading(t, 10 - t, 0.3) for t in range(5)], 2.0, falling=True)
    rough = due_by_trend([Reading(t, 10 - t + (0.7 if t % 2 else -0.7), 0.3) for t in range(5)], 2.0, falling=True)
    assert rough.sd > 1.5 * clean.sd


@pytest.mark.parametrize("points", [[], [Reading(1.0, 5.0, 0.5)], [Reading(1.0, 5.0, 0.5), Reading(1.0, 6.0, 0.5)]])
def test_too_few_dates_are_refused(points: list[Reading]) -> None:
    with pytest.raises(CannotJudge, match="two dates"):
        due_by_trend(points, 4.0, falling=True)


def test_a_trend_against_wear_is_refused() -> None:
    with pytest.raises(CannotJudge, match="topped up"):
        due_by_trend([Reading(0, 6, 0.3), Reading(2, 9, 0.3)], 4.0, falling=True)


def test_voltage_rises_towards_its_limit_whose_spread_counts() -> None:
    """The limits in use (0.15 to 0.5 V) disagree: the date must be wide."""
    points = [Reading(0, 0.05, 0.02), Reading(2, 0.15, 0.02), Reading(4, 0.25, 0.02)]
    sharp, honest = (due_by_trend(points, 0.4, falling=False, limit_sd=sd) for sd in (0.0, 0.12))
    assert sharp.value == pytest.approx(7.0, abs=0.1)
    assert honest.sd > sharp.sd + 1.0


def test_readings_without_accuracy_are_refused() -> None:
    with pytest.raises(CannotJudge, match="accuracy"):
        trend([Reading(0, 1, 0.0), Reading(1, 2, 0.0)])


@given(st.floats(1.0, 10.0), st.floats(0.1, 3.0), st.floats(1.0, 10.0), st.floats(0.1, 3.0))
def test_the_earlier_of_two_is_before_both(a: float, sa: float, b: float, sb: float) -> None:
    first = earliest(Measure(a, sa, "years"), Measure(b, sb, "years"))
    assert first.value <= min(a, b) + 1e-9
    assert first.sd <= max(sa, sb) + 1e-6


def test_the_earlier_of_two_against_simulation() -> None:
    """Clark 1961 is exact for two normals: mean and spread of 200,000 seeded draws."""
    chance = random.Random(1)
    draws = [min(chance.gauss(5.0, 1.0), chance.gauss(6.0, 2.0)) for _ in range(200_000)]
    mean = sum(draws) / len(draws)
    sd = sqrt(sum((d - mean) ** 2 for d in draws) / len(draws))
    first = earliest(Measure(5.0, 1.0, "years"), Measure(6.0, 2.0, "years"))
    assert first.value == pytest.approx(mean, abs=0.02)
    assert first.sd == pytest.approx(sd, abs=0.02)


def test_distance_may_end_it_first() -> None:
    due = due_by_maker(2.0, 10.0, 100_000.0, Measure(50_000.0, 5_000.0, "km/year"))
    assert due.value == pytest.approx(4.0, abs=0.1)


def test_exact_dates_compare_without_spread() -> None:
    assert earliest(Measure(3.0, 0.0, "years"), Measure(4.0, 0.0, "years")).value == 3.0


@pytest.mark.parametrize(("life", "km", "rate"), [(None, None, None), (None, 1e5, None), (0.0, None, None), (None, 1e5, 0.0)])
def test_a_life_that_cannot_be_used_is_refused(life: float | None, km: float | None, rate: float | None) -> None:
    with pytest.raises(CannotJudge):
        due_by_maker(0.0, life, km, None if rate is None else Measure(rate, 1.0, "km/year"))
