"""What a trip amounts to: figures, the likelihood of each pattern, and what cannot be told from it, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, log

import numpy as np

from diagnose.derive.measure import CannotJudge, Measure, bands

from .events import Even, Event, even, found, stretches
from .figure import Figure
from .figures import thermal
from .patterns import HEALTHY, PATTERNS, STATES, TABLES, WORDS
from .sensor import Electrical, electrical
from .trip import Trip
from .warmth import air, warmed

PRIOR: Mapping[str, float] = {"normal": 4.0, "map_controlled": 1.0}  # to the 1 of each fault, only for naming a verdict. Estimate
SURE = 0.7
SURE_OF: Mapping[str, float] = {"normal": 0.65}
MAP_FROM = 98.0  # °C: a marking from here on is a map-controlled thermostat's. Common practice
PLAIN = 89.0  # °C, the plain-wax marking that the absolute tables are written for
ABSOLUTE = ("highest", "highest standing", "hot moving")
LOWEST_MARKING = 82.0  # °C, of plain-wax thermostats in cars; used where the marking is not known. Common practice
POSSIBLE = 0.005
SHARE = {state: list(STATES.values()).count(pattern) for state, pattern in STATES.items()}


@dataclass(frozen=True)
class Doubt:
    """Patterns that this trip can neither show nor clear, and what would."""

    patterns: tuple[str, ...]
    reason: str


@dataclass(frozen=True)
class Verdict:
    """`pattern` is None where it cannot be told. `likelihood` of what was seen under each pattern, the greatest being 1 (no prior in it).

    `possible` are the patterns that remain; a pattern of `cannot_tell` is not cleared, whatever `pattern` says.
    """

    pattern: str | None
    likelihood: Mapping[str, float]
    possible: tuple[str, ...]
    cannot_tell: tuple[Doubt, ...]
    figures: tuple[Figure, ...]
    events: tuple[Event, ...]
    notes: tuple[str, ...]


def judge(trip: Trip, nominal: float | None = None, stood: bool | None = None) -> Verdict:
    """Judge one trip.

    `nominal`: the thermostat's marking [°C], 60 to 120, if known. `stood`: True if the engine had stood for hours before the trip.
    Raises CannotJudge if the nominal is out of range or the trip has no sample. Model: chances of bands in `patterns.py`.
    """
    if nominal is not None and not 60 <= nominal <= 120:
        raise CannotJudge(f"a thermostat's marking of {nominal:g} °C is out of range: 60 to 120 °C")
    if not len(trip.seconds):
        raise CannotJudge("the trip has no samples")
    signs = electrical(trip)
    grid = even(trip, signs)
    figures = list(signs.figures)
    if grid is not None:
        figures += thermal(trip, grid)
    figures = _derived(figures, nominal, stood)
    weights = _log_likelihoods(figures, nominal)
    hidden = _hidden(grid, figures, nominal)
    for unseen in hidden:
        weights[unseen] = max(weights[p] for p in HEALTHY)  # could not have shown: reads like a sound one
    pattern, possible = _named(weights, set(hidden), nominal)
    doubts = list(_doubts(hidden))
    if pattern != "bad_sensor":
        blind = _blind(figures, grid, nominal)
        sound = max(weights[p] for p in HEALTHY)
        for p in PATTERNS:
            if p not in HEALTHY and weights[p] > sound - 4.0:
                blind.setdefault(p, "fits less well than a sound system, but is not excluded")
        doubts += _doubts(
            {p: r for p, r in blind.items() if p not in hidden and p != pattern and (pattern in HEALTHY or p == "bad_sensor")}
        )
    warm = any(f.name == "regulates at" for f in figures)
    electric = pattern == "bad_sensor"
    if not figures:
        pattern, possible = None, PATTERNS
        doubts = [Doubt(PATTERNS, "fewer than ten readings of the coolant")]
    elif not warm and not electric and (pattern in HEALTHY or not _long_enough(figures)):
        pattern = None
        possible = tuple(p for p in PATTERNS if p not in hidden or p == "normal")
        doubts.append(Doubt(possible, "the engine had not warmed up: a longer drive is needed"))
    elif pattern is None:
        doubts.append(Doubt(possible, _parting(possible, trip, nominal, stood)))
    if electric:
        doubts.append(
            Doubt(
                tuple(p for p in PATTERNS if p not in (*HEALTHY, "bad_sensor")),
                "the readings are not to be trusted until the sensor is sound",
            )
        )
    top = max(weights.values())
    return Verdict(
        pattern,
        {p: round(float(np.exp(weights[p] - top)), 6) for p in PATTERNS},
        possible,
        tuple(doubts),
        tuple(figures),
        found(grid, signs, trip) if grid is not None else (),
        tuple(_notes(trip, signs, figures)),
    )


def _derived(figures: list[Figure], nominal: float | None, stood: bool | None) -> list[Figure]:
    """Add the figures that need other figures, the thermostat's marking, or the word of the driver."""
    by = {f.name: f for f in figures}
    out = [f for f in figures if f.name != "hot moving above air"]
    wide_open = (nominal if nominal is not None else 88.0) + 8.0  # below this the thermostat, not the radiator, sets the level
    if "hot moving above air" in by and by["hot moving"].measure.value > wide_open:
        out.append(by["hot moving above air"])
    if "highest" in by and "regulates at" in by:
        marking, spread = (nominal, 1.0) if nominal is not None else (LOWEST_MARKING, 3.0)
        m = by["highest"].measure
        reaches = Measure(
            m.value - marking,
            hypot(m.sd, spread),
            "K",
            f"highest less the {'' if nominal else 'lowest usual '}marking {marking:g} °C",
            m.source,
        )
        out.append(Figure("reaches", reaches, by["highest"].rows))
    if nominal is not None:
        for name, new in (("regulates at", "regulates above nominal"), ("first peak", "first peak above nominal")):
            if name in by:
                m = by[name].measure
                out.append(
                    Figure(
                        new,
                        Measure(m.value - nominal, hypot(m.sd, 1.0), "K", f"{name} less the marking {nominal:g} °C", m.source),
                        by[name].rows,
                    )
                )
    if {"highest standing", "hot moving"} <= by.keys():
        still, moving = by["highest standing"], by["hot moving"]
        change = Measure(still.measure.value - moving.measure.value, 1.2, "K", "highest standing less hot moving", still.measure.source)
        rows = (min(still.rows[0], moving.rows[0]), max(still.rows[1], moving.rows[1]))
        out.append(Figure("cools from standing to moving", change, rows))
    if stood and "start above air" in by:
        f = by["start above air"]
        out = [x for x in out if x is not f] + [Figure("start above air, stood", f.measure, f.rows)]
    return out


