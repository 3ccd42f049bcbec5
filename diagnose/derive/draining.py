"""What draining leaves behind, and how clean repeated drain-and-fill makes a system. Mixed well (run warm) each time."""

from __future__ import annotations

from math import ceil, log

from diagnose.derive.measure import CannotJudge


def after_rounds(present: float, strength: float, volume_l: float, drain_l: float, rounds: int) -> float:
    """Concentrate fraction after `rounds` of draining `drain_l` and filling with `strength`, mixed well each time.

    >>> after_rounds(0.5, 0.0, 10.0, 5.0, 2)
    0.125
    """
    return strength + (present - strength) * (1.0 - share(volume_l, drain_l)) ** rounds


def rounds_to_purity(volume_l: float, drain_l: float, old_left: float) -> int:
    """Drain-and-fill rounds until at most `old_left` (fraction 0..1) of the old fluid remains; the engine is run warm between.

    >>> rounds_to_purity(10.0, 6.0, 0.05)
    4
    """
    if not 0.0 < old_left < 1.0:
        raise CannotJudge("old fluid left must lie between 0 and 1; no number of rounds removes all of it")
    keep = 1.0 - share(volume_l, drain_l)
    return 1 if keep <= old_left else ceil(log(old_left) / log(keep) - 1e-9)


def old_left(volume_l: float, drain_l: float, rounds: int = 1) -> float:
    """Fraction of the old fluid that remains after `rounds`; with one round, what a radiator-only drain leaves.

    >>> round(old_left(10.0, 4.0), 2)
    0.6
    """
    return float((1.0 - share(volume_l, drain_l)) ** rounds)


def share(volume_l: float, drain_l: float) -> float:
    """The part (0..1) that `drain_l` [L] is of `volume_l` [L]; CannotJudge where it makes no sense.

    >>> share(10.0, 4.0)
    0.4
    """
    if volume_l <= 0:
        raise CannotJudge(f"a system volume of {volume_l} L makes no sense")
    if not 0.0 < drain_l <= volume_l + 1e-9:
        raise CannotJudge(f"{drain_l:.2f} L drained from {volume_l:.2f} L: must be more than 0 and not more than the volume")
    return min(1.0, drain_l / volume_l)
