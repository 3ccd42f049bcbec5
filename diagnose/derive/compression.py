"""Compression readings to a pattern: lowest against highest, against the maker's limit, neighbours, wet against dry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.cylinder_patterns import (
    BETWEEN,
    CRACK,
    JACKET,
    NONE,
    RINGS,
    VALVES,
    Banks,
    adjacent_low,
    check_banks,
    fit,
    fit_pair,
    mean_over,
    neighbours,
    scaled,
)
from diagnose.derive.measure import CannotJudge, Measure, below

_RATIO = 0.75  # lowest / highest, US TM 5-4210-230-14&P-1 Addendum 2
_RATIO_SPREAD = {"petrol": 0.04, "diesel": 0.06}  # estimate: makers allow 0.70 to 0.80, diesels differ more
_RANGE_BAR = {"petrol": (25.0, "0 to 25"), "diesel": (50.0, "0 to 50")}
_WET_RISE, _WET_SPREAD = 0.12, 0.05  # share of the dry figure by which oil lifts a worn ring; common practice, estimate
_SOURCE = "US TM 5-4210-230-14&P-1 Addendum 2 (75 %); slopes are estimates"


@dataclass(frozen=True)
class Compression:
    """`ratio` lowest over highest; `even` chance that it is at or above the limit; `low` chance per cylinder that it reads low.

    `above_limit`: chance that the lowest is above the maker's limit (None: no limit given). `pairs`: neighbours both low.
    `wet_rise`: per cylinder, share by which oil lifted it. `likelihood` of the readings under each pattern, the greatest 1;
    it is not a chance of the fault. A gasket is never 0.
    """

    ratio: Measure
    even: float
    above_limit: float | None
    low: Mapping[int, float]
    pairs: tuple[tuple[int, int], ...]
    wet_rise: Mapping[int, float]
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


def compression(
    dry: Mapping[int, float],
    *,
    fuel: str = "petrol",
    limit_bar: float | None = None,
    wet: Mapping[int, float] | None = None,
    banks: Banks | None = None,
    gauge_share_sd: float = 0.03,
) -> Compression:
    """Judge compressions `dry` (cylinder number to bar gauge; petrol to 25, diesel to 50), two cylinders or more.

    `wet`: after a spoon of oil, petrol only. `banks`: rows of cylinders that share a gasket; one row if not given.
    `limit_bar`: the maker's least. `gauge_share_sd`: scatter of one reading against the next, as a share.
    Source: see `_SOURCE`. Raises CannotJudge out of range.

    >>> compression({1: 12, 2: 6, 3: 6.2, 4: 12}).pairs
    ((2, 3),)
    """
    _check(dry, fuel, wet)
    rows = check_banks(dry, banks)
    top, bottom = max(dry.values()), min(dry.values())
    if top <= 0:
        raise CannotJudge("no cylinder makes any compression: check valve timing and the tester before anything else")
    ratio = Measure(bottom / top, gauge_share_sd * sqrt(1.0 + (bottom / top) ** 2), "", "lowest over highest", _SOURCE)
    spread = sqrt(gauge_share_sd**2 * 2.0 + _RATIO_SPREAD[fuel] ** 2)
    reference = sorted(dry.values())[-max(1, len(dry) // 2) :]
    good = sum(reference) / len(reference)  # mean of the better half: one high reading, carbon, must not make all others low
    low = {c: below(_RATIO, value / good, spread) for c, value in dry.items()}
    below_limit = _below_limit(dry, limit_bar, gauge_share_sd)
    rise = _wet_rise(dry, wet) if fuel == "petrol" else {}
    likelihood = scaled(_patterns(low, below_limit, rise, rows))
    return Compression(
        ratio,
        1.0 - below(_RATIO, ratio.value, sqrt(ratio.sd**2 + _RATIO_SPREAD[fuel] ** 2)),
        None if below_limit is None else 1.0 - max(below_limit.values()),
        low,
        adjacent_low(low, rows),
        rise,
        likelihood,
        _notes(fuel, wet, low, below_limit),
    )


def _check(dry: Mapping[int, float], fuel: str, wet: Mapping[int, float] | None) -> None:
    if fuel not in _RANGE_BAR:
        raise CannotJudge(f"fuel {fuel!r} is not known here: say petrol or diesel")
    limit, words = _RANGE_BAR[fuel]
    if not 2 <= len(dry) <= 16:
        raise CannotJudge("compression is judged by comparison: give two cylinders or more, up to 16")
    for value in (*dry.values(), *(wet or {}).values()):
        if not 0.0 <= value <= limit:
            raise CannotJudge(f"a compression of {value:g} bar is outside {words} bar for {fuel}: check the unit")
    if wet and not set(wet) <= set(dry):
        raise CannotJudge("a wet reading needs the dry reading of the same cylinder")


def _below_limit(dry: Mapping[int, float], limit: float | None, share: float) -> dict[int, float] | None:
    if limit is None:
        return None
    if limit <= 0:
        raise CannotJudge("the maker's limit must be above 0 bar")
    return {c: below(limit, v, sqrt((share * v) ** 2 + (0.05 * limit) ** 2)) for c, v in dry.items()}


def _wet_rise(dry: Mapping[int, float], wet: Mapping[int, float] | None) -> dict[int, float]:
    return {c: v / dry[c] - 1.0 for c, v in (wet or {}).items() if dry[c] > 0.5}


def _oil_fit(cylinders: tuple[int, ...], rise: Mapping[int, float], helps: float) -> float:
    """Likelihood of the wet readings of these cylinders when oil helps with chance `helps`; 1 where none was taken."""
    result = 1.0
    for c in cylinders:
        if c in rise:
            rose = 1.0 - below(_WET_RISE, rise[c], sqrt(_WET_SPREAD**2 + 0.04**2))
            result *= helps * rose + (1.0 - helps) * (1.0 - rose)
    return result


def _patterns(
    low: Mapping[int, float], below_limit: Mapping[int, float] | None, rise: Mapping[int, float], rows: Banks
) -> dict[str, float]:
    """Each pattern's mean over the places where it can sit. Chances within a pattern are estimates; the rules are the TM's."""
    one = tuple(low)

    def at_limit(place: tuple[int, ...]) -> float:
        """A local fault leaves the other cylinders above the maker's limit."""
        others = {c: p for c, p in (below_limit or {}).items() if c not in place}
        return fit(others, {}, 0.08)

    def single(expected: float, helps: float) -> float:
        return mean_over([fit(low, {c: expected}, 0.03) * _oil_fit((c,), rise, helps) * at_limit((c,)) for c in one])

    pair = mean_over([fit_pair(low, p, 0.03) * _oil_fit(p, rise, 0.1) * at_limit(p) for p in neighbours(rows, low)])
    worn = _all_low(low, below_limit)
    return {
        BETWEEN: pair,
        JACKET: single(0.25, 0.1),
        CRACK: single(0.15, 0.1),
        RINGS: 0.5 * single(0.75, 0.85) + 0.5 * worn * _oil_fit(one, rise, 0.85),
        # two neighbours low is also what one row of valves or a jumped belt makes, a sixth as often as a gasket
        VALVES: 0.55 * single(0.85, 0.1) + 0.15 * pair + 0.3 * worn * _oil_fit(one, rise, 0.1),
        NONE: fit(low, {}, 0.03) * at_limit(()) * _oil_fit(one, rise, 0.2),
    }