def _log_likelihoods(figures: list[Figure], nominal: float | None) -> dict[str, float]:
    by = {f.name: f.measure for f in figures}
    states = dict.fromkeys(STATES, 0.0)
    for table in TABLES:
        measure = by.get(table.figure)
        if measure is None or (table.figure == "regulates at" and nominal is not None):
            continue
        hot_kind = nominal is not None and nominal >= MAP_FROM
        if hot_kind and table.figure == "hot without fan":
            continue
        shift = nominal - PLAIN if hot_kind and nominal is not None and table.figure in ABSOLUTE else 0.0
        seen = bands(measure.value - shift, measure.sd, table.edges)
        for state in states:
            row = "normal" if shift and state == "map_controlled" else state
            chance = sum(a * b for a, b in zip(seen, table.chances(row), strict=True))
            states[state] += table.weight * log(max(chance, 1e-6))
    if nominal is not None:  # the marking says which kind is fitted
        states["map_controlled" if nominal < MAP_FROM else "normal"] += log(0.03)
    out = dict.fromkeys(PATTERNS, -np.inf)
    for state, value in states.items():
        out[STATES[state]] = max(out[STATES[state]], value - 0.25 * log(SHARE[state]))
    return out


def _named(weights: Mapping[str, float], hidden: set[str], nominal: float | None) -> tuple[str | None, tuple[str, ...]]:
    """The pattern that is sure among those that could have shown, or None; and those that remain possible."""
    top = max(weights.values())
    prior = {"normal": 1.0, "map_controlled": 4.0} if nominal is not None and nominal >= MAP_FROM else PRIOR
    mass = {p: prior.get(p, 1.0) * float(np.exp(w - top)) for p, w in weights.items() if p not in hidden}
    total = sum(mass.values())
    share = {p: m / total for p, m in mass.items()}
    best = max(sorted(share), key=lambda p: share[p])
    possible = tuple(p for p in PATTERNS if share.get(p, 0.0) >= POSSIBLE)
    least = 0.85 if best == "map_controlled" and nominal is None else SURE_OF.get(best, SURE)  # level alone does not make it map control
    return (best if share[best] >= least else None), possible


def _long_enough(figures: list[Figure]) -> bool:
    """Not warm, yet long enough under way that this itself is telling."""
    return any(f.name in ("not warm after", "warm-up") and f.measure.value >= 9 for f in figures) or any(
        f.name == "highest" and f.measure.value > 112 for f in figures
    )


def _hidden(grid: Even | None, figures: list[Figure], nominal: float | None) -> dict[str, str]:
    """Patterns that could not have shown on this trip, and why."""
    by = {f.name: f.measure.value for f in figures}
    if grid is None:
        return {p: "no believable readings" for p in PATTERNS if p not in (*HEALTHY, "bad_sensor")}
    out: dict[str, str] = {}
    hot = by.get("highest", 0.0) > (nominal + 14 if nominal is not None and nominal >= MAP_FROM else 104)
    speed = grid.columns.get("speed")
    if not hot and "rate with fan on" not in by and by.get("swings standing", 0) < 1:
        if speed is None:
            out["no_fan"] = "without a speed column it is not known whether the vehicle stood hot long enough to need its fan"
        else:
            out["no_fan"] = "the vehicle did not stand until the fan was needed"
    if not hot and not by.get("hot moving above air", 0.0) > 70:
        out["low_flow"] = "a weak pump or a partly blocked radiator shows only when hot or hard worked; this drive was neither"
    opened = "falls after first peak" in by
    if by.get("highest", 0.0) < 80 or (not opened and by.get("highest", 0.0) < 95):
        out["stuck_shut"] = out["late"] = "no opening of the thermostat was seen: it may not have had to open"
    return out


