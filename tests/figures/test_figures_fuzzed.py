"""Whatever is written under a reading: an answer in words or a figure, never a traceback, and likelihoods that are likelihoods."""

from __future__ import annotations

from math import isfinite
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from diagnose.case.case import Case
from diagnose.errors import InputError
from diagnose.figures.figures import derive
from diagnose.knowledge.knowledge import Knowledge

NUMBERS = st.one_of(st.floats(-120, 3000), st.sampled_from([0, -1, 1e-9, 0.4, 1.06, 1.38, 50, 1e6]))
UNITS = st.sampled_from(["", " bar", " degC", " V", " %", " ohm", " L", " km", " K", " psi", " ppm", " bar at 20 C", " years"])
TEXTS = st.builds(lambda n, u: f"{n:g}{u}", NUMBERS, UNITS)
PLACES = "idle off battery_off blower headlamps cranking engine upper lower heater_in heater_out opens marked held vacuum"
LABELS = st.sampled_from([*"01234", "10", *PLACES.split(), "hc", "co2", "idle_co2", "scan_tool", "thermometer", "2026-05-01", "84000 km"])
ANSWERS = st.one_of(
    NUMBERS, TEXTS, st.dictionaries(LABELS, TEXTS, min_size=1, max_size=6), st.sampled_from(["P0128", "none", "yes", "2021-05"])
)
CONDITIONS = st.fixed_dictionaries(
    {},
    optional={
        "engine": st.sampled_from(["cold", "warm", "loaded", "warming"]),
        "instrument": st.sampled_from(["float", "refractometer", "strip", "infrared", "laboratory"]),
        "scale": st.sampled_from(["ethylene", "propylene"]),
        "sample_temperature": st.floats(-30, 120).map(lambda v: f"{v:.1f} degC"),
        "gas_volume": st.floats(0.01, 3).map(lambda v: f"{v:.2f} L"),
        "temperature_change": st.floats(-40, 40).map(lambda v: f"{v:.1f} K"),
        "minutes": st.floats(0.1, 2000).map(lambda v: f"{v:.1f} min"),
        "surface": st.sampled_from(["tape", "bare metal", "rubber"]),
        "table": st.sampled_from(["25 C = 2500 ohm, 90 C = 310 ohm", "25 C = 2500 ohm, 26 C = 2400 ohm"]),
    },
)
VEHICLES = st.fixed_dictionaries(
    {},
    optional={
        "fuel": st.sampled_from(["petrol", "diesel", "gas"]),
        "glycol": st.sampled_from(["ethylene", "propylene"]),
        "thermostat": st.sampled_from(["wax", "map", "rotary"]),
        "thermostat_opens": st.floats(40, 125).map(lambda v: f"{v:.0f} degC"),
        "lowest_ambient": st.floats(-60, 30).map(lambda v: f"{v:.0f} degC"),
        "cap_rating": st.floats(0, 4).map(lambda v: f"{v:.2f} bar"),
        "altitude": st.floats(-400, 6000).map(lambda v: f"{v:.0f} m"),
        "system_volume": st.floats(0.1, 60).map(lambda v: f"{v:.1f} L"),
        "distance": st.just("90000 km"),
    },
)


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_answer_is_understood_or_refused_in_words(knowledge: Knowledge, data: Any) -> None:
    names = sorted({*knowledge.readings, *(r.finding for r in knowledge.readings.values() if r.takes != "nothing")})
    observations = [
        {"of": data.draw(st.sampled_from(names)), "answer": data.draw(ANSWERS), **data.draw(CONDITIONS)}
        for _ in range(data.draw(st.integers(1, 3)))
    ]
    try:
        case = Case.model_validate({"vehicle": data.draw(VEHICLES), "observations": observations})
        made = derive(case, knowledge)
    except (InputError, ValidationError):
        return
    for item in made:
        finding = knowledge.findings[item.finding]
        assert bool(item.likelihood) != bool(item.cannot)
        if item.likelihood:
            assert len(item.likelihood) == len(finding.levels)
            assert all(isfinite(x) and -1e-9 <= x <= 1.0 + 1e-9 for x in item.likelihood)
            assert max(item.likelihood) > 0.0
        if item.cannot:
            assert item.cannot[0].upper() == item.cannot[0]
            assert item.cannot.endswith((".", "?", "!"))
