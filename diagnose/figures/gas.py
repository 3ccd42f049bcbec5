"""Exhaust gas over the open neck, by an exhaust-gas analyser: how far above the room's air, and what it may miss."""

from __future__ import annotations

from math import log

from diagnose.case.quantity import parse
from diagnose.derive.gas import analyser
from diagnose.derive.measure import CannotJudge, Measure, bands
from diagnose.errors import InputError, Problem, did_you_mean
from diagnose.figures.derived import Asked, Derived, yes_no
from diagnose.figures.series import raw_series, unique, word

_UNITS = {"hc": "ppm", "co2": "%", "co": "%", "room_hc": "ppm", "room_co2": "%", "idle_hc": "ppm", "idle_co2": "%"}
_CLEAR = {"hc": 50.0, "co2": 0.5, "co": 0.1}
"""What is called clear over the neck, above room air; a third of it is a trace. Source: common practice, no source, as in derive.gas."""
_TRACE_SHARE, _SPREAD_SHARE = 1.0 / 3.0, (0.25, 0.5)
_FULL = log(5.0)  # evidence of five to one counts full; less is flattened towards nothing said
_ROOM = {"hc": 10.0, "co2": 0.05, "co": 0.0}
_METER = {"hc": 5.0, "co2": 0.05, "co": 0.01}
_RISES = 1.5  # loaded over idle from which it rises with load; estimate


def neck_gas(asked: Asked) -> list[Derived]:
    """Bands none / trace / clear by the gas that stands out most; flattened as far as this fuel and load make the test blind."""
    observation, fuel = asked.observation, asked.case.vehicle.fuel
    seen = _read(asked)
    if fuel is None:
        raise CannotJudge("petrol or diesel? The same figure means different things (fuel of the vehicle)")
    engine = "load" if observation.engine == "loaded" else "idle"
    rises = _rises(seen)
    result = analyser(
        "diesel" if fuel == "diesel" else "petrol",
        engine,
        hc_ppm=seen.get("hc"),
        co2_percent=seen.get("co2"),
        co_percent=seen.get("co"),
        room_hc_ppm=seen.get("room_hc", _ROOM["hc"]),
        room_co2_percent=seen.get("room_co2", _ROOM["co2"]),
        rises_with_load=rises,
    )
    measures = {gas: _above(gas, seen) for gas in ("hc", "co2", "co") if gas in seen}
    gas = max(sorted(measures), key=lambda g: measures[g].value / _CLEAR[g])
    limit, measure = _CLEAR[gas], measures[gas]
    edges = [(_TRACE_SHARE * limit, _SPREAD_SHARE[0] * limit), (limit, _SPREAD_SHARE[1] * limit)]
    shares = bands(measure.value, measure.sd, edges)
    worth = min(1.0, abs(log(result.ratio)) / _FULL)
    likelihood = tuple(worth * s + (1.0 - worth) * max(shares) for s in shares)
    notes = unique([f"{gas.upper()} stands out most. It speaks {_times(result.ratio)} combustion gas in the coolant.", *result.notes])
    out = [Derived(asked.about, asked.finding.id, likelihood, measure, notes=notes)]
    load = asked.to("load")
    if load is not None and rises is not None:
        out.append(yes_no(load, 0.85 if rises else 0.2, notes=("By the analyser, loaded against idle.",)))
    return out


def _times(ratio: float) -> str:
    return f"{ratio:.1f} to 1 for" if ratio >= 1.0 else f"{1.0 / ratio:.1f} to 1 against"


def _read(asked: Asked) -> dict[str, float]:
    """Gas to figure; 'hc', 'co2', 'co' over the neck, 'room_' before it for the room's air, 'idle_' for the same at idle."""
    out = {}
    for label, value in raw_series(asked.observation).items():
        name = word(label)
        if name not in _UNITS:
            hint = did_you_mean(name, _UNITS)
            raise InputError(Problem(f"'{label}' is not a gas that is known here", allowed=f"{hint} Allowed: {', '.join(_UNITS)}.".strip()))
        out[name] = parse(value, _UNITS[name])
    return out


def _rises(seen: dict[str, float]) -> bool | None:
    for gas in ("co2", "hc"):
        if gas in seen and f"idle_{gas}" in seen:
            return seen[gas] > _RISES * max(seen[f"idle_{gas}"], _CLEAR[gas] * _TRACE_SHARE)
    return None


def _above(gas: str, seen: dict[str, float]) -> Measure:
    room = seen.get(f"room_{gas}", _ROOM[gas])
    value = max(0.0, seen[gas] - room)
    unit = "ppm" if gas == "hc" else "%"
    return Measure(value, (_METER[gas] ** 2 + (0.05 * value) ** 2) ** 0.5, unit, f"{gas.upper()} over the neck less the room's", "reading")