def _blind(figures: list[Figure], grid: Even | None, nominal: float | None) -> dict[str, str]:
    """Faults that a trip of this kind leaves open even if all looks normal, and why. They keep their likelihood."""
    by = {f.name: f.measure.value for f in figures}
    out: dict[str, str] = {}
    if nominal is None and by.get("regulates at", 0.0) > 84:
        out["late"] = "without the thermostat's marking a moderately late opening looks like a hotter thermostat"
    if grid is not None and by.get("highest", 0.0) < (nominal if nominal is not None else 86.0) + 10 and not _worked(grid):
        out["stuck_shut"] = "not known to have worked hard while warm: so little heat stays down even behind a shut thermostat"
        out.setdefault("late", out["stuck_shut"])
    if nominal is not None and by.get("highest", 0.0) > nominal + 9:
        out.setdefault(
            "late",
            "it read to the end of the thermostat's span or above: hot air, a hill, the fan's setting, or an opening some kelvin late",
        )
    compared = "start above air, stood" in by or abs(by.get("start above air", 99.0)) < 5
    if not compared:
        out["bad_sensor"] = "no cold start beside a known air temperature: a sensor that reads some kelvin wrong does not show"
    elif by.get("flat", 0.0) > 60:
        out["bad_sensor"] = "a reading that stays at running temperature may be steady or frozen"
    if nominal is None:
        out["map_controlled"] = "without the thermostat's marking a map-controlled one under load looks like a plain one"
    outside = air(grid.columns) if grid is not None else None
    if outside is None or outside[0] > 10 or by.get("regulates above nominal", 99.0) < -5:
        out["stuck_open"] = "a thermostat that leaks a little shows only in the cold"
    return out


def _worked(grid: Even) -> bool:
    """Whether the engine worked hard for two and a half minutes while warm: above 70 km/h or 55 % load."""
    hard = np.zeros(len(grid.seconds), dtype=bool)
    for name, least in (("speed", 70.0), ("load", 55.0)):
        if name in grid.columns:
            hard |= grid.columns[name] > least
    return bool(stretches(np.asarray(hard & warmed(grid)), 150))


def _doubts(hidden: Mapping[str, str]) -> list[Doubt]:
    reasons: dict[str, list[str]] = {}
    for pattern, reason in hidden.items():
        reasons.setdefault(reason, []).append(pattern)
    return [Doubt(tuple(sorted(patterns)), reason) for reason, patterns in sorted(reasons.items())]


def _parting(possible: tuple[str, ...], trip: Trip, nominal: float | None, stood: bool | None) -> str:
    """What would part the patterns that remain."""
    wants = []
    if {"no_fan", "low_flow"} <= set(possible):
        wants.append("vehicle speed, fan state, and a hot stretch both standing and moving (temperature alone cannot part fan from flow)")
    if {"stuck_shut", "low_flow"} <= set(possible) or {"stuck_shut", "late"} <= set(possible):
        wants.append("the temperature at the radiator outlet or lower hose")
    if nominal is None and {"late", "map_controlled", "stuck_open", "normal"} & set(possible):
        wants.append("the thermostat's marking")
    if "bad_sensor" in possible:
        missing = air(dict(trip.columns)) is None
        wants.append(
            "air temperature at a cold start" if missing else "a start after a night standing" if not stood else "a second thermometer"
        )
    return "what was logged fits more than one; would part them: " + ("; ".join(wants) or "a longer drive with standing, town and motorway")


def _notes(trip: Trip, signs: Electrical, figures: list[Figure]) -> list[str]:
    notes = list(signs.notes)
    missing = int(np.sum(~np.isfinite(trip.coolant)))
    if missing:
        notes.append(f"{missing} of {len(trip.coolant)} samples without a coolant reading")
    gaps = np.diff(trip.seconds)
    if len(gaps) and float(gaps.max()) > 5 * float(np.median(gaps)) + 5:
        notes.append(f"{int(np.sum(gaps > 5 * np.median(gaps) + 5))} gap(s), the longest {gaps.max():.0f} s")
    if trip.continued:
        notes.append("the trip does not begin with the engine's start: nothing is said about the cold start")
    if air(dict(trip.columns)) is None:
        notes.append("no air temperature: the reading at the start cannot be checked for plausibility")
    if "speed" not in trip.columns:
        notes.append("no speed: standing and moving cannot be told apart")
    return notes


def words(verdict: Verdict) -> str:
    """The verdict in a sentence."""
    if verdict.pattern is not None:
        return WORDS[verdict.pattern]
    return "cannot tell: " + ", or ".join(WORDS[p] for p in verdict.possible)
