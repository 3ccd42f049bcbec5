"""Temperatures at hoses and core: across the thermostat, the radiator, the heater, and cold patches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

from diagnose.derive.measure import CannotJudge, Measure, bands, below

_CONTACT_SD = 3.0  # hose skin against the coolant inside, infrared on rubber or a clamped probe; estimate


@dataclass(frozen=True)
class Across:
    """`drop` in K from the hot to the cold point, `likelihood` per state (the greatest 1, unless bands that sum to 1), `notes`."""

    drop: Measure
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Patches:
    """Places of a core colder than the rest: chance per place, how much colder the coldest is (K), and notes."""

    coldest: Measure
    patches: Mapping[str, float]
    notes: tuple[str, ...]


def _drop(hot_c: float, cold_c: float, sd: float, words: str) -> Measure:
    for value in (hot_c, cold_c):
        if not -40.0 <= value <= 150.0:
            raise CannotJudge(f"{value:g} °C is outside -40 to 150 °C")
    return Measure(hot_c - cold_c, sd * sqrt(2.0), "K", words, "readings")


def _top_at_one(raw: Mapping[str, float]) -> dict[str, float]:
    top = max(raw.values())
    return {k: v / top for k, v in raw.items()}


def across_thermostat(engine_c: float, hose_c: float, nominal_c: float, *, sd: float = _CONTACT_SD) -> Across:
    """State of the thermostat from the engine side and the hose behind it (degC), `nominal_c` its stamped opening (50 to 115).

    Likelihood of the readings under stuck open / shut as it should / opening / open / stuck shut, the greatest 1.
    Start within ±3 K, fully open 12 K above (US TM 5-3825-229-14&P); plain wax only. Raises CannotJudge.

    >>> v = across_thermostat(105, 40, 88).likelihood
    >>> max(v, key=v.get)
    'stuck shut'
    """
    if not 50.0 <= nominal_c <= 115.0:
        raise CannotJudge("a thermostat is marked 50 to 115 °C")
    drop = _drop(engine_c, hose_c, sd, "engine side less hose")
    if engine_c < 45.0:
        raise CannotJudge("warm the engine above 45 °C first: cold, both sides are alike whatever the thermostat does")
    spread = sqrt(sd * sd + 3.0**2)
    cold, between, hot = bands(engine_c, sd, [(nominal_c, 3.0), (nominal_c + 12.0, 3.0)])
    well_over = 1.0 - below(nominal_c + 15.0, engine_c, spread)
    wide, _, close = _wide_or_close(drop)
    raw = {
        "shut as it should": 0.9 * cold * wide + 0.02,
        "opening": 0.9 * between * (1.0 - 0.5 * wide) + 0.02,
        "open": 0.9 * (hot + 0.5 * between) * close + 0.02,
        "stuck open": 0.9 * cold * (1.0 - wide) + 0.02,
        "stuck shut": 0.9 * (0.3 * between + 0.7 * hot + 0.3 * well_over) * wide + 0.02,
    }
    notes = ["Plain wax only: a map-controlled thermostat may regulate at 105 °C and more, and that is normal."]
    if wide > 0.5 and hot > 0.5:
        notes.append("Hot engine, cold hose: also air at the thermostat or no flow. Check level and bleeding (cold) before the part.")
    notes.append("Pulleys, belt and fan: long sleeves away, keep clear; the fan may start with the engine off.")
    return Across(drop, _top_at_one(raw), tuple(notes))


def _wide_or_close(drop: Measure) -> tuple[float, float, float]:
    """(wide, middling, close) chances of a drop: below 10 K the two sides are one flow, above 25 K they are parted. Estimates."""
    close, middle, wide = bands(drop.value, drop.sd, [(10.0, 4.0), (25.0, 6.0)])
    return wide, middle, close


def across_radiator(inlet_c: float, outlet_c: float, ambient_c: float, *, fan_on: bool | None = None, sd: float = _CONTACT_SD) -> Across:
    """Drop across the radiator with the thermostat open: bands little / usual / large, summing to 1.

    Usual 5 to 10 K (general references, from memory), up to 20 at idle; needs an inlet 25 K above ambient. Raises CannotJudge.

    >>> round(across_radiator(95, 87, 20).likelihood["usual"], 1)
    0.8
    """
    if inlet_c - ambient_c < 25.0:
        raise CannotJudge("the inlet must be 25 K or more above the outside air: the thermostat is not open or nothing flows")
    drop = _drop(inlet_c, outlet_c, sd, "inlet less outlet")
    shares = bands(drop.value, drop.sd, [(3.5, 2.0), (20.0, 6.0)])
    notes = []
    if shares[0] > 0.5:
        notes.append("Little drop: too little air (fan, fins, shroud, blanked front), or a lot of flow. Feel for air first.")
    if shares[2] > 0.5:
        notes.append("Large drop: little flow (pump, blocked core, thermostat barely open, low level), or a strong fan on a slow engine.")
    if fan_on is None:
        notes.append("Fan on or off was not said: with the fan on the drop is larger.")
    elif not fan_on and shares[0] > 0.5:
        notes.append("With the fan off and standing still a small drop is normal.")
    notes.append("Needs an open thermostat and a steady temperature; tape on bare metal for infrared.")
    return Across(drop, dict(zip(("little", "usual", "large"), shares, strict=True)), tuple(notes))


def heater(inlet_c: float, outlet_c: float, engine_c: float, *, sd: float = _CONTACT_SD) -> Across:
    """Heater hoses (degC) on full heat, blower on, engine warm (60 degC or more): flowing / restricted / no flow, the greatest 1.

    The drop is 5 to 20 K in a sound heater (common practice, no source). Raises CannotJudge on a cold engine.

    >>> v = heater(85, 40, 90).likelihood
    >>> max(v, key=v.get)
    'restricted'
    """
    if engine_c < 60.0:
        raise CannotJudge("warm the engine to 60 °C or more before the heater hoses mean anything")
    drop = _drop(inlet_c, outlet_c, sd, "heater inlet less outlet")
    total = sqrt(sd * sd + 6.0**2)
    fed = 1.0 - below(engine_c - 25.0, inlet_c, total)
    wide = 1.0 - below(25.0, drop.value, sqrt(drop.sd**2 + 6.0**2))
    raw = {"flowing": fed * (1.0 - wide) + 0.02, "restricted": fed * wide + 0.02, "no flow": 1.0 - fed + 0.02}
    notes = ["Set full heat; automatic systems and heater valves may shut the flow. Both hoses hot and cold air: look at the blend flap."]
    if raw["no flow"] > 0.5:
        notes.append("Feed hose cold on a hot engine: level, air, pump or valve. If the gauge also drops to cold, stop the engine.")
    return Across(drop, _top_at_one(raw), tuple(notes))


def cold_patches(spots: Mapping[str, float], *, sd: float = 2.0, rows: Sequence[str] = ()) -> Patches:
    """Chance per named spot (degC) that it is a blocked patch: colder than the median of all by more than 12 K (estimate).

    `rows`: names from inlet to outlet, whose even fall is taken out first. Five spots or more. Raises CannotJudge.

    >>> p = cold_patches({"a": 80, "b": 79, "c": 55, "d": 78, "e": 77}).patches
    >>> [k for k, v in p.items() if v > 0.5]
    ['c']
    """
    if len(spots) < 5:
        raise CannotJudge("read five spots or more over the core")
    if any(not -40.0 <= v <= 150.0 for v in spots.values()):
        raise CannotJudge("spots of -40 to 150 °C can be compared")
    flat = _level(spots, rows)
    middle = median(flat.values())
    patches = {k: below(-12.0, v - middle, sqrt(sd * sd + 4.0**2)) for k, v in flat.items()}
    lowest = min(flat.values()) - middle
    notes = ("Fan off, thermostat open, scan slowly along the tubes. The bottom is cooler in a sound core: compare across, not down.",)
    return Patches(Measure(-lowest, sd * 1.2, "K", "median of the core less its coldest spot", "readings"), patches, notes)


def _level(spots: Mapping[str, float], rows: Sequence[str]) -> dict[str, float]:
    """Take out the even fall from inlet to outlet, by the median slope so that one cold patch does not bend it."""
    named = [r for r in rows if r in spots]
    if len(named) < 3:
        return dict(spots)
    slopes = [(spots[b] - spots[a]) / (j - i) for i, a in enumerate(named) for j, b in enumerate(named) if j > i]
    slope = median(slopes)
    return {k: v - slope * named.index(k) if k in named else v for k, v in spots.items()}
