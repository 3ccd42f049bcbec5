"""Correcting a mix: what to drain and what to add, in litres, and how clean repeated draining makes a system.

All strengths here are *concentrate fractions*: concentrate 1.0, a 50 % premix 0.5, water 0.0. Shrinkage on mixing (about 1 %) is
ignored. Use demineralised water; catch what is drained, it poisons pets and children.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.derive.curve import inverse
from diagnose.derive.draining import share
from diagnose.derive.freezing import freezing_point
from diagnose.derive.glycol import Glycol, fraction, glycol_from_concentrate
from diagnose.derive.margin import freezing_limit
from diagnose.derive.measure import CannotJudge, Measure

STRONGEST_TARGET = 0.60
"""No target above this: protection gains little, heat is carried worse. Source: US Army OD1001 (60/40 is the most), ASTM D4985."""

WEAKEST_TARGET = 0.40
"""No target below this, whatever the climate: inhibitor is dosed with the glycol. Source: ASTM D3306 clause 1.1, 40 to 70 %."""

CLOSE_ENOUGH = 0.02
"""A mix within this of its target is on target: no shop instrument sees the difference. Source: estimate."""

VOLUME_SD = 0.05
"""How well a system's volume is known, as a part of it. Source: estimate."""

MOST_ROUNDS = 12
SOURCE = "balance of volumes"


@dataclass(frozen=True)
class Correction:
    """How to reach a target: `rounds` times drain to `level_l` litres below the full mark and fill up with `strength`.

    `missing_l` is what was missing before, so the first draining yields less by that. No rounds: only fill up.
    `reached` is the concentrate fraction afterwards with its uncertainty.
    """

    strength: float
    rounds: int
    level_l: float
    missing_l: float
    reached: Measure

    @property
    def first_drain_l(self) -> float:
        """What runs out at the first draining [L]."""
        return max(0.0, self.level_l - self.missing_l) if self.rounds else 0.0

    @property
    def drained_l(self) -> float:
        """All that runs out [L]."""
        return self.first_drain_l + max(0, self.rounds - 1) * self.level_l

    @property
    def added_l(self) -> float:
        """All that is filled in [L]."""
        return self.rounds * self.level_l if self.rounds else self.missing_l


def target_fraction(glycol: Glycol, coldest_c: float | None = None, maker_minimum_c: float | None = None) -> float:
    """Concentrate fraction to aim for from the climate, in steps of 5 %.

    It freezes 5 K below the coldest place or at the maker's minimum [°C]. Between 0.40 and 0.60; CannotJudge where no allowed
    mix is cold enough.

    >>> target_fraction("eg", coldest_c=-20.0), target_fraction("eg", maker_minimum_c=-37.0), target_fraction("pg", coldest_c=5.0)
    (0.4, 0.5, 0.4)
    """
    limit = freezing_limit(coldest_c, maker_minimum_c)
    for step in range(round(WEAKEST_TARGET * 20), round(STRONGEST_TARGET * 20) + 1):
        if freezing_point(glycol_from_concentrate(step / 20, glycol), glycol) <= limit + 0.05:
            return step / 20
    coldest = freezing_point(glycol_from_concentrate(STRONGEST_TARGET, glycol), glycol)
    raise CannotJudge(
        f"{limit:.0f} °C is needed, but targets stop at 60 %, which freezes at {coldest:.0f} °C: plan a heater or a warm garage"
    )


def refill(volume_l: float, undrained_l: float, present: float, target: float, strength: float = 1.0) -> tuple[float, float]:
    """Litres of (product of `strength`, water) to fill a drained system in which `undrained_l` remain.

    `present` is the concentrate fraction of what remains. After a flush with water it is 0: the water left behind must be
    made up by stronger filling. CannotJudge where the room does not allow the target.

    >>> refill(10.0, 3.0, 0.0, 0.5)
    (5.0, 2.0)
    """
    _target(target)
    fraction(present, "present concentrate fraction")
    room = volume_l - undrained_l
    if undrained_l < 0 or room <= 0:
        raise CannotJudge(f"{undrained_l:.1f} L cannot stay behind in {volume_l:.1f} L")
    if not 0.0 < strength <= 1.0:
        raise CannotJudge(f"a product of {strength:.0%} concentrate cannot fill up to a target")
    product = (target * volume_l - present * undrained_l) / strength
    if not -1e-9 <= product <= room + 1e-9:
        best = (present * undrained_l + strength * room) / volume_l if product > room else present * undrained_l / volume_l
        raise CannotJudge(f"with {undrained_l:.1f} L left behind this fill reaches {best:.0%} and not {target:.0%}: drain more, or twice")
    return max(0.0, product), room - max(0.0, product)


