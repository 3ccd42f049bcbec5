"""Loss rate from top-ups. The limits are common practice; the arithmetic is checked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.loss import TopUp, loss_rate
from diagnose.derive.measure import CannotJudge


def test_rate_is_litres_over_distance():
    """By hand: 0.5 + 0.7 L over 400 + 800 km is 1 L per 1000 km; half a litre of reserve lasts 500 km."""
    loss = loss_rate([TopUp(0.5, 400), TopUp(0.7, 800)], reserve_l=0.5)
    assert loss.per_1000km is not None
    assert loss.km_left is not None
    assert loss.per_1000km.value == pytest.approx(1.0)
    assert loss.km_left.value == pytest.approx(500)
    assert loss.per_day is None
    assert loss.likelihood["leak"] > 0.8


def test_a_cupful_a_year_is_evaporation_and_a_litre_a_week_a_leak():
    """Common practice, no source."""
    assert loss_rate([TopUp(0.2, 15000, 365)]).likelihood["evaporation"] > 0.8
    assert loss_rate([TopUp(1.0, 300, 7), TopUp(0.9, 250, 7)]).likelihood["leak"] > 0.9
    assert loss_rate([TopUp(0.25, 1000, 30), TopUp(0.2, 1000, 30), TopUp(0.25, 1100, 33)]).likelihood["seep"] > 0.8


def test_what_the_loss_follows():
    """Constant per km, or constant per day, over three uneven intervals; two intervals cannot say."""
    by_km = [TopUp(0.2, 200, 30), TopUp(0.8, 800, 20), TopUp(0.4, 400, 60)]
    by_day = [TopUp(0.3, 200, 30), TopUp(0.2, 800, 20), TopUp(0.6, 400, 60)]
    assert loss_rate(by_km).follows == "distance"
    assert loss_rate(by_day).follows == "time"
    assert loss_rate(by_km[:2]).follows == "unclear"


@given(st.lists(st.tuples(st.floats(0.05, 2), st.floats(50, 2000), st.floats(1, 60)), min_size=1, max_size=6))
def test_the_cautious_date_is_never_later_than_the_likely_one(data):
    """Property: low_days <= days_left, bands sum to 1."""
    loss = loss_rate([TopUp(*d) for d in data])
    assert loss.low_days is not None
    assert loss.days_left is not None
    assert loss.low_days <= loss.days_left.value
    assert sum(loss.likelihood.values()) == pytest.approx(1)


@given(st.floats(0.05, 2), st.floats(0.01, 0.5))
def test_losing_more_never_looks_less_like_a_leak(litres, more):
    """Property: monotonic in the litres."""
    a, b = (loss_rate([TopUp(x, 1000)]).likelihood for x in (litres, litres + more))
    assert b["evaporation"] <= a["evaporation"] + 1e-9


def test_more_top_ups_make_the_rate_surer():
    """One interval is unsure; six alike are not."""
    one, six = (loss_rate([TopUp(0.4, 500)] * n).per_1000km for n in (1, 6))
    assert one is not None
    assert six is not None
    assert six.sd < one.sd / 2


def test_nothing_lost_lasts_for_ever_and_says_no_date():
    """A rate of nothing has no date."""
    none = loss_rate([TopUp(0.0, 1000, 30)])
    assert none.km_left is None
    assert none.likelihood["leak"] < 0.2


@pytest.mark.parametrize("bad", [[], [TopUp(0.5)], [TopUp(-1, 100)], [TopUp(0.5, 0)], [TopUp(500, 100)]])
def test_top_ups_that_give_no_rate_are_refused(bad):
    """None, no span, negative, no distance, impossible litres."""
    with pytest.raises(CannotJudge):
        loss_rate(bad)
