"""Voltage in the coolant: the states and loads of one session together, the block's own voltage beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.case.observation import Observation
from diagnose.case.quantity import parse
from diagnose.derive.measure import CannotJudge, Measure, below
from diagnose.derive.voltage import REST, STATES, CoolantVoltage, Reading, judge
from diagnose.figures.derived import Asked, Derived, banded, cannot, yes_no
from diagnose.figures.series import series, single, unique

_SAME = {
    "off": "engine_off", "ignition_off": "engine_off", "battery_disconnected": "battery_off", "battery_connected": "engine_off",
    "crank": "cranking", "starter": "cranking", "running": "idle", "rpm_2000": "2000_rpm", "2000rpm": "2000_rpm", "2000": "2000_rpm",
}  # fmt: skip
_STEP_V, _STEP_SPREAD_V = 0.10, 0.06  # by how much one circuit must stand out from the next; as for a load in derive.voltage, estimate
_CRANKING_SHARE = 0.4  # half a volt is allowed while cranking where 0.2 V is with loads; common practice, no source
_UNDER_LOAD_SD = 0.15  # what a load's own drop may add to or take from the coolant's volts; estimate
_METER_SD, _PROBE_SD = 0.01, 0.03  # of a workshop meter and of a probe in coolant; estimates, as in derive.voltage

Volts = dict[str, float]


def voltage(group: Sequence[Asked]) -> list[Derived]:
    """Coolant to battery negative in several states, less the block's own volts; and what moves with the loads, and with which."""
    blocks = [a for a in group if a.reading and a.reading.id == "block_to_battery"]
    coolant = [a for a in group if a not in blocks]
    block = _mean([_labelled(a.observation) for a in blocks])
    out = [_ground(a, _labelled(a.observation)) for a in blocks]
    if not coolant:
        return out
    volts = _mean([_labelled(a.observation) for a in coolant])
    block = {**_mean([_own_block(a.observation) for a in coolant]), **block}
    if not {*REST, "idle"} & set(volts):
        return out + _no_rest(coolant, volts, block)
    try:
        result = judge(*_split({n: Reading(v, block.get(n), _ac(coolant, n)) for n, v in volts.items()}), temp_c=_hottest(coolant))
        raw = judge(*_split({n: Reading(v, 0.0) for n, v in volts.items()}))
    except CannotJudge as why:
        return out + [cannot(a, str(why)) for a in coolant]
    resting = [a for a in coolant if set(_labelled(a.observation)) & {*REST, "idle"}]
    for asked in resting:
        out.append(banded(asked, result.inhibitor, result.notes))
    for asked in coolant:
        rise = asked.to("rise") if _loads(volts) else None
        out += [_rise(rise, volts, block, raw)] if rise else []
        out += _circuit(asked.to("circuit"), volts)
    return out


def _no_rest(coolant: Sequence[Asked], volts: Volts, block: Volts) -> list[Derived]:
    """Only read fast, loaded or cranking. At 2000 rpm is how it is commonly taught, and counts; under load it may be the ground."""
    name = "2000_rpm" if "2000_rpm" in volts else max(sorted(volts), key=lambda n: abs(volts[n]))
    value = abs(volts[name] - block.get(name, 0.0))
    sd = (_METER_SD**2 + _PROBE_SD**2 + (0.0 if name == "2000_rpm" else _UNDER_LOAD_SD**2)) ** 0.5
    words = f"coolant less block, {name.replace('_', ' ')}" if name in block else f"as read, {name.replace('_', ' ')}"
    note = "Read it again with the loads off, and block to battery negative: what only comes with a load is the ground, not the coolant."
    measure = Measure(value, sd, "V", words, "common practice; limits 0.15 to 0.5 V disagree")
    return [banded(a, measure, () if name == "2000_rpm" else (note,)) for a in coolant]


def _labelled(observation: Observation) -> Volts:
    """State or load to volts; a single figure is named by its circumstances."""
    if isinstance(observation.answer, dict):
        return {_SAME.get(label, label): value for label, value in series(observation, "V").items()}
    return {_state(observation): single(observation, "V")}


def _state(observation: Observation) -> str:
    if observation.loads_on == "yes":
        return "loads"
    if observation.rpm is not None and observation.rpm > 1500:
        return "2000_rpm"
    if observation.engine == "cranking":
        return "cranking"
    return "engine_off" if observation.engine in ("cold", "hot_off") else "idle"


