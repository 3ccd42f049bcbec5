"""Combustion gas in the coolant: what an indicator fluid or an exhaust-gas analyser says, and what each may miss."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

from diagnose.derive.indicator import exhaust_co2, turning_co2, turning_spread
from diagnose.derive.measure import CannotJudge, bands, below

# Typical air ratio by fuel and engine state; the ratios are common practice, see `exhaust_co2`.
_LAMBDA = {("petrol", "idle"): 1.0, ("petrol", "load"): 1.0, ("diesel", "idle"): 6.0, ("diesel", "load"): 1.6}
_SHARE_AT_NECK = {"idle": 0.2, "load": 0.4}  # exhaust in the gas drawn off, when it leaks; estimate, spread over a factor of e
_LEAKS_NOW = {"idle": 0.80, "load": 0.95}  # a leak that shows at all does so during this test; estimate
COLOURS = ("blue", "green", "yellow")
# No gas, yet it changed, with the blank in order or not done; estimates.
_NO_GAS = {"clear": {"blue": 0.95, "green": 0.035, "yellow": 0.015}, "none": {"blue": 0.84, "green": 0.10, "yellow": 0.06}}
_SEE = "one negative proves little: repeat hot, after a loaded run"


@dataclass(frozen=True)
class GasEvidence:
    """Likelihood of the reading if combustion gas enters the coolant, and if none does. Their ratio is the evidence, 1 is none."""

    gas: float
    no_gas: float
    expected_co2: float
    notes: tuple[str, ...]

    @property
    def ratio(self) -> float:
        """`gas` over `no_gas`."""
        return self.gas / self.no_gas


def _state(fuel: str, engine: str) -> float:
    if (fuel, engine) not in _LAMBDA:
        raise CannotJudge(f"{fuel}, {engine}: say petrol or diesel, and idle or load")
    return exhaust_co2(_LAMBDA[fuel, engine], fuel)


def indicator(
    colour: str,
    fuel: str,
    engine: str,
    *,
    blank: str = "none",
    liquid_carried: bool | None = None,
    bicarbonate_mm: float = 1.0,
) -> GasEvidence:
    """Read an indicator fluid: `colour` blue, green or yellow at the end, engine idle or load (loaded run just before, or held).

    `blank`: clear (clean air left it blue), turned, or none (not done). `liquid_carried`: coolant got into the fluid.
    `bicarbonate_mm`: strength of the reagent; a diesel reagent is weaker. A turned blank is refused. Raises CannotJudge.

    >>> indicator("blue", "petrol", "load", blank="clear").ratio < indicator("blue", "diesel", "idle", blank="clear").ratio < 1
    True
    """
    if colour not in COLOURS or blank not in ("clear", "turned", "none"):
        raise CannotJudge("colours are blue, green, yellow; the blank is clear, turned or none")
    exhaust = _state(fuel, engine)
    if blank == "turned":
        raise CannotJudge("the fluid turned in clean air: it is spent, or the room is full of exhaust. Fresh fluid, fresh air, again")
    gas = _colours(exhaust * _SHARE_AT_NECK[engine], _LEAKS_NOW[engine], bicarbonate_mm)
    none = _NO_GAS[blank]
    if liquid_carried:  # alkaline or acid coolant moves the colour either way: nearly nothing is left of the evidence
        gas, none = {c: 1 / 3 + 0.1 * (p - 1 / 3) for c, p in gas.items()}, dict.fromkeys(COLOURS, 1 / 3)
    return GasEvidence(gas[colour], none[colour], exhaust, _indicator_notes(colour, fuel, engine, blank, liquid_carried))


def _colours(co2_at_neck: float, leaks: float, bicarbonate_mm: float) -> dict[str, float]:
    """Chance of each colour when gas leaks in: green from pH 7.0, yellow from 6.3, over the spread of dilution (a factor of e)."""
    edges = [(log(turning_co2(bicarbonate_mm, ph)), turning_spread()) for ph in (7.0, 6.3)]
    shares = bands(log(co2_at_neck), 1.0, edges)
    chances = {"blue": 1.0 - leaks + leaks * shares[0], "green": leaks * shares[1], "yellow": leaks * shares[2]}
    return {colour: 0.97 * chance + 0.01 for colour, chance in chances.items()}


def _indicator_notes(colour: str, fuel: str, engine: str, blank: str, liquid: bool | None) -> tuple[str, ...]:
    notes = []
    if liquid:
        notes.append("Coolant was carried over: the result is worth almost nothing. Lower the level, fresh fluid, again.")
    if liquid is None and colour != "blue":
        notes.append("Was coolant carried over into the fluid? Then the colour proves nothing.")
    if blank == "none":
        notes.append("No blank in clean air was done: a positive needs one.")
    if colour == "blue":
        notes.append(f"Blue: {_SEE}.")
        notes.append("A leak that opens only hot, or only pushes coolant into the cylinder, sends no gas to the neck.")
    if fuel == "diesel" and engine == "idle":
        notes.append("An idling diesel has 2 to 3 % CO2: this test nearly cannot turn. Load it, and use a reagent made for diesel.")
    notes.append("Opened cold, level lowered, run with the cap off: stop when it climbs. Not indoors: exhaust kills.")
    return tuple(notes)


def analyser(
    fuel: str,
    engine: str,
    *,
    hc_ppm: float | None = None,
    co2_percent: float | None = None,
    co_percent: float | None = None,
    room_hc_ppm: float = 10.0,
    room_co2_percent: float = 0.05,
    rises_with_load: bool | None = None,
    fuel_smell: bool = False,
) -> GasEvidence:
    """Read an exhaust-gas analyser held over the open neck, tip above the liquid; the room's own reading is taken off.

    HC in ppm, CO2 and CO in vol %. The limits (HC 50 ppm, CO2 0.5 %, CO 0.1 %) are common practice, no source, with wide spreads.
    The gases come together, so the clearest counts full and the others a third. Raises CannotJudge.

    >>> analyser("petrol", "load", co2_percent=3, hc_ppm=300).ratio > 10
    True
    """
    exhaust = _state(fuel, engine)
    parts = _seen(fuel, engine, hc_ppm, co2_percent, co_percent, room_hc_ppm, room_co2_percent, fuel_smell)
    if not parts:
        raise CannotJudge("give HC, CO2 or CO at the neck")
    parts.sort(key=lambda pair: -abs(log(pair[0] / pair[1])))
    gas, none = parts[0]
    for g, n in parts[1:]:
        gas, none = gas * g ** (1 / 3), none * n ** (1 / 3)
    if rises_with_load is not None:
        gas *= 0.75 if rises_with_load else 0.25
        none *= 0.15 if rises_with_load else 0.85
    notes = ["Never let the probe draw liquid: tip above the coolant, hose short. No running indoors; carbon monoxide kills."]
    if hc_ppm is not None and (fuel_smell or co2_percent is None):
        notes.append("HC alone can be fuel vapour, solvent or old coolant: CO2 with it, or a rise with load, is what counts.")
    if co2_percent is None and co_percent is None:
        notes.append("HC only: a lean or a hot leak may give little of it.")
    if fuel == "diesel":
        notes.append("A diesel gives little HC and CO, and at idle only 2 to 3 % CO2: measure after load.")
    notes.append(f"A low reading clears little; {_SEE}.")
    return GasEvidence(gas, none, exhaust, tuple(notes))


def _seen(
    fuel: str,
    engine: str,
    hc: float | None,
    co2: float | None,
    co: float | None,
    room_hc: float,
    room_co2: float,
    smell: bool,
) -> list[tuple[float, float]]:
    """(gas, no gas) likelihood of each gas measured: over its limit or not, softly. Chances are estimates."""
    diesel = fuel == "diesel"
    idle = engine == "idle"
    table = (
        ("HC", hc, 20000.0, room_hc, 50.0, 30.0, 0.4 if diesel else 0.8, 0.4 if smell else 0.08),
        ("CO2", co2, 20.0, room_co2, 0.5, 0.3, 0.5 if diesel and idle else 0.85, 0.03),
        ("CO", co, 15.0, 0.0, 0.1, 0.06, 0.1 if diesel else 0.6, 0.04),
    )
    parts = []
    for name, value, top, room, limit, spread, with_gas, without in table:
        if value is None:
            continue
        if not 0.0 <= value <= top:
            raise CannotJudge(f"{name} of {value:g} is outside 0 to {top:g} {'ppm' if name == 'HC' else '%'}")
        high = 1.0 - below(limit, value - room, sqrt(spread**2 + (0.1 * value) ** 2))
        chance = with_gas * (_LEAKS_NOW[engine])
        parts.append((chance * high + (1 - chance) * (1 - high), without * high + (1 - without) * (1 - high)))
    return parts
