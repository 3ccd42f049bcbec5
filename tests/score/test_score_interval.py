"""Intervals against published values."""

from __future__ import annotations

import pytest

from diagnose.score.interval import Proportion, bootstrap, sign_test, wilson

# R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (score interval without continuity correction);
# the four proportions and their bounds are from memory.
NEWCOMBE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]


@pytest.mark.parametrize(("count", "of", "low", "high"), NEWCOMBE)
def test_wilson_as_published(count: int, of: int, low: float, high: float) -> None:
    assert wilson(count, of) == pytest.approx((low, high), abs=5e-5)


def test_wilson_is_symmetric_and_stays_within_nought_and_one() -> None:
    for count in range(31):
        low, high = wilson(count, 30)
        other = wilson(30 - count, 30)
        assert 0.0 <= low <= count / 30 <= high <= 1.0
        assert (low, high) == pytest.approx((1 - other[1], 1 - other[0]))


@pytest.mark.parametrize(("count", "of"), [(0, 0), (3, 2), (-1, 5)])
def test_what_is_no_proportion_is_refused(count: int, of: int) -> None:
    with pytest.raises(ValueError, match="is not a proportion"):
        wilson(count, of)


def test_nothing_counted_has_no_share() -> None:
    assert Proportion(0, 0).document() == {"count": 0, "of": 0, "share": None, "low": None, "high": None}


def test_sign_test() -> None:
    # Exact binomial by hand: of 10, at most 1 on one side: 2 (1 + 10) / 1024.
    assert sign_test(9, 1) == pytest.approx(22 / 1024)
    assert sign_test(3, 3) == 1.0
    assert sign_test(0, 0) == 1.0


def test_the_bootstrap_is_near_the_normal_interval_and_the_same_for_a_seed() -> None:
    row = [i / 400 for i in range(401)]
    found = bootstrap(row, 3)
    # standard error of a mean: the deviation over the root of the number (any textbook); here 0.2894 / 20.02 = 0.01445
    assert found.mean == pytest.approx(0.5)
    assert found.low == pytest.approx(0.5 - 1.96 * 0.01445, abs=0.003)
    assert found.high == pytest.approx(0.5 + 1.96 * 0.01445, abs=0.003)
    assert bootstrap(row, 3) == found
    assert bootstrap([], 3).mean is None