def _all_low(low: Mapping[int, float], below_limit: Mapping[int, float] | None) -> float:
    """Likelihood of even wear, or of timing out: even among themselves, and below the limit where one is given."""
    even = fit(low, {}, 0.10)
    if below_limit is None:
        return 0.3 * even
    return even * fit(below_limit, dict.fromkeys(below_limit, 0.8), 0.8)


def _notes(
    fuel: str, wet: Mapping[int, float] | None, low: Mapping[int, float], below_limit: Mapping[int, float] | None
) -> tuple[str, ...]:
    notes = ["Good compression never clears a head gasket: many leak only hot, loaded, or into the jacket."]
    if fuel == "diesel":
        notes.append("Diesel: limits differ widely; a 100 psi (6.9 bar) spread belongs to one engine. Use the maker's figures.")
        if wet:
            notes.append("Wet readings on a diesel were left out. Do not repeat: oil in a diesel cylinder can lock it or fire.")
    elif not wet and max(low.values()) > 0.5:
        notes.append("A wet reading on the low cylinders separates rings from valves and gasket (petrol only).")
    if below_limit is None:
        notes.append("No maker's limit given: even wear of all cylinders cannot be seen.")
    notes.append("Warm engine, throttle open, all plugs out, five strokes or more. Coolant in a cylinder suspected: nobody in line.")
    return tuple(notes)
