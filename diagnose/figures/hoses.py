"""Temperatures measured at hoses and core: no flow through the radiator, no flow through the heater, cold patches."""

from __future__ import annotations

from diagnose.case.observation import Observation
from diagnose.derive import hoses as physics
from diagnose.derive.measure import CannotJudge, Measure, below
from diagnose.figures.derived import Asked, Derived, judged, yes_no
from diagnose.figures.series import named, series, unique
from diagnose.figures.spot import spot, worth

_PLACES = {"engine": "degC", "upper": "degC", "lower": "degC", "heater_in": "degC", "heater_out": "degC"}
_NOMINAL_C, _NOMINAL_SD = 88.0, 4.0
"""Opening of a plain wax thermostat whose stamp is not known [°C]. Source: common practice, no source."""
_MUST_BE_OPEN_K, _OPEN_SPREAD_K = 12.0, 3.0
"""Above its stamp by this a thermostat is fully open. Source: US TM 5-3825-229-14&P para 4-46A."""
_APART_K, _APART_SPREAD_K = 28.0, 6.0
"""Between 5 and 15 K a radiator works, up to 20 at idle; beyond this the two sides are no longer one flow. Source: estimate."""
_TRUST_BARE = "Core metal is bare on most radiators: read painted fins, the plastic tank or tape."


def hoses(asked: Asked) -> list[Derived]:
    """Radiator and heater, each where its two places were measured. Place to temperature: engine, upper, lower, heater_in, heater_out."""
    shown = named(asked.observation, _PLACES)
    radiator, heater = {"upper", "lower"} <= set(shown), {"heater_in", "heater_out"} <= set(shown)
    if not radiator and not heater:
        raise CannotJudge("two hoses are compared: upper and lower, or heater_in and heater_out, and the engine's temperature")
    out = judged(asked, lambda a: _radiator(a, shown)) if radiator else []
    return out + (judged(asked.to("heater"), lambda a: _heater(a, shown)) if heater else [])


def _read(observation: Observation, shown: dict[str, float]) -> dict[str, Measure]:
    """Hoses are rubber; the engine's own figure comes from its sensor unless it was shot at too."""
    return {n: spot(observation, v, usual_surface="rubber") if n != "engine" else Measure(v, 3.0, "degC") for n, v in shown.items()}


def _radiator(asked: Asked, shown: dict[str, float]) -> Derived:
    """Engine hot enough for the thermostat to be open, and one side of the radiator cold all the same."""
    read = _read(asked.observation, shown)
    hot, cold = max((read[n] for n in ("engine", "upper", "lower") if n in read), key=lambda m: m.value), read["lower"]
    if read["upper"].value < cold.value:
        cold = read["upper"]
    vehicle = asked.case.vehicle
    if vehicle.thermostat in ("map", "rotary") and hot.value < 110.0:
        raise CannotJudge(
            "a map-controlled thermostat or a rotary valve may rightly be shut up to 105 °C: a cold radiator says nothing before"
        )
    stamp, stamp_sd = (vehicle.thermostat_opens, 1.0) if vehicle.thermostat_opens is not None else (_NOMINAL_C, _NOMINAL_SD)
    over = below(hot.value, stamp + _MUST_BE_OPEN_K, (hot.sd**2 + stamp_sd**2 + _OPEN_SPREAD_K**2) ** 0.5)
    drop = Measure(hot.value - cold.value, (hot.sd**2 + cold.sd**2) ** 0.5, "K", "hottest place less the colder hose", "readings")
    apart = 1.0 - below(_APART_K, drop.value, (drop.sd**2 + _APART_SPREAD_K**2) ** 0.5)
    if apart > 0.3 and over < 0.3:
        raise CannotJudge(
            f"the thermostat need not be open at {hot.value:.0f} °C: until {stamp + _MUST_BE_OPEN_K:.0f} °C a cold radiator is right"
        )
    notes = [worth(asked.observation)]
    if apart * over > 0.5:
        notes.append("Hot engine, cold hose: also air at the thermostat or no flow. Level and bleeding first (cold), before the part.")
    # a wide drop below full opening counts only as far as the thermostat should have been open: no halfway "no" is made of it
    return yes_no(asked, apart * over + 0.5 * apart * (1.0 - over), drop, unique(notes))


def _heater(asked: Asked, shown: dict[str, float]) -> Derived:
    read = _read(asked.observation, shown)
    if "engine" not in read:
        raise CannotJudge("the engine's temperature is needed beside the heater hoses")
    inlet, outlet = read["heater_in"], read["heater_out"]
    result = physics.heater(inlet.value, outlet.value, read["engine"].value, sd=max(inlet.sd, outlet.sd))
    one_cold, other = result.likelihood["restricted"], max(result.likelihood["flowing"], result.likelihood["no flow"])
    return yes_no(asked, one_cold / (one_cold + other), result.drop, unique([worth(asked.observation), *result.notes]))


def core(asked: Asked) -> Derived:
    """Spots over a warm core, five or more, in their order from inlet to outlet: the coldest patch against the rest."""
    observation = asked.observation
    if observation.engine in ("cold", "warming"):
        raise CannotJudge("with the thermostat shut the whole core is cold: read it with the engine hot and the thermostat open")
    read = {name: spot(observation, value, 2.0) for name, value in series(observation, "degC").items()}
    result = physics.cold_patches({n: m.value for n, m in read.items()}, sd=max(m.sd for m in read.values()), rows=tuple(read))
    cold = [f"Colder than its row: {name.replace('_', ' ')}." for name, chance in sorted(result.patches.items()) if chance > 0.5]
    bare = _TRUST_BARE if worth(observation) else ""
    return yes_no(asked, max(result.patches.values()), result.coldest, unique([*cold, worth(observation), bare, *result.notes]))
