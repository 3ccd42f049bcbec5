"""A part that the vehicle surely lacks cannot fail, and one that it has can: the equipment that is asked about, field by field."""

from __future__ import annotations

import pytest

from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import Context, possible

# vehicle field, a value with which the part is there, one with which it is not, and what then can or cannot fail.
# Common practice, no source: what each of these is part of.
EQUIPMENT = [
    ("fuel_burning_heater", "yes", "no", ("fuel_heater_leaks", "fuel_heater_no_flow")),
    ("second_loop", "yes", "no", ("second_loop_low", "second_loop_pump_fails")),
    ("split_cooling", "yes", "no", ("block_thermostat_stuck_shut", "block_thermostat_stuck_open")),
    ("thermostat", "rotary", "wax", ("rotary_valve_stuck_shut", "rotary_valve_stuck_open")),
    ("thermostat", "wax", "rotary", ("thermostat_stuck_shut", "thermostat_stuck_open", "thermostat_late", "thermostat_seal_missing")),
    ("thermostat", "map", "wax", ("thermostat_heater_open",)),
    ("fuel", "gas", "diesel", ("vaporiser_starved", "vaporiser_leaks_inside", "gas_set_lean")),
    ("fan", "hydraulic", "electric", ("hydraulic_fan_weak", "hydraulic_fan_always_full")),
    ("fan", "electric", "viscous", ("fan_resistor_open",)),
    ("air_conditioning", "yes", "no", ("condenser_blocked",)),
    ("gearbox", "automatic", "manual", ("gearbox_overheats",)),
    ("rear_heater", "yes", "no", ("rear_heater_starved",)),
]


@pytest.mark.parametrize(("field", "there", "lacking", "faults"), EQUIPMENT, ids=[f"{f}_{v}" for f, v, _, _ in EQUIPMENT])
def test_only_what_is_there_can_fail(field: str, there: str, lacking: str, faults: tuple[str, ...], real_knowledge: Knowledge) -> None:
    def can_fail(facts: dict[str, str]) -> set[str]:
        return set(possible(real_knowledge, Context(facts)))

    has, lacks, unknown = can_fail({field: there}), can_fail({field: lacking}), can_fail({})
    assert set(faults) <= has
    assert set(faults) <= unknown, "unknown is not absent"
    assert not set(faults) & lacks
