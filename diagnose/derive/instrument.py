"""How far the instruments for coolant may be trusted. Every figure may be overridden by the person who knows the instrument."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Instrument:
    """One kind of instrument: `sd` is one standard deviation in `unit`; `source` says where the figure comes from."""

    name: str
    sd: float
    unit: str
    source: str


FLOAT = Instrument("float tester", 0.004, "specific gravity", "estimate: good to about 4 K at -37 °C")
HYDROMETER = Instrument("glass hydrometer with thermometer", 0.0015, "specific gravity", "estimate: half a scale division and the meniscus")
REFRACTOMETER = Instrument("hand refractometer", 1.0, "K", "ASTM D3321 clause 3.3: ±1 K (2 °F), taken here as one standard deviation")
BENCH_REFRACTOMETER = Instrument("bench refractometer", 2e-4, "refractive index", "estimate: digital and Abbe instruments")
STRIP = Instrument("test strip", 0.05, "concentrate fraction", "estimate: colour fields are 10 % apart and read by eye")
BENCH_FREEZING = Instrument("freezing point by cooling curve", 1.0, "K", "estimate, after the method of ASTM D1177")

SETTLED_AT = 20.0
"""Scales of floats and refractometers are drawn for 20 °C. Source: common practice, no source (60 °F and 68 °F are also met)."""
