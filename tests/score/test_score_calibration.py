"""Calibration of chances that are right, and of chances that are too sure of themselves."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.score.calibration import calibration, error, recalibration

N = 5_000


def outcomes(p: np.ndarray, seed: int = 1) -> list[bool]:
    return list(np.random.default_rng(seed).random(len(p)) < p)


def test_chances_that_are_right() -> None:
    p = np.random.default_rng(0).uniform(0.02, 0.98, N)
    found = calibration(list(p), outcomes(p), range(N), seed=0)
    assert found["error"]["value"] < 0.03
    assert found["slope"]["low"] <= 1.0 <= found["slope"]["high"]
    assert found["intercept"]["low"] <= 0.0 <= found["intercept"]["high"]
    # Expected squared error of right chances is the mean of p (1 - p); for these uniform ones 1/4 - 0.96^2 / 12 = 0.1732.
    assert found["brier"] == pytest.approx(0.1732, abs=0.01)


def test_chances_that_are_twice_too_sure_have_a_slope_of_one_half() -> None:
    """The log-odds told are twice the true ones, so the truth lies on a line of slope 1/2 (Cox 1958: by construction)."""
    p = np.random.default_rng(0).uniform(0.05, 0.95, N)
    told = 1 / (1 + np.exp(-2 * np.log(p / (1 - p))))
    found = calibration(list(told), outcomes(p), range(N), seed=0)
    assert found["slope"]["value"] == pytest.approx(0.5, abs=0.05)
    assert found["error"]["value"] > 0.08


def test_chances_that_are_always_too_low_have_an_intercept() -> None:
    """Log-odds told are 1 too low: intercept 1, slope 1."""
    p = np.random.default_rng(0).uniform(0.05, 0.95, N)
    told = 1 / (1 + np.exp(-(np.log(p / (1 - p)) - 1)))
    intercept, slope = recalibration(told, np.array(outcomes(p), dtype=float))
    assert intercept == pytest.approx(1.0, abs=0.15)
    assert slope == pytest.approx(1.0, abs=0.1)


def test_the_error_by_hand() -> None:
    # Two bins of two: |0.2 - 0.5| and |0.8 - 1|, each half of all: 0.15 + 0.10.
    p, y = np.array([0.2, 0.2, 0.8, 0.8]), np.array([0.0, 1.0, 1.0, 1.0])
    assert error(p, y, np.array([0, 0, 1, 1])) == pytest.approx(0.25)


def test_bins_hold_equal_numbers() -> None:
    p = np.random.default_rng(0).beta(0.5, 3.0, 1003)
    found = calibration(list(p), outcomes(p), range(1003), seed=0)
    assert {b["of"] for b in found["bins"]} == {100, 101}
    assert [b["told"] for b in found["bins"]] == sorted(b["told"] for b in found["bins"])


def test_where_all_or_nothing_came_there_is_no_line_and_no_crash() -> None:
    found = calibration([0.2, 0.7, 0.9], [True, True, True], [0, 1, 2], seed=0)
    assert found["slope"]["value"] is None
    assert calibration([], [], [], seed=0) == {"of": 0}