def _own_block(observation: Observation) -> Volts:
    if observation.block_voltage is None:
        return {}
    return dict.fromkeys(_labelled(observation), parse(observation.block_voltage, "V"))


def _ac(coolant: Sequence[Asked], name: str) -> float | None:
    found = [abs(parse(a.observation.ac_voltage, "V")) for a in coolant if a.observation.ac_voltage and name in _labelled(a.observation)]
    return max(found, default=None)


def _hottest(coolant: Sequence[Asked]) -> float | None:
    return max((a.observation.sample_temperature for a in coolant if a.observation.sample_temperature is not None), default=None)


def _mean(several: Sequence[Mapping[str, float]]) -> Volts:
    """The same state read more than once counts as its mean."""
    names = sorted({name for one in several for name in one})
    found = {name: [one[name] for one in several if name in one] for name in names}
    return {name: sum(values) / len(values) for name, values in found.items()}


def _split(readings: Mapping[str, Reading]) -> tuple[dict[str, Reading], dict[str, Reading]]:
    return {n: r for n, r in readings.items() if n in STATES}, {n: r for n, r in readings.items() if n not in STATES}


def _loads(volts: Volts) -> Volts:
    return {n: v for n, v in volts.items() if n not in STATES}


def _base(volts: Volts) -> str:
    """Loads are compared with the engine in the same state: idle where it was read, else at rest."""
    return next((n for n in ("idle", *REST[::-1]) if n in volts), "")


def _rise(asked: Asked, volts: Volts, block: Volts, raw: CoolantVoltage) -> Derived:
    """The rise as it was seen: a bad earth lifts the block with the loads, and that it is the block is told beside."""
    loads = _loads(volts)
    base = _base(volts)
    name = max(sorted(loads), key=lambda n: abs(loads[n] - volts[base]))
    value = abs(loads[name] - volts[base])
    measure = Measure(value, (2.0 * (_METER_SD**2 + _PROBE_SD**2)) ** 0.5, "V", f"largest change from {base}: {name}", raw.inhibitor.source)
    notes = [f"It moves most with {name.replace('_', ' ')}."] if value > 2 * measure.sd else []
    if name in block:
        own = abs(block[name] - block.get(base, 0.0))
        notes.append(f"The block itself moves by {own:.2f} V then; the coolant's own share is {abs(value - own):.2f} V.")
    else:
        notes.append("The block's own voltage was not measured then: the rise may be the block's and not the coolant's.")
    return banded(asked, measure, unique(notes))


def _circuit(asked: Asked | None, volts: Volts) -> list[Derived]:
    """One circuit found: its rise stands clear of every other's. Needs two loads read apart."""
    loads = _loads(volts)
    if asked is None or len(loads) < 2:
        return []
    base = volts[_base(volts)]
    first, second = sorted(loads, key=lambda n: (-abs(loads[n] - base), n))[:2]
    step = abs(loads[first] - base) - abs(loads[second] - base)
    sd = (2.0 * (_METER_SD**2 + _PROBE_SD**2)) ** 0.5
    measure = Measure(step, sd, "V", f"rise with {first} over that with {second}", "common practice; step: estimate")
    chance = 1.0 - below(_STEP_V, step, (sd**2 + _STEP_SPREAD_V**2) ** 0.5)
    told = f"{first.replace('_', ' ')} stands out: pull its fuse and read again." if chance > 0.5 else "No single load stands out."
    return [yes_no(asked, chance, measure, (told[:1].upper() + told[1:],))]


def _ground(asked: Asked, block: Volts) -> Derived:
    """Block to battery negative at its worst; cranking is allowed more."""
    current = {n: abs(v) * (_CRANKING_SHARE if n == "cranking" else 1.0) for n, v in block.items() if n not in REST}
    if not current:
        return cannot(asked, "read it with loads on or cranking: without current a bad strap loses nothing")
    name = max(sorted(current), key=current.__getitem__)
    words = f"block to battery negative, {name}" + (f", taken at {_CRANKING_SHARE:.0%} for cranking" if name == "cranking" else "")
    return banded(asked, Measure(current[name], _METER_SD, "V", words, "common practice, no source"))
