"""One sample of coolant with everything that was read on it, and what that makes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose.derive import instrument
from diagnose.derive.density import concentration_from_gravity
from diagnose.derive.floater import concentration_from_float, gravity_from_float, propylene_bounds
from diagnose.derive.freezing import concentration_from_freezing
from diagnose.derive.glycol import Glycol, kind
from diagnose.derive.identity import Identity, identify
from diagnose.derive.measure import CannotJudge, Measure
from diagnose.derive.mixture import combine, concentration_from_strip
from diagnose.derive.refraction import concentration_from_index as from_index
from diagnose.derive.refraction import concentration_from_scale as from_scale
from diagnose.derive.refraction import index_at_20, index_from_scale


@dataclass(frozen=True)
class Sample:
    """Readings of one sample; None is not measured. Temperatures [°C] are those of the coolant at that instrument.

    `float_c` is the mark of a float for ethylene glycol [°C], `gravity` a specific gravity, `scale_c` a refractometer's mark on the
    freezing scale of `scale`, `index` a refractive index, `freezing_c` a freezing point [°C], `strip` a concentrate fraction
    (0..1). The `..._sd` are the instruments' accuracies: specific gravity, K, index, K, concentrate fraction.
    """

    float_c: float | None = None
    float_temperature_c: float = instrument.SETTLED_AT
    float_compensated: bool = False
    float_sd: float = instrument.FLOAT.sd
    gravity: float | None = None
    gravity_temperature_c: float = instrument.SETTLED_AT
    gravity_reference_c: float = 20.0
    gravity_sd: float = instrument.HYDROMETER.sd
    scale_c: float | None = None
    scale: Glycol = "eg"
    scale_temperature_c: float = instrument.SETTLED_AT
    scale_compensated: bool = True
    scale_sd: float = instrument.REFRACTOMETER.sd
    index: float | None = None
    index_temperature_c: float = instrument.SETTLED_AT
    index_sd: float = instrument.BENCH_REFRACTOMETER.sd
    freezing_c: float | None = None
    freezing_sd: float = instrument.BENCH_FREEZING.sd
    strip: float | None = None
    strip_sd: float = instrument.STRIP.sd


@dataclass(frozen=True)
class Mix:
    """What the sample is if it is `glycol`: glycol volume fraction, the `readings` behind it, what was `refused` and why."""

    glycol: Glycol
    concentration: Measure
    readings: tuple[tuple[str, Measure], ...]
    refused: tuple[str, ...]

    @property
    def concentrate(self) -> Measure:
        """The same as a concentrate fraction."""
        factor, m = kind(self.glycol).concentrate, self.concentration
        return Measure(m.value / factor, m.sd / factor, "concentrate fraction", m.formula, m.source)


def mix_of(sample: Sample, glycol: Glycol) -> Mix:
    """The mix that these readings mean, taken as `glycol`. CannotJudge if none can be used or they contradict each other.

    >>> m = mix_of(Sample(float_c=-37.0, scale_c=-36.0, scale="eg"), "eg")
    >>> round(m.concentration.value, 2), [name for name, _ in m.readings]
    (0.47, ['float tester', 'refractometer'])
    """
    used: list[tuple[str, Measure]] = []
    refused: list[str] = []
    for name, reading in _readings(sample, glycol):
        try:
            used.append((name, reading()))
        except CannotJudge as why:
            refused.append(f"{name}: {why}{_bounded(sample, name, glycol)}")
    if not used:
        raise CannotJudge("; ".join(refused) or "no reading of the coolant was given")
    return Mix(glycol, combine([m for _, m in used]), tuple(used), tuple(refused))


def _readings(s: Sample, glycol: Glycol) -> list[tuple[str, Callable[[], Measure]]]:
    """What was measured, as calls that may refuse."""
    calls: list[tuple[str, Callable[[], Measure]]] = []
    if (mark := s.float_c) is not None:
        calls.append(
            ("float tester", lambda: concentration_from_float(mark, glycol, s.float_temperature_c, s.float_compensated, s.float_sd))
        )
    if (gravity := s.gravity) is not None:
        calls.append(
            (
                "specific gravity",
                lambda: concentration_from_gravity(gravity, glycol, s.gravity_temperature_c, s.gravity_sd, s.gravity_reference_c),
            )
        )
    if (scale_mark := s.scale_c) is not None:
        calls.append(
            (
                "refractometer",
                lambda: from_scale(scale_mark, s.scale, glycol, s.scale_temperature_c, s.scale_compensated, s.scale_sd),
            )
        )
    if (index := s.index) is not None:
        calls.append(("refractive index", lambda: from_index(index, glycol, s.index_temperature_c, s.index_sd)))
    if (freezing := s.freezing_c) is not None:
        calls.append(("freezing point", lambda: concentration_from_freezing(freezing, glycol, s.freezing_sd)))
    if (strip := s.strip) is not None:
        calls.append(("test strip", lambda: concentration_from_strip(strip, glycol, s.strip_sd)))
    return calls


def _bounded(s: Sample, name: str, glycol: Glycol) -> str:
    """What a refused float reading in propylene glycol still says."""
    if name != "float tester" or glycol != "pg" or s.float_c is None:
        return ""
    at = instrument.SETTLED_AT if s.float_compensated else s.float_temperature_c
    try:
        found = propylene_bounds(s.float_c, at, s.float_sd)
    except CannotJudge:
        return ""
    return f" (it only says: freezes at {found.warmest_c:.0f} °C or colder)" if found.coldest_c is None else ""


def identify_sample(s: Sample) -> Identity:
    """Which glycol the sample is, from its weight and its refraction. CannotJudge unless both were read.

    >>> who = identify_sample(Sample(float_c=-14.8, scale_c=-44.0, scale="eg"))
    >>> who.pg > 0.8
    True
    """
    if s.gravity is None and s.float_c is None:
        raise CannotJudge("to tell the glycol, a float or a specific gravity is needed beside the refractometer")
    if s.index is None and s.scale_c is None:
        raise CannotJudge("to tell the glycol, a refractometer is needed beside the float")
    return identify(_weight(s), _index(s))


def _weight(s: Sample) -> Measure:
    """Specific gravity at 20 °C; the correction is that of a middling ethylene mix, and its doubt is added."""
    if s.gravity is not None:
        raw, at = Measure(s.gravity, s.gravity_sd, "specific gravity"), s.gravity_temperature_c
    else:
        raw, at = gravity_from_float(s.float_c if s.float_c is not None else 0.0, s.float_sd), s.float_temperature_c
        at = instrument.SETTLED_AT if s.float_compensated else at
    off = at - instrument.SETTLED_AT
    # -0.00053/K for ethylene glycol, -0.00065/K for propylene glycol at 50 %: between them, half the gap as doubt
    return Measure(raw.value + 0.00058 * off, (raw.sd**2 + (0.00008 * off) ** 2) ** 0.5, "specific gravity")


def _index(s: Sample) -> Measure:
    """Refractive index at 20 °C."""
    if s.index is not None:
        return index_at_20(s.index, s.index_temperature_c, s.index_sd)
    return index_from_scale(s.scale_c or 0.0, s.scale, s.scale_temperature_c, s.scale_compensated, s.scale_sd)
