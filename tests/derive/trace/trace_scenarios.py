"""Which vehicles, which faults how severe, which drives, which columns. Fixed before the detector was written; not to be tuned to
it.

What the truth allows is decided here by physics and columns, never by the detector:
- `masked`: the fault could not have shown. The same vehicle without the fault, same drive, reads within 11.1 K everywhere (the
  distance that 13 CCR 1968.2 (e)(10.2.1)(A)(ii) allows a thermostat monitor); or a fault that makes hot stays within 12 K of the
  marking, a plain thermostat's own span (US TM 5-3825-229-14&P; 91 °C if not known); or below 105 °C, the upper end of fan
  settings in practice (tests/reference/thermostat_sensor.csv), and air or speed are not logged, so that a hot day uphill is not
  excluded; or a sensor's bias leaves the reading between 78 and 105 °C with no cold start to compare and no marking; or an open
  thermostat lets the reading come within 11.1 K of its marking, where the monitor of 13 CCR 1968.2 passes it.
- `inseparable`: what was logged cannot separate this fault from its look-alikes. What makes hot (water, air or thermostat):
  without speed. Fan from flow: hot only standing or only moving. Blocked radiator from a shut or late thermostat: without the
  radiator's outlet. Thermostat shut from no flow: never (either leaves the radiator cold; it takes a hand on the hose before the
  radiator). Late, or map-controlled: without the thermostat's marking. Biased sensor, and stuck open (a sensor that reads low
  looks the same): without air temperature at a cold start; reading high, unless it is known that the engine had stood (it may
  have been warm). Late from shut: if the driver stopped, hot, first. What makes hot from map control: without the marking, below
  112 °C. A sound vehicle from a faulty one: if its thermostat never had to open; or if it read above its thermostat's span and
  the speed is not known (a hill and a queue, or a fault).
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from vehicle_model import Drive, Run, Vehicles, run

Array = NDArray[np.float64]
TOLERANCE_K = 11.1

# name -> the pattern that is true
SCENARIOS: dict[str, str] = {
    "plain": "normal",
    "short fan cycles": "normal",
    "long fan cycles": "normal",
    "hot day uphill": "normal",
    "map": "map_controlled",
    "stuck open": "stuck_open",
    "stuck shut": "stuck_shut",
    "late": "late",
    "pump": "low_flow",
    "blockage": "low_flow",
    "no fan": "no_fan",
    "air pocket": "air_pocket",
    "sensor jumps": "bad_sensor",
    "sensor flat": "bad_sensor",
    "sensor bias": "bad_sensor",
    "sensor circuit": "bad_sensor",
    "not warmed up": "normal",
}

QUEUES = ("no fan", "short fan cycles", "long fan cycles")

COLUMN_SETS: tuple[tuple[str, ...], ...] = (
    ("speed", "rpm", "ambient", "intake", "fan", "load", "outlet"),
    ("speed", "rpm", "ambient", "intake", "load"),
    ("speed", "rpm", "intake", "load"),
    ("speed", "fan"),
    ("speed",),
    ("rpm", "intake"),
    (),
)


@dataclass
class Made:
    """One log with its truth."""

    scenario: str
    truth: str
    seed: int
    seconds: Array
    coolant: Array
    columns: dict[str, Array]
    stood: bool | None  # what the user says: the engine had stood for hours
    nominal: float | None  # °C, the thermostat's marking, if the user knows it
    masked: bool
    inseparable: bool


def _drive(rng: np.random.Generator, steps: int, scenario: str) -> tuple[Array, Array, Array]:
    speed, grade = np.zeros(steps), np.zeros(steps)
    i = int(rng.integers(10, 90))
    queue_at = int(rng.integers(450, 800)) if scenario in QUEUES else steps
    while i < steps:
        kind = rng.choice(["idle", "town", "country", "motorway", "hill", "descent"], p=[0.2, 0.3, 0.22, 0.14, 0.07, 0.07])
        n = int({"idle": rng.uniform(60, 600), "town": rng.uniform(120, 500)}.get(str(kind), rng.uniform(150, 500)))
        if scenario == "hot day uphill" and i > 400 and not grade.any():
            kind, n = "hill", int(rng.uniform(300, 600))
        if i > queue_at:  # a long queue in traffic, as in the complaint
            kind, n, queue_at = "idle", int(rng.uniform(600, 1500)), steps
        part = slice(i, min(steps, i + n))
        m = part.stop - part.start
        if kind == "town":
            wave = 22 + 22 * np.sin(np.arange(m) * 2 * np.pi / rng.uniform(40, 110) + rng.uniform(0, 6))
            speed[part] = np.where(wave < 6, 0, wave)
        elif kind != "idle":
            low, high = {"country": (65, 95), "motorway": (100, 130), "hill": (60, 90), "descent": (50, 80)}[str(kind)]
            speed[part] = rng.uniform(low, high) + 4 * np.sin(np.arange(m) / rng.uniform(10, 30))
            slope = {"hill": rng.uniform(0.04, 0.07), "descent": rng.uniform(-0.06, -0.03)}.get(str(kind), 0.0)
            grade[part] = slope
        i = part.stop
    smooth = np.ones(9) / 9
    speed = np.convolve(speed, smooth, "same")
    rpm = np.where(speed < 3, 800.0, np.maximum(1500.0, 24 * speed + 300)) + rng.normal(0, 15, steps)
    return speed, grade, rpm


def _vehicles(rng: np.random.Generator, n: int, scenario: str) -> Vehicles:
    u = rng.uniform
    ambient = u(-10, 35, n)
    if scenario == "hot day uphill":
        ambient = u(30, 40, n)
    if scenario in ("no fan", "pump", "blockage"):
        ambient = u(5, 38, n)
    opens = rng.choice([82.0, 88.0, 91.0], n) + u(-2, 2, n)
    fan_on = np.maximum(u(95, 103, n), opens + 8)
    fan_gap = u(4, 9, n)
    if scenario == "short fan cycles":
        ambient, fan_gap = u(20, 36, n), u(2, 4, n)
    if scenario == "long fan cycles":
        ambient, fan_gap = u(20, 36, n), u(9, 14, n)
    map_drop = np.zeros(n)
    if scenario == "map":
        opens, map_drop = u(103, 107, n), u(13, 18, n)
        fan_on = opens + u(6, 9, n)
    warm = u(0, 1, n) < 0.25
    start = np.where(warm, np.maximum(u(40, 80, n), ambient + 5), ambient + u(-1, 1, n))
    if scenario == "not warmed up":
        start = ambient + u(-1, 1, n)
    p = Vehicles(
        ambient=ambient,
        start=start,
        engine_mass=u(60, 110, n),
        idle_heat=u(4.5, 7.5, n) if scenario in QUEUES else u(3.5, 6, n),
        opens=opens,
        map_drop=map_drop,
        hysteresis=u(1.5, 4, n),
        wax_lag=u(8, 15, n),
        radiator=u(0.9, 1.4, n),
        fan_on=fan_on,
        fan_off=fan_on - fan_gap,
        fan_strength=u(0.35, 0.6, n),
        heater=np.where(ambient < 15, u(0.0, 0.05, n), 0.0),
        under_bonnet=u(4, 14, n),
        sensor_lag=u(3, 8, n),
        stop_at=u(119, 128, n),
        size=np.random.default_rng([n, len(scenario)]).uniform(0.75, 1.3, n),
    )
    if scenario == "stuck open":
        p.leak = u(0.08, 1.0, n)
    if scenario == "stuck shut":
        p.most = u(0.0, 0.03, n)
    if scenario == "late":
        p.late, p.wax_slow = u(10, 22, n), u(3, 6, n)
    if scenario == "pump":
        p.pump = u(0.05, 0.18, n)
    if scenario == "blockage":
        p.blocked = u(0.08, 0.30, n)
    if scenario == "no fan":
        p.fan_works = np.zeros(n)
        p.fan_commanded = (u(0, 1, n) < 0.5).astype(float)
    if scenario == "air pocket":
        p.air_rate, p.wax_slow = 1 / u(25, 120, n), u(2, 6, n)
    return p


def _spoil(rng: np.random.Generator, scenario: str, t: Array, reading: Array) -> Array:
    """Electrical faults of the sensor, on the logged reading."""
    out = reading.copy()
    if scenario == "sensor jumps":
        size = -rng.uniform(15, 60) if rng.random() < 0.8 else rng.uniform(15, 40)
        for at in rng.uniform(t[0], t[-1], int(rng.integers(3, 30))):
            out[(t >= at) & (t < at + rng.uniform(1, 8))] += size * rng.uniform(0.7, 1.2)
    if scenario == "sensor flat":
        at = t[0] + rng.uniform(0.02, 0.5) * (t[-1] - t[0])
        out[t >= at] = out[np.searchsorted(t, at)]
    if scenario == "sensor bias":
        out = out + rng.choice([-1.0, 1.0]) * rng.uniform(8, 25)
    if scenario == "sensor circuit":
        at = t[0] if rng.random() < 0.5 else rng.uniform(t[0], t[-1] - 30)
        out[t >= at] = rng.choice([-40.0, 140.0, 215.0])
    return out


def _lane(rng: np.random.Generator, scenario: str, seed: int, lane: int, p: Vehicles, d: Drive, faulty: Run, sound: Run) -> Made:
    end = int(min(faulty.end[lane], rng.integers(1300, len(d.speed))))
    if scenario == "not warmed up":
        cold = np.flatnonzero(faulty.coolant[:, lane] > min(65.0, p.opens[lane] - 15))
        end = int(min(cold[0] if len(cold) else end, rng.integers(90, 400)))
    step = float(rng.choice([0.5, 1.0, 1.0, 2.0, 3.0, 5.0]))
    t = np.arange(0, end - 1, step)
    t = np.clip(np.sort(t + rng.normal(0, 0.08 * step, len(t))), 0, end - 1)
    for _ in range(int(rng.integers(0, 4))):  # gaps
        at = rng.uniform(0, end)
        t = t[(t < at) | (t > at + rng.uniform(5, 40))]
    grid = np.arange(end, dtype=float)

    def pick(series: Array) -> Array:
        return np.asarray(np.interp(t, grid, series[:end]))

    noise = rng.normal(0, rng.uniform(0.0, 0.35), len(t))
    quantum = float(rng.choice([1.0, 1.0, 0.5, 0.1]))
    reading = _spoil(rng, scenario, t, pick(faulty.sensed[:, lane]) + noise)
    twin = pick(sound.sensed[:, lane]) + noise
    masked = bool(np.max(np.abs(reading - twin)) < TOLERANCE_K)
    biased_up = scenario == "sensor bias" and reading[0] > twin[0]
    reading = np.round(reading / quantum) * quantum
    reading[rng.random(len(t)) < rng.uniform(0, 0.02)] = np.nan
    ambient = np.full(len(t), p.ambient[lane])
    available = {
        "speed": np.round(np.maximum(pick(d.speed[:, lane]), 0)),
        "rpm": np.round(pick(d.rpm[:, lane])),
        "ambient": np.round(ambient + rng.uniform(-1, 2)),
        "intake": np.round(ambient + 2 + 12 * np.exp(-pick(d.speed[:, lane]) / 30) * np.clip(t / 600, 0, 1)),
        "fan": np.round(pick(faulty.fan[:, lane])),
        "load": np.round(pick(faulty.load[:, lane]), 1),
        "outlet": np.round(pick(faulty.outlet[:, lane])),
    }
    names = COLUMN_SETS[int(rng.integers(0, len(COLUMN_SETS)))]
    if scenario == "not warmed up":
        names = COLUMN_SETS[int(rng.integers(0, 3))]
    stood = True if p.start[lane] < p.ambient[lane] + 2 and rng.random() < 0.5 else None
    nominal = float(round(p.opens[lane])) if rng.random() < 0.5 else None
    hot, standing = reading > 98, available["speed"] < 3
    both = np.sum(hot & standing) > 30 and np.sum(hot & ~standing) > 30
    hot_fault = scenario in ("no fan", "pump", "blockage", "stuck shut", "late")
    air = "ambient" in names or "intake" in names
    top = float(np.nanmax(reading))
    compared = air and (p.start[lane] < p.ambient[lane] + 2) and (stood is not None or not biased_up)
    masked |= hot_fault and top < (91 if nominal is None else nominal) + 12
    masked |= hot_fault and top < 105 and not (air and "speed" in names)
    masked |= scenario == "sensor bias" and not compared and nominal is None and 78 < top < 105
    masked |= scenario == "stuck open" and top > p.opens[lane] - TOLERANCE_K
    stopped = bool(faulty.end[lane] < len(d.speed))
    never_opened = float(faulty.coolant[:end, lane].max()) < p.opens[lane]
    hot_unplaced = top > p.opens[lane] + 12 and "speed" not in names
    sound = SCENARIOS[scenario] in ("normal", "map_controlled")
    inseparable = (
        (sound and (never_opened or hot_unplaced))
        or (hot_fault and ("speed" not in names or (nominal is None and top < 112)))
        or {
            "no fan": "speed" not in names or not both,
            "pump": "speed" not in names or not both or p.pump[lane] < 0.12,  # so little flow is a shut thermostat to every column
            "blockage": "outlet" not in names or not both,
            "stuck shut": True,
            "stuck open": not compared,
            "late": nominal is None or stopped or "outlet" not in names,
            "map": nominal is None,
            "sensor bias": not compared,
        }.get(scenario, False)
    )
    columns = {name: available[name] for name in names}
    return Made(scenario, SCENARIOS[scenario], seed, t, reading, columns, stood, nominal, masked, inseparable)


def make(seeds: int, first: int = 0, scenarios: tuple[str, ...] = tuple(SCENARIOS)) -> list[Made]:
    """`seeds` logs of every scenario, the same every time; all stepped in one batch, with a sound twin of each."""
    steps = 2700
    rngs = {name: np.random.default_rng([first, list(SCENARIOS).index(name)]) for name in scenarios}
    drives = [_drive(rngs[name], steps, name) for name in scenarios for _ in range(seeds)]
    d = Drive(*(np.stack(part, axis=1) for part in zip(*drives, strict=True)))
    p = _joined([_vehicles(rngs[name], seeds, name) for name in scenarios], seeds)
    faulty, sound = run(p, d, first + 1), run(p.healthy(), d, first + 1)
    return [
        _lane(np.random.default_rng([first, 7, lane]), scenarios[lane // seeds], lane % seeds, lane, p, d, faulty, sound)
        for lane in range(seeds * len(scenarios))
    ]


def _joined(parts: list[Vehicles], n: int) -> Vehicles:
    names = [f.name for f in fields(Vehicles)]
    return Vehicles(**{name: np.concatenate([np.broadcast_to(getattr(part, name), (n,)) for part in parts]) for name in names})
