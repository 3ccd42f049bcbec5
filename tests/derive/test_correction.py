"""Drain and add: the balance of volumes, played through litre by litre."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.derive.correction import correct, refill, target_fraction
from diagnose.derive.draining import after_rounds, old_left, rounds_to_purity
from diagnose.derive.freezing import freezing_point
from diagnose.derive.glycol import glycol_from_concentrate
from diagnose.derive.measure import CannotJudge, Measure


def now(value: float, sd: float = 0.02) -> Measure:
    return Measure(value, sd, "concentrate fraction")


def played(volume: float, present: float, strength: float, level: float, rounds: int, missing: float) -> float:
    """The same done by hand with litres of concentrate and of everything."""
    litres, concentrate = volume - missing, present * (volume - missing)
    for _ in range(rounds):
        out = max(0.0, level - (volume - litres))
        concentrate -= out * concentrate / litres
        litres -= out
        concentrate += (volume - litres) * strength
        litres = volume
    return (concentrate + (volume - litres) * strength) / volume


@given(
    st.floats(3.0, 40.0), st.floats(0.0, 0.9), st.sampled_from([0.4, 0.5, 0.6]), st.sampled_from([1.0, 0.5, 0.0]),
    st.floats(0.3, 1.0), st.floats(0.0, 0.25),
)  # fmt: skip
def test_a_plan_played_through_reaches_the_target(
    volume: float, present: float, target: float, strength: float, part: float, low: float
) -> None:
    try:
        plan = correct(volume, now(present), target, strength, part * volume, low * volume)
    except CannotJudge:
        assume(False)
        return
    assert played(volume, present, strength, plan.level_l, plan.rounds, plan.missing_l) == pytest.approx(plan.reached.value, abs=1e-9)
    assert plan.reached.value == pytest.approx(target, abs=0.021)
    assert plan.level_l <= part * volume + 1e-9
    assert plan.added_l == pytest.approx(plan.drained_l + plan.missing_l, abs=1e-6)


def test_textbook_case() -> None:
    """8 L at 30 % to 50 % with concentrate: 8 · (0.5 - 0.3)/(1 - 0.3) = 2.286 L. Arithmetic taught everywhere."""
    plan = correct(8.0, now(0.3), 0.5, 1.0)
    assert (plan.rounds, plan.drained_l, plan.added_l) == (1, pytest.approx(2.2857, abs=1e-3), pytest.approx(2.2857, abs=1e-3))


def test_topping_up_alone_may_do() -> None:
    plan = correct(10.0, now(0.45), 0.5, 1.0, missing_l=1.0)
    assert plan.rounds == 0
    assert (plan.drained_l, plan.added_l) == (0.0, 1.0)


def test_overshooting_by_topping_up_names_the_right_mix() -> None:
    with pytest.raises(CannotJudge, match=r"mix of 65 %|mix of 65%"):
        correct(10.0, now(0.45), 0.5, 1.0, missing_l=2.5)


def test_radiator_only_needs_rounds() -> None:
    plan = correct(8.0, now(0.2), 0.5, 1.0, drainable_l=2.0)
    assert plan.rounds == 2


def test_premix_at_the_target_only_creeps() -> None:
    plan = correct(8.0, now(0.3), 0.5, 0.5, drainable_l=4.0)
    assert plan.rounds == 4
    assert plan.reached.value == pytest.approx(0.48, abs=0.001)


@pytest.mark.parametrize(("present", "strength"), [(0.3, 0.0), (0.3, 0.35), (0.8, 1.0)])
def test_the_wrong_product_is_refused(present: float, strength: float) -> None:
    with pytest.raises(CannotJudge):
        correct(8.0, now(present), 0.5, strength)


@pytest.mark.parametrize("target", [0.61, 0.7, 0.3])
def test_targets_stop_at_sixty_percent(target: float) -> None:
    """Trade notes: correction targets stop at 60 %. ASTM D3306: at least 40 %."""
    with pytest.raises(CannotJudge, match="outside"):
        correct(8.0, now(0.3), target, 1.0)
    with pytest.raises(CannotJudge, match="outside"):
        refill(8.0, 1.0, 0.0, target)


def test_doubt_in_the_reading_and_the_volume_stays() -> None:
    sure, unsure = (correct(8.0, now(0.3, sd), 0.5, 1.0).reached.sd for sd in (0.0, 0.05))
    assert unsure > sure > 0


@given(st.floats(2.0, 30.0), st.floats(0.1, 1.0), st.integers(1, 8))
def test_what_is_left_is_a_power(volume: float, part: float, rounds: int) -> None:
    assert old_left(volume, part * volume, rounds) == pytest.approx((1 - part) ** rounds, abs=1e-9)
    assert after_rounds(1.0, 0.0, volume, part * volume, rounds) == pytest.approx(old_left(volume, part * volume, rounds))


@given(st.floats(2.0, 30.0), st.floats(0.15, 0.95), st.floats(0.01, 0.6))
def test_rounds_to_purity_are_enough_and_not_one_too_many(volume: float, part: float, left: float) -> None:
    rounds = rounds_to_purity(volume, part * volume, left)
    assert old_left(volume, part * volume, rounds) <= left * (1 + 1e-6)
    assert rounds == 1 or old_left(volume, part * volume, rounds - 1) > left * (1 - 1e-6)


@given(st.floats(4.0, 30.0), st.floats(0.0, 0.45), st.floats(0.0, 0.6), st.sampled_from([0.4, 0.5, 0.6]))
def test_a_refill_balances(volume: float, left: float, present: float, target: float) -> None:
    try:
        product, water = refill(volume, left * volume, present, target)
    except CannotJudge:
        return
    assert product >= 0
    assert water >= -1e-9
    assert product + water == pytest.approx(volume * (1 - left))
    assert (product + present * left * volume) / volume == pytest.approx(target)


def test_water_left_after_a_flush_needs_stronger_filling() -> None:
    assert refill(10.0, 3.0, 0.0, 0.5) == pytest.approx((5.0, 2.0))
    with pytest.raises(CannotJudge, match="drain more"):
        refill(10.0, 6.0, 0.0, 0.5)
    with pytest.raises(CannotJudge, match="drain more"):
        refill(10.0, 3.0, 0.0, 0.5, strength=0.5)


@pytest.mark.parametrize("glycol", ["eg", "pg"])
@pytest.mark.parametrize("coldest", [10.0, -15.0, -25.0, -35.0, -40.0])
def test_the_climate_sets_the_target(glycol: str, coldest: float) -> None:
    share = target_fraction(glycol, coldest)  # type: ignore[arg-type]
    assert 0.40 <= share <= 0.60
    assert freezing_point(glycol_from_concentrate(share, glycol), glycol) <= coldest - 5.0 + 0.1  # type: ignore[arg-type]


def test_too_cold_for_any_allowed_mix() -> None:
    with pytest.raises(CannotJudge, match="60 %"):
        target_fraction("eg", -50.0)


@pytest.mark.parametrize(("volume", "drain"), [(0.0, 1.0), (8.0, 0.0), (8.0, 9.0)])
def test_impossible_volumes_are_refused(volume: float, drain: float) -> None:
    with pytest.raises(CannotJudge):
        old_left(volume, drain)
