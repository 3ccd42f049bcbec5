"""A small thermal model of an engine and its cooling system, to make temperature logs whose truth is known.

It knows nothing of the detector. Severity ranges and columns are in `trace_scenarios.py`, written before the detector.

Nodes: engine with its coolant (one heat mass), radiator coolant, wax, sensor. Many vehicles are stepped at once, one array lane
each. Heat: kW and K. Road power is textbook road load (drag, rolling, grade) of an invented 1,500 kg car; the share to the
coolant is about equal to the shaft power, as heat balances in engine textbooks have it (from memory). Thermostat: starts within 3
K of nominal, full 12 K above (US TM 5-3825-229-14&P, tests/reference/thermostat_sensor.csv). Heat masses, pump flow, radiator and
fan conductance: estimates.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace

import numpy as np
from numpy.typing import NDArray

Lane = NDArray[np.float64]
STEP = 1.0  # seconds


@dataclass
class Vehicles:
    """One lane per vehicle. Fault fields at their defaults are healthy."""

    ambient: Lane  # °C
    start: Lane  # °C, coolant at key-on
    engine_mass: Lane  # kJ/K
    idle_heat: Lane  # kW
    opens: Lane  # °C
    map_drop: Lane  # K, how far the map lowers the opening under load (0: plain wax)
    hysteresis: Lane  # K
    wax_lag: Lane  # s
    radiator: Lane  # factor on radiator conductance
    fan_on: Lane  # °C
    fan_off: Lane  # °C
    fan_strength: Lane  # kW/K
    heater: Lane  # kW/K
    under_bonnet: Lane  # K, how much warmer the air at the radiator is when standing
    sensor_lag: Lane  # s
    stop_at: Lane  # °C, the driver gives up
    size: Lane  # factor on road power: from a small car to a laden van
    leak: Lane = field(default_factory=lambda: np.zeros(1))  # least stroke 0..1
    most: Lane = field(default_factory=lambda: np.ones(1))  # greatest stroke 0..1
    late: Lane = field(default_factory=lambda: np.zeros(1))  # K above nominal opening
    wax_slow: Lane = field(default_factory=lambda: np.ones(1))  # factor on wax lag
    pump: Lane = field(default_factory=lambda: np.ones(1))  # factor on flow
    blocked: Lane = field(default_factory=lambda: np.ones(1))  # factor on radiator conductance and its flow
    fan_works: Lane = field(default_factory=lambda: np.ones(1))
    fan_commanded: Lane = field(default_factory=lambda: np.ones(1))  # 0: the switch or relay never asks
    air_rate: Lane = field(default_factory=lambda: np.zeros(1))  # gas episodes at the sensor per second

    def healthy(self) -> Vehicles:
        """The same vehicles, same day, same drive, without any fault."""
        bare = {f.name: f.default_factory() for f in fields(self) if callable(f.default_factory)}
        return replace(self, **bare)


@dataclass
class Drive:
    """What the driver does: rows are seconds, columns vehicles."""

    speed: NDArray[np.float64]  # km/h
    grade: NDArray[np.float64]  # fraction
    rpm: NDArray[np.float64]


@dataclass
class Run:
    """What happened. Rows are seconds, columns vehicles."""

    coolant: NDArray[np.float64]
    sensed: NDArray[np.float64]
    outlet: NDArray[np.float64]
    fan: NDArray[np.float64]
    load: NDArray[np.float64]
    end: NDArray[np.int64]  # rows that exist, per vehicle


def shaft_power(speed: NDArray[np.float64], grade: NDArray[np.float64]) -> NDArray[np.float64]:
    """kW at the wheels of a 1,500 kg car with 0.65 m² drag area and 1.1 % rolling resistance."""
    v = speed / 3.6
    power: NDArray[np.float64] = np.maximum(0.0, 0.5 * 1.2 * 0.65 * v**3 + 1500 * 9.81 * (0.011 + grade) * v) / 1000.0
    return power


def run(vehicles: Vehicles, drive: Drive, seed: int) -> Run:
    """Step all vehicles through the drive."""
    rng = np.random.default_rng(seed)
    steps, lanes = drive.speed.shape
    p = vehicles
    engine = p.start.copy()
    radiator = p.ambient + 0.35 * (p.start - p.ambient)
    wax, sensor = engine.copy(), engine.copy()
    stroke, fan = np.zeros(lanes), np.zeros(lanes)
    gas_left, gas_offset = np.zeros(lanes), np.zeros(lanes)
    shape = (steps, lanes)
    out = Run(*(np.zeros(shape) for _ in range(5)), end=np.full(lanes, steps))
    power = p.size * shaft_power(drive.speed, drive.grade)
    going = np.ones(lanes, dtype=bool)
    for i in range(steps):
        v = drive.speed[i]
        load = np.clip(0.18 + power[i] / 45.0, 0.0, 1.0)
        heat = p.idle_heat * (drive.rpm[i] / 800.0) ** 0.3 + 0.95 * power[i]
        wax += STEP * (engine - wax) / (p.wax_lag * p.wax_slow)
        opening = p.opens + p.late - p.map_drop * (load > 0.62)
        wanted = (wax - opening) / 12.0
        stroke = np.clip(np.clip(stroke, wanted, wanted + p.hysteresis / 12.0), np.maximum(p.leak, 0.003), p.most)
        gas_starts = (gas_left <= 0) & (rng.random(lanes) < p.air_rate)
        pick = rng.random(lanes)
        gas_left = np.where(gas_starts, rng.uniform(6, 30, lanes), gas_left - STEP)
        offsets = np.where(pick < 0.65, rng.uniform(-32, -12, lanes), rng.uniform(8, 16, lanes))
        gas_offset = np.where(gas_starts, offsets, gas_offset)
        in_gas = gas_left > 0
        flow = 0.0003 * drive.rpm[i] * p.pump * np.where(in_gas & (p.air_rate > 0), 0.3, 1.0) * 3.6  # kW/K
        through = np.minimum(flow * stroke**0.7 * np.sqrt(p.blocked), 0.8 * 10.0 / STEP)
        fan_now = np.where(engine > p.fan_on, 1.0, np.where(engine < p.fan_off, 0.0, fan))
        fan = fan_now
        ram = 0.6 * (v / 100.0) ** 0.7
        conductance = p.radiator * p.blocked * (0.02 + ram + p.fan_strength * fan * p.fan_works * p.fan_commanded / (1 + v / 60.0))
        air = p.ambient + p.under_bonnet * np.exp(-v / 15.0)
        moved = through * (engine - radiator)
        shed = conductance * (radiator - air)
        body = (0.015 + 0.00012 * v) * (engine - p.ambient) + p.heater * np.minimum(p.pump * 2, 1) * (engine - p.ambient)
        engine = engine + STEP * (heat - moved - body) / p.engine_mass
        radiator = radiator + STEP * (moved - shed) / 10.0
        target = engine + np.where(in_gas, gas_offset * np.clip((engine - p.ambient) / 60.0, 0, 1), 0.0)
        sensor += STEP * (target - sensor) / p.sensor_lag
        out.coolant[i], out.sensed[i], out.outlet[i], out.load[i] = engine, sensor, radiator, 100 * load
        out.fan[i] = fan * p.fan_commanded
        stops = going & (engine > p.stop_at)
        out.end[stops] = i + 1
        going &= ~stops
    return out
