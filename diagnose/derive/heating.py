"""How much pressure heat alone makes in a closed cooling system; what a record from a cold start shows beyond that is gas."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, sqrt

from diagnose.derive.expansion import closed_pressure
from diagnose.derive.glycol import Glycol
from diagnose.derive.measure import CannotJudge, Measure, below

PHYSICS = "expansion of coolant (ASHRAE density tables), ideal gas, saturated vapour (DIPPR-101)"
_CLEAR_BAR, _CLEAR_SPREAD = 0.15, 0.10  # estimate: excess that a mechanic would call gas; hose, gauge and mixing blur it


@dataclass(frozen=True)
class Sample:
    """One line of a cold-start record: `minutes` since start, coolant `temp_c`, gauge pressure `bar`."""

    minutes: float
    temp_c: float
    bar: float


@dataclass(frozen=True)
class Heating:
    """Pressure that heat alone makes. `capped` is the chance that the cap opens first (0 when the cap is unknown)."""

    pressure: Measure
    capped: float
    notes: tuple[str, ...]


@dataclass(frozen=True)
class ColdStart:
    """Pressure record from cold: `excess` over heat at the end, its largest over the record, and when it first stood clear.

    `likelihood` of the record under `gas` and under `heat alone`, the greater being 1.
    """

    expected: Measure
    excess: Measure
    first_clear_minutes: float | None
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


def spread_of(figure: Callable[..., float], at: Mapping[str, float], sds: Mapping[str, float]) -> float:
    """Standard deviation of `figure(**at)` from independent spreads: each input moved by one sd, towards the side that exists."""
    middle, total = figure(**at), 0.0
    for name, sd in sds.items():
        moves = []
        for sign in (-1.0, 1.0):
            try:
                moves.append(abs(figure(**{**at, name: at[name] + sign * sd}) - middle))
            except CannotJudge:
                continue
        if not moves:
            raise CannotJudge(f"{name} is too uncertain for a figure")
        total += max(moves) ** 2
    return sqrt(total)


def heating(
    coolant_l: float,
    gas_l: float,
    start_c: float,
    end_c: float,
    *,
    gas_sd_l: float | None = None,
    temp_sd: float = 2.0,
    start_bar: float = 0.0,
    cap_bar: float | None = None,
    concentration: float = 0.5,
    glycol: Glycol = "eg",
) -> Heating:
    """Gauge pressure (bar) that heating a sealed system from `start_c` to `end_c` makes by itself; volumes in litres at the start.

    `gas_sd_l` is 20 % of the gas volume unless given. With `cap_bar` the figure stops at the cap. Brim-full: the cap's pressure if
    known, else CannotJudge. Source: `expansion.closed_pressure`. Hoses swell a little, so the true pressure is rather lower.

    >>> round(heating(6, 1, 20, 40).pressure.value, 2), heating(6, 1, 20, 90).pressure.value > 1.1
    (0.17, True)
    """

    def figure(gas: float, first: float, last: float) -> float:
        return closed_pressure(start_bar, first, last, coolant_l, gas, concentration=concentration, glycol=glycol)

    notes = ["Hoses swell: the true pressure is a little lower than this figure."]
    at = {"gas": gas_l, "first": start_c, "last": end_c}
    try:
        value = figure(**at)
        sd = spread_of(figure, at, {"gas": 0.2 * gas_l if gas_sd_l is None else gas_sd_l, "first": temp_sd, "last": temp_sd})
    except CannotJudge as error:
        if cap_bar is None or "brim-full" not in str(error):
            raise
        notes.append("Brim-full: the pressure rises at once with the first heat. A quick rise says nothing about gas here.")
        return Heating(Measure(cap_bar, 0.1 * cap_bar, "bar", "cap's opening pressure, no gas space", PHYSICS), 1.0, tuple(notes))
    sd = sqrt(sd * sd + (0.1 * (value - start_bar)) ** 2)  # stiff walls and full mixing: 10 %, estimate
    capped = 0.0
    if cap_bar is not None:
        capped = 1.0 - below(cap_bar, value, sqrt(sd * sd + (0.07 * cap_bar) ** 2))
        if value > cap_bar:
            value, sd = cap_bar, 0.07 * cap_bar
            notes.append("The cap opens before this temperature: the pressure stops at its rating.")
    return Heating(Measure(value, sd, "bar", "gas squeezed by the swelling liquid, warmed, plus vapour", PHYSICS), capped, tuple(notes))


def cold_start(
    samples: Sequence[Sample],
    coolant_l: float,
    gas_l: float | None,
    *,
    cap_bar: float | None = None,
    gauge_sd: float = 0.03,
    temp_sd: float = 3.0,
    concentration: float = 0.5,
    glycol: Glycol = "eg",
) -> ColdStart:
    """Compare a pressure record from a cold start (first sample: before heat) with what heat alone can make there.

    Needs the gas volume (L) at the start: without it the same rise may be gas or a nearly full system, so CannotJudge.
    Stops at the cap: readings within 10 % of `cap_bar` are left out. Source: `heating`; the limit is an estimate.

    >>> record = [Sample(0, 20, 0.0), Sample(2, 24, 0.5), Sample(4, 30, 0.9)]
    >>> cold_start(record, 6, 1).first_clear_minutes
    2
    """
    rest, used = _usable(samples, gas_l, cap_bar)
    assert gas_l is not None  # _usable refused it
    first = samples[0]
    rows = []
    for sample in used:
        heat = heating(
            coolant_l,
            gas_l,
            first.temp_c,
            sample.temp_c,
            temp_sd=temp_sd,
            start_bar=first.bar,
            concentration=concentration,
            glycol=glycol,
        ).pressure
        excess = sample.bar - heat.value
        rows.append((sample, heat, excess, sqrt(heat.sd**2 + 2 * gauge_sd**2)))
    sample, heat, excess, sd = max(rows, key=lambda row: row[2] / row[3])
    clear = next((s.minutes for s, _, e, d in rows if e > _CLEAR_BAR and e > 2 * d), None)
    notes = ["Air left from a refill, or a cap that leaked and drew air, also makes the record differ: repeat after bleeding."]
    if rest:
        notes.append("Readings at the cap's opening pressure were left out: there the cap decides, not heat or gas.")
    return ColdStart(
        heat,
        Measure(excess, sd, "bar", "pressure read less pressure that heat explains, where it stands out most", PHYSICS),
        clear,
        _gas_or_heat(excess, sd),
        tuple(notes),
    )


def _usable(samples: Sequence[Sample], gas_l: float | None, cap_bar: float | None) -> tuple[bool, list[Sample]]:
    if gas_l is None:
        raise CannotJudge("the gas volume is unknown: a nearly full system rises as fast from heat alone. Say it in litres")
    if len(samples) < 2:
        raise CannotJudge("a record needs the cold reading before the start and at least one later reading")
    if any(b.minutes <= a.minutes for a, b in pairwise(samples)):
        raise CannotJudge("the minutes of the record must ascend")
    if not -0.2 <= samples[0].bar <= 0.2:
        raise CannotJudge(
            "the record must start near 0 bar gauge. A system still under pressure cold, after a night, is a finding of its own: note it"
        )
    used = [s for s in samples[1:] if cap_bar is None or s.bar < 0.9 * cap_bar]
    if not used:
        raise CannotJudge("every reading is at the cap's opening pressure: take readings earlier, in the first minutes")
    return len(used) < len(samples) - 1, used


def _gas_or_heat(excess: float, sd: float) -> dict[str, float]:
    """Likelihoods: under heat alone the excess scatters about 0; under gas it may be anything above, small leaks included."""
    width = sqrt(sd * sd + _CLEAR_SPREAD**2 / 4.0)
    heat = exp(-0.5 * (max(excess, 0.0) / width) ** 2)
    gas = 0.25 + 0.75 * (1.0 - below(_CLEAR_BAR, excess, sqrt(sd * sd + _CLEAR_SPREAD**2)))
    heat = max(heat, 0.02)  # a wrong gas volume or a frothing return is never excluded
    top = max(heat, gas)
    return {"gas": gas / top, "heat alone": heat / top}
