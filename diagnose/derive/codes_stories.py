"""The stories behind the codes: what the monitor tests and what else sets it. Common practice, no source, unless named."""

from __future__ import annotations

from typing import NamedTuple


class Story(NamedTuple):
    """`part` concerned, what the monitor `tests`, what `also_sets` the code, whether it is a `coolant` matter, and `notes`."""

    part: str
    tests: str
    also_sets: tuple[str, ...] = ()
    coolant: bool = True
    notes: tuple[str, ...] = ()


_WIRING = ("chafed or corroded wiring", "plug wet or loose", "supply or ground shared with another part")
_STEAM = "The sensor may hang in steam when the level is low: level first."

STORIES: dict[str, Story] = {
    "thermostat": Story(
        "thermostat",
        "The coolant did not come within 11 K (20 °F) of the thermostat's nominal temperature in the time the maker allows.",
        (
            "low coolant level",
            "sensor that reads low",
            "fan that always runs",
            "very cold weather with much idling",
            "heater on full",
        ),
        notes=("It does not test the thermostat itself. One jurisdiction's rule; others differ.", _STEAM),
    ),
    "warm-up slow": Story(
        "thermostat",
        "The coolant did not reach a set temperature in the time computed from start temperature and load.",
        ("low coolant level", "sensor that reads low", "fan that always runs"),
        notes=(_STEAM,),
    ),
    "coolant sensor circuit": Story(
        "coolant temperature sensor", "The signal voltage left its range or failed a check of the circuit.", _WIRING
    ),
    "coolant sensor low": Story(
        "coolant temperature sensor",
        "The signal voltage was too low: a resistance near nothing, so the module sees great heat.",
        ("signal wire shorted to ground", "sensor shorted inside"),
        notes=("With a true overheating the voltage also falls: look at the freeze frame.",),
    ),
    "coolant sensor high": Story(
        "coolant temperature sensor",
        "The signal voltage was too high: no current, so the module sees about -40 °C.",
        ("plug off", "broken wire", "lost sensor ground", "signal wire shorted to supply"),
    ),
    "coolant sensor performance": Story(
        "coolant temperature sensor",
        "The signal is in range but not believable: it does not move, or does not fit intake air and time standing.",
        ("thermostat", "low coolant level", "block heater used", "air pocket at the sensor", *_WIRING[:2]),
        notes=(_STEAM,),
    ),
    "coolant sensor erratic": Story(
        "coolant temperature sensor",
        "The signal jumps faster than coolant can change.",
        ("loose plug", "broken strand", "air or steam passing the sensor"),
        notes=(_STEAM,),
    ),
    "radiator sensor": Story(
        "radiator outlet temperature sensor",
        "The circuit of the sensor at the radiator left its range or is not believable.",
        _WIRING,
    ),
    "correlation": Story(
        "radiator outlet temperature sensor",
        "Radiator and engine sensors do not fit each other after standing or when warm.",
        ("thermostat stuck open", "block heater used", "either sensor", "low coolant level"),
    ),
    "flow": Story(
        "coolant flow",
        "Computed or measured coolant flow is lower than expected, mostly from the difference of two sensors.",
        ("pump", "thermostat stuck shut", "air", "low coolant level", "blocked core", "sensor"),
    ),
    "overheat": Story(
        "engine temperature",
        "The coolant or metal temperature passed the maker's limit; power may be cut.",
        ("sensor or wiring that reads high", "low coolant level", "fan", "thermostat", "head gasket"),
        notes=("If the temperature was real: stop, let it cool, cap off only cold. Ask how hot, how long, whether driven on.",),
    ),
    "system performance": Story(
        "cooling system",
        "The warm-up or the running temperature did not follow the module's model.",
        ("thermostat", "low coolant level", "sensor", "fan", "pump", "heater on full in great cold"),
    ),
    "fan": Story(
        "radiator fan",
        "The module's output for the fan saw an open, a short or a current that does not fit.",
        ("relay", "fuse", "fan motor", *_WIRING),
        notes=("It tests the control circuit, seldom that air moves. The fan can start by itself: hands away.",),
    ),
    "fan speed": Story(
        "radiator fan",
        "Fan speed by its sensor does not fit the command.",
        ("fan clutch", "speed sensor", "debris in the fan", *_WIRING[:2]),
        notes=("The fan can start by itself: hands away.",),
    ),
    "thermostat heater": Story(
        "map-controlled thermostat",
        "The heating element in the thermostat, or its wiring, is open or shorted.",
        _WIRING,
        notes=("The wax may still open later by itself: the engine then runs at its upper temperature.",),
    ),
    "level": Story(
        "coolant level sensor",
        "The level switch or its circuit.",
        ("sediment on the float", *_WIRING),
        notes=("Look at the level first, cold.",),
    ),
    "level low": Story(
        "coolant level",
        "The level switch says low for longer than sloshing takes.",
        ("stuck float", "parked on a slope", *_WIRING[:2]),
        notes=("Look at the level first, cold; never top up cold water into a hot engine.",),
    ),
    "pump": Story(
        "electric coolant pump",
        "The control circuit of the electric pump, or its speed against command.",
        ("fuse", "relay", "pump seized", "air in the pump", *_WIRING[:2]),
        notes=("Which pump is A depends on the vehicle: main, auxiliary or inverter loop.",),
    ),
    "cold start sensor": Story(
        "coolant temperature sensor",
        "At a cold start the coolant temperature does not fit intake and outside air, or does not rise as modelled.",
        ("block heater used", "air sensor wrong", "short stop", "low coolant level"),
        notes=(_STEAM,),
    ),
    "engine oil": Story(
        "engine oil",
        "Engine OIL temperature passed its limit.",
        coolant=False,
        notes=("Not a coolant code; the oil cooler may share the cause.",),
    ),
    "oil sensor": Story("engine oil temperature sensor", "Circuit of the engine oil temperature sensor.", _WIRING, coolant=False),
    "oil pressure": Story(
        "engine oil",
        "Oil pressure too low.",
        coolant=False,
        notes=("Stop the engine. Coolant in the oil is one cause: look at the dipstick.",),
    ),
    "transmission": Story(
        "transmission",
        "TRANSMISSION fluid passed its temperature limit.",
        ("towing", "low fluid", "blocked cooler"),
        coolant=False,
        notes=("Not a coolant code; a cooler inside the radiator can carry heat either way.",),
    ),
    "air sensor": Story(
        "air temperature sensor",
        "Circuit or credibility of an air temperature sensor.",
        _WIRING,
        coolant=False,
        notes=("Matters here only because warm-up monitors lean on it.",),
    ),
    "hot intake": Story(
        "intake air",
        "Intake air too hot.",
        ("charge cooler or its pump", "blanked front", "hot standing"),
        coolant=False,
        notes=("With a water-cooled charge cooler look at its loop.",),
    ),
    "mixture": Story(
        "mixture",
        "Fuel trim at its limit.",
        ("air leak", "fuel pressure"),
        coolant=False,
        notes=("A lean engine runs hot; a coolant sensor that reads cold makes it rich.",),
    ),
    "misfire": Story(
        "misfire",
        "Crank speed shows a misfire.",
        ("plug", "coil", "injector", "compression"),
        coolant=False,
        notes=("After a night, on one cylinder, with coolant loss: coolant in that cylinder. Do not crank it with the plugs in.",),
    ),
    "catalyst": Story(
        "catalyst",
        "Catalyst stores too little oxygen.",
        ("exhaust leak", "sensor"),
        coolant=False,
        notes=("Coolant burnt for long spoils a catalyst: look for loss.",),
    ),
}
