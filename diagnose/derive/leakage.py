"""Cylinder leakage percent, cold and hot, and where the air is heard, to a pattern."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.cylinder_patterns import (
    BETWEEN,
    CRACK,
    JACKET,
    NONE,
    PATTERNS,
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

_READING_SD = 3.0  # percentage points, one gauge, repeated: estimate
_OPENS_HOT, _OPENS_SPREAD = 8.0, 5.0  # percentage points of rise from cold to hot; sound rings fall. Estimate
# Chance that air is heard at a place, by pattern. The rule of places is common practice, no source; the chances are estimates.
_HEARD = {
    "coolant": {BETWEEN: 0.15, JACKET: 0.70, CRACK: 0.50, RINGS: 0.01, VALVES: 0.01, NONE: 0.01},
    "next cylinder": {BETWEEN: 0.80, JACKET: 0.05, CRACK: 0.03, RINGS: 0.02, VALVES: 0.03, NONE: 0.02},
    "crankcase": {BETWEEN: 0.20, JACKET: 0.20, CRACK: 0.20, RINGS: 0.90, VALVES: 0.20, NONE: 0.20},
    "intake": {BETWEEN: 0.05, JACKET: 0.05, CRACK: 0.05, RINGS: 0.05, VALVES: 0.60, NONE: 0.05},
    "exhaust": {BETWEEN: 0.05, JACKET: 0.05, CRACK: 0.05, RINGS: 0.05, VALVES: 0.60, NONE: 0.05},
}


@dataclass(frozen=True)
class Leakage:
    """`worst` percent; `over` chance per cylinder that it is above the instrument's limit; `rise` cold to hot in points.

    `opens_hot`: chance per cylinder that it leaks more hot than cold. `likelihood` under each pattern, the greatest 1.
    """

    worst: Measure
    over: Mapping[int, float]
    rise: Mapping[int, Measure]
    opens_hot: Mapping[int, float]
    pairs: tuple[tuple[int, int], ...]
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


def differential(supply: float, held: float) -> float:
    """Leakage in percent from a two-gauge tester: supply and held pressure in one unit, 0 < supply, 0 <= held <= supply.

    Source: FAA AC 43.13-1B para 8-14 (its 60/80 is 25 %). Raises CannotJudge.

    >>> differential(80, 60)
    25.0
    """
    if supply <= 0 or not 0 <= held <= supply:
        raise CannotJudge("the held pressure must lie between 0 and the supply pressure")
    return 100.0 * (1.0 - held / supply)


def leakage(
    cold: Mapping[int, float] | None = None,
    hot: Mapping[int, float] | None = None,
    *,
    limit: float | None = None,
    heard: Mapping[str, bool] | None = None,
    banks: Banks | None = None,
) -> Leakage:
    """Judge leakage percent per cylinder (0 to 100), `cold`, `hot` or both; `heard`: place to whether air was heard there.

    `limit` percent of this instrument; without it 20 with a wide spread, since percent bands belong to one instrument.
    Places: coolant, next cylinder, crankcase, intake, exhaust; a place not listened at is left out. Raises CannotJudge.

    >>> leakage({1: 8, 2: 30, 3: 32, 4: 9}).pairs
    ((2, 3),)
    """
    both = {**(cold or {}), **(hot or {})}
    _check(both, cold or {}, hot or {}, heard or {}, limit)
    rows = check_banks(both, banks)
    middle, spread = (20.0, 8.0) if limit is None else (limit, 3.0)
    total = sqrt(spread**2 + _READING_SD**2)
    over = {c: 1.0 - below(middle, v, total) for c, v in both.items()}
    rise = _rise(cold or {}, hot or {})
    opens = {c: 1.0 - below(_OPENS_HOT, m.value, sqrt(m.sd**2 + _OPENS_SPREAD**2)) for c, m in rise.items()}
    raw = _patterns(over, opens, rows)
    for place, was_heard in (heard or {}).items():
        for pattern in raw:
            chance = _HEARD[place][pattern]
            raw[pattern] *= chance if was_heard else 1.0 - chance
    worst = Measure(max(both.values()), _READING_SD, "%", "largest leakage, hot where measured", "reading")
    notes = _notes(limit, hot or {}, heard or {})
    return Leakage(worst, over, rise, opens, adjacent_low(over, rows), scaled(raw), notes)


def _check(
    both: Mapping[int, float], cold: Mapping[int, float], hot: Mapping[int, float], heard: Mapping[str, bool], limit: float | None
) -> None:
    if not 1 <= len(both) <= 16:
        raise CannotJudge("give the leakage of 1 to 16 cylinders")
    for value in (*cold.values(), *hot.values()):
        if not 0.0 <= value <= 100.0:
            raise CannotJudge(f"a leakage of {value:g} % is outside 0 to 100 %")
    if limit is not None and not 1.0 <= limit <= 80.0:
        raise CannotJudge("the instrument's limit must be 1 to 80 %")
    unknown = sorted(set(heard) - set(_HEARD))
    if unknown:
        raise CannotJudge(f"air heard at {', '.join(unknown)}? Allowed: {', '.join(_HEARD)}")


def _rise(cold: Mapping[int, float], hot: Mapping[int, float]) -> dict[int, Measure]:
    sd = _READING_SD * sqrt(2.0)
    return {c: Measure(hot[c] - cold[c], sd, "points", "hot less cold leakage", "readings") for c in hot if c in cold}


def _opens_fit(opens: Mapping[int, float], at: int, chance: float) -> float:
    return fit(opens, {at: chance}, 0.05) if opens else 1.0


def _patterns(over: Mapping[int, float], opens: Mapping[int, float], rows: Banks) -> dict[str, float]:
    """Each pattern's mean over its places: chance of a high figure there, chance that it rises hot. All estimates."""

    def single(expected: float, hot: float) -> float:
        return mean_over([fit(over, {c: expected}, 0.06) * _opens_fit(opens, c, hot) for c in over])

    pairs = [fit_pair(over, p, 0.06) * _opens_fit(opens, p[0], 0.15) for p in neighbours(rows, over)]
    every = fit(over, {}, 0.6) * (fit(opens, {}, 0.02) if opens else 1.0)
    raw = {
        BETWEEN: mean_over(pairs),
        JACKET: single(0.50, 0.25),
        CRACK: single(0.40, 0.70),
        RINGS: 0.5 * single(0.80, 0.02) + 0.5 * every,
        VALVES: single(0.80, 0.10),
        NONE: fit(over, {}, 0.06) * (fit(opens, {}, 0.03) if opens else 1.0),
    }
    return {name: raw[name] for name in PATTERNS}


def _notes(limit: float | None, hot: Mapping[int, float], heard: Mapping[str, bool]) -> tuple[str, ...]:
    notes = ["Good leakage figures never clear a head gasket: look for bubbles for minutes, cold and hot."]
    if limit is None:
        notes.append("Percent bands belong to one instrument: give its own limit, or compare the cylinders with each other only.")
    if not hot:
        notes.append("Only cold: a crack that opens hot does not show.")
    if "coolant" not in heard:
        notes.append("Look into the coolant while the cylinder is under pressure; bubbles there are worth more than the percent.")
    notes.append("Lock the crank at top dead centre; air can turn the engine. Valve not seated by carbon: tap it and read again.")
    return tuple(notes)