def _target(target: float) -> None:
    if not WEAKEST_TARGET - 1e-9 <= target <= STRONGEST_TARGET + 1e-9:
        raise CannotJudge(f"a target of {target:.0%} is outside {WEAKEST_TARGET:.0%} to {STRONGEST_TARGET:.0%} concentrate")


def correct(
    volume_l: float, present: Measure, target: float, strength: float, drainable_l: float | None = None, missing_l: float = 0.0
) -> Correction:
    """How much to drain and to add of `strength` to bring a system from `present` to `target` (concentrate fractions).

    `volume_l` is the full system's. `drainable_l` is what one draining yields from the full system (radiator only, or all but
    an undrainable rest; default all), `missing_l` by how much it is low now. CannotJudge where this product cannot do it.

    >>> c = correct(8.0, Measure(0.3, 0.02, "concentrate fraction"), 0.5, 1.0)
    >>> c.rounds, round(c.drained_l, 2), round(c.reached.value, 3)
    (1, 2.29, 0.5)
    """
    _target(target)
    c, a = fraction(present.value, "present concentrate fraction"), fraction(strength, "strength of what is added")
    most = volume_l if drainable_l is None else drainable_l
    share(volume_l, most)
    if not 0.0 <= missing_l < volume_l:
        raise CannotJudge(f"{missing_l:.1f} L missing from {volume_l:.1f} L makes no sense")
    if missing_l > most + 1e-9:
        raise CannotJudge("more is missing than can be drained: give what drains from the full system")
    filled = (c * (volume_l - missing_l) + a * missing_l) / volume_l  # topped up first, nothing drained
    if abs(filled - target) <= CLOSE_ENOUGH:
        return _done(volume_l, present, a, 0, 0.0, missing_l)
    if (filled - target) * (c - target) < 0:
        need = (target * volume_l - c * (volume_l - missing_l)) / missing_l
        raise CannotJudge(
            f"topping up {missing_l:.1f} L with {a:.0%} overshoots: top up with a mix of {need:.0%} instead, nothing to drain"
        )
    if (a - target) * (target - filled) < -CLOSE_ENOUGH * abs(target - filled):
        raise CannotJudge(f"adding {a:.0%} can never bring {filled:.0%} to {target:.0%}")
    return _rounds(volume_l, present, target, a, most, missing_l)


def _rounds(volume_l: float, present: Measure, target: float, a: float, most: float, missing_l: float) -> Correction:
    """The fewest equal rounds that reach the target, draining at most `most` below the full mark in each."""
    # a product at the target's own strength only creeps towards it: stop when close enough
    creeping = abs(a - target) <= CLOSE_ENOUGH
    aim = target + (CLOSE_ENOUGH if present.value > target else -CLOSE_ENOUGH) if creeping else target
    for rounds in range(1, MOST_ROUNDS + 1):

        def reached(level: float, n: int = rounds) -> float:
            return _reached(present.value, a, volume_l, level, n, missing_l)

        level = inverse(reached, aim, missing_l, most)
        if level is not None:
            return _done(volume_l, present, a, rounds, level, missing_l)
    raise CannotJudge(f"draining {most:.1f} L of {volume_l:.1f} L misses {target:.0%} in {MOST_ROUNDS} rounds: drain more or add stronger")


def _reached(c: float, a: float, volume_l: float, level_l: float, rounds: int, missing_l: float) -> float:
    """Concentrate fraction after `rounds` of draining to `level_l` below full (0 rounds: filled up only)."""
    first = level_l if rounds else missing_l
    return a + (c - a) * (1.0 - first / volume_l) * (1.0 - level_l / volume_l) ** max(0, rounds - 1)


def _done(volume_l: float, present: Measure, a: float, rounds: int, level: float, missing_l: float) -> Correction:
    value = _reached(present.value, a, volume_l, level, rounds, missing_l)
    by_present = abs(value - _reached(present.value + 0.01, a, volume_l, level, rounds, missing_l)) / 0.01
    by_volume = abs(value - _reached(present.value, a, volume_l * (1 + VOLUME_SD), level, rounds, missing_l))
    sd = ((by_present * present.sd) ** 2 + by_volume**2) ** 0.5
    return Correction(a, rounds, level, missing_l, Measure(value, sd, "concentrate fraction", "volumes in balance", SOURCE))
