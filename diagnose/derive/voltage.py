"""Voltage in the coolant at several states: worn inhibitor, galvanic residue or ground fault, which circuit. Weak evidence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.derive.measure import CannotJudge, Measure, below

# 0.15, 0.3, 0.4 and 0.5 V are all in use as limits and no standard gives one; 0.4 with their scatter about it.
LIMIT_V, LIMIT_SPREAD_V = 0.4, 0.15
_RISE_V, _RISE_SPREAD_V = 0.10, 0.06  # rise when a load goes on that is more than noise; estimate
_BLOCK_V, _BLOCK_SPREAD_V = 0.20, 0.10  # volts lost block to battery negative; common practice, no source (0.5 V when cranking)
_CRANK_V = 0.50
_PROBE_SD = 0.03  # polarisation and contact scatter of a probe in coolant, common practice as an estimate
REST = ("battery_off", "engine_off")
STATES = (*REST, "cranking", "idle", "2000_rpm")
_SOURCE = "common practice; limits 0.15 to 0.5 V disagree"


@dataclass(frozen=True)
class Reading:
    """`volts` DC, coolant to battery negative; `block` volts, block to battery negative; `ac` volts AC (None: not measured)."""

    volts: float
    block: float | None = None
    ac: float | None = None


@dataclass(frozen=True)
class CoolantVoltage:
    """What the readings amount to, block subtracted.

    `inhibitor`: size at rest. `rise`: largest rise over rest with a state or load on (None: none measured). `over`: chance that
    the rest voltage is above the limit. `circuits`: chance per state or load that it adds voltage, largest first.
    `likelihood` of the readings under sound coolant / spent inhibitor / galvanic residue / ground fault, the greatest 1.
    """

    inhibitor: Measure
    over: float
    rise: Measure | None
    circuits: Mapping[str, float]
    block_rise: Mapping[str, float]
    likelihood: Mapping[str, float]
    notes: tuple[str, ...]


def judge(
    states: Mapping[str, Reading],
    loads: Mapping[str, Reading] | None = None,
    *,
    temp_c: float | None = None,
    meter_sd: float = 0.01,
) -> CoolantVoltage:
    """Judge volts in the coolant: `states` out of battery_off, engine_off, cranking, idle, 2000_rpm; `loads`: each consumer on.

    Needs one state at rest or at idle. Volts -15 to 15. Source: common practice (`coolant_standards` table). Raises CannotJudge.

    >>> a, b = (judge({"engine_off": Reading(v, 0.0)}).over for v in (0.39, 0.41))
    >>> round(a, 2), round(b, 2)
    (0.47, 0.53)
    """
    loads = loads or {}
    _check(states, loads)
    sd = sqrt(meter_sd**2 + _PROBE_SD**2)
    base_name = next((s for s in (*REST, "idle") if s in states), "")
    if not base_name:
        raise CannotJudge("needs a reading with the battery off, the engine off, or at idle to compare with")
    signed = _corrected(states[base_name])
    base = Measure(abs(signed), sd, "V", f"coolant less block, {base_name}", _SOURCE)
    over = 1.0 - below(LIMIT_V, base.value, sqrt(sd**2 + LIMIT_SPREAD_V**2))
    rises = _rises({**states, **loads}, base_name, signed, sd)
    circuits = {
        name: 1.0 - below(_RISE_V, m.value, sqrt(m.sd**2 + _RISE_SPREAD_V**2))
        for name, m in sorted(rises.items(), key=lambda item: (-item[1].value, item[0]))
    }
    top = next(iter(circuits), None)
    blocks = _block_losses(states, loads, meter_sd)
    likelihood = _likelihood(over, circuits, blocks, "battery_off" in states)
    notes = _notes(states, loads, signed, circuits, blocks, temp_c)
    return CoolantVoltage(base, over, rises[top] if top else None, circuits, blocks, likelihood, notes)


def _corrected(reading: Reading) -> float:
    return reading.volts - (reading.block or 0.0)


def _check(states: Mapping[str, Reading], loads: Mapping[str, Reading]) -> None:
    unknown = sorted(set(states) - set(STATES))
    if unknown:
        raise CannotJudge(f"unknown state {', '.join(unknown)}; allowed: {', '.join(STATES)}. Consumers go under loads")
    for name, reading in {**states, **loads}.items():
        for volts in (reading.volts, reading.block or 0.0):
            if not -15.0 <= volts <= 15.0:
                raise CannotJudge(f"{volts:g} V at {name} is outside -15 to 15 V: check the range (millivolts?) and the leads")
        if reading.ac is not None and not 0.0 <= reading.ac <= 15.0:
            raise CannotJudge(f"AC volts at {name} must be 0 to 15 V")


def _rises(all_: Mapping[str, Reading], base: str, signed: float, sd: float) -> dict[str, Measure]:
    """How far each state or load moves the voltage from rest, either way: a current may drive it up or down."""
    return {
        name: Measure(abs(_corrected(r) - signed), _rise_sd(r, sd), "V", f"change from {base}, block subtracted", _SOURCE)
        for name, r in all_.items()
        if name != base and name not in REST[:1]
    }


def _rise_sd(reading: Reading, sd: float) -> float:
    """Where the block was not measured, its own rise may be in the reading: 0.15 V more of doubt, an estimate."""
    return sqrt(2.0 * sd**2 + (0.15**2 if reading.block is None else 0.0))


def _block_losses(states: Mapping[str, Reading], loads: Mapping[str, Reading], meter_sd: float) -> dict[str, float]:
    """Chance, per reading with the block measured, that the ground strap between block and battery loses too much."""
    result = {}
    for name, r in {**states, **loads}.items():
        if r.block is not None and name != "battery_off":
            limit = _CRANK_V if name == "cranking" else _BLOCK_V
            result[name] = 1.0 - below(limit, abs(r.block), sqrt(meter_sd**2 + _BLOCK_SPREAD_V**2))
    return result


def _likelihood(over: float, circuits: Mapping[str, float], blocks: Mapping[str, float], battery_off: bool) -> dict[str, float]:
    """Tempered on purpose: the rest voltage alone moves odds by less than three, the change with loads by seven. Estimates."""
    tall = {"sound coolant": 0.25, "spent inhibitor": 0.65, "galvanic residue": 0.70, "ground fault": 0.35 if battery_off else 0.50}
    raw = {name: chance * over + (1.0 - chance) * (1.0 - over) for name, chance in tall.items()}
    if circuits:
        moved = max(circuits.values())
        for name in raw:
            chance = 0.70 if name == "ground fault" else 0.10
            raw[name] *= chance * moved + (1.0 - chance) * (1.0 - moved)
    if blocks:
        lossy = max(blocks.values())
        for name in raw:
            chance = 0.60 if name == "ground fault" else 0.10
            raw[name] *= chance * lossy + (1.0 - chance) * (1.0 - lossy)
    top = max(raw.values())
    return {name: value / top for name, value in raw.items()}


def _notes(
    states: Mapping[str, Reading],
    loads: Mapping[str, Reading],
    signed: float,
    circuits: Mapping[str, float],
    blocks: Mapping[str, float],
    temp_c: float | None,
) -> tuple[str, ...]:
    every = {**states, **loads}
    notes = ["Weak evidence: confirm with a pH or reserve-alkalinity strip and the coolant's age before anything is changed."]
    if signed < -0.02:
        notes.append("The sign is negative: check the leads first; kept as the size, the change with loads counts either way.")
    if any(r.block is None for r in every.values()):
        notes.append("Block to battery negative was not measured everywhere: a rise may be the block's potential, not the coolant's.")
    if any((r.ac or 0.0) > 0.1 for r in every.values()):
        notes.append("AC is present: look at the alternator's ripple (a diode); a meter on DC can read wrong beside it.")
    if any(p > 0.5 for p in blocks.values()):
        notes.append("Block to battery loses voltage: clean and measure the ground strap before judging the coolant.")
    if not circuits:
        notes.append("No loads switched: a rest voltage alone cannot tell worn inhibitor from galvanic residue or stray current.")
    if "cranking" in every:
        notes.append("Cranking: fuel and ignition disabled, nobody near belt and fan.")
    if "2000_rpm" in every:
        notes.append("2000 rpm warm is for the skilled: plain radiator neck, thermostat to 92 °C at most, always watched; else strips.")
    if temp_c is not None and temp_c > 50:
        notes.append("Above 50 °C: stop. Measure open coolant only below 50 °C; 49 °C already burns in minutes, hotter in seconds.")
    notes.append("Leads clear of fan and belt, face shield and gloves; not on a pressurised bottle or a high-voltage loop.")
    return tuple(notes)
