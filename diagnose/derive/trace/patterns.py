"""What each state of the cooling system makes of each figure: chances of the bands, by mechanism.

A table reads: under this state, the chance that the figure lies in each band between the edges. All chances are estimates
from the mechanism told in `because`; edges are common practice unless a source is named. An edge is (limit, spread of the limit
among vehicles).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

PATTERNS: tuple[str, ...] = (
    "normal",
    "map_controlled",
    "stuck_open",
    "stuck_shut",
    "late",
    "low_flow",
    "no_fan",
    "air_pocket",
    "bad_sensor",
)
HEALTHY: tuple[str, ...] = ("normal", "map_controlled")
WORDS: Mapping[str, str] = {
    "normal": "normal, plain wax thermostat",
    "map_controlled": "normal, map-controlled thermostat",
    "stuck_open": "thermostat stuck open or leaking",
    "stuck_shut": "thermostat stuck shut",
    "late": "thermostat opens late",
    "low_flow": "too little flow or heat shed: pump, blocked radiator",
    "no_fan": "fan does not run",
    "air_pocket": "air pocket at sensor or thermostat",
    "bad_sensor": "sensor or its wiring",
}
# A pattern may show in more than one way; the most fitting way counts.
STATES: Mapping[str, str] = {
    "normal": "normal",
    "map_controlled": "map_controlled",
    "stuck_open": "stuck_open",
    "stuck_shut": "stuck_shut",
    "late": "late",
    "low_flow": "low_flow",
    "hardly any flow": "low_flow",
    "no_fan": "no_fan",
    "air_pocket": "air_pocket",
    "sensor jumps": "bad_sensor",
    "sensor flat": "bad_sensor",
    "sensor reads low": "bad_sensor",
    "sensor reads high": "bad_sensor",
    "sensor circuit": "bad_sensor",
}
Chances = tuple[float, ...]


@dataclass(frozen=True)
class Table:
    """Band chances of one figure. `otherwise` serves every state that is not named.

    `weight` < 1: the figure tells partly what another told.
    """

    figure: str
    edges: tuple[tuple[float, float], ...]
    otherwise: Chances
    named: Mapping[str, Chances]
    because: str
    weight: float = 1.0
    source: str = "estimate"

    def chances(self, state: str) -> Chances:
        """Band chances of `state`; they sum to 1. Hardly any flow is a shut thermostat to all but, partly, the radiator's outlet."""
        if state == "hardly any flow" and state not in self.named:
            state = "stuck_shut"
        return self.named.get(state, self.otherwise)


TABLES: tuple[Table, ...] = (
    Table(
        "circuit",
        ((0.7, 0.15),),
        (0.999, 0.001),
        {"sensor circuit": (0.01, 0.99), "sensor jumps": (0.85, 0.15)},
        "No engine is at -40 °C beside warmer air or above 134 °C for long: the circuit is open or shorted.",
    ),
    Table(
        "jumps",
        ((0.5, 0.1), (2.5, 0.3)),
        (0.985, 0.012, 0.003),
        {"sensor jumps": (0.10, 0.15, 0.75), "sensor circuit": (0.90, 0.08, 0.02), "air_pocket": (0.80, 0.14, 0.06)},
        "Coolant and a sensor's own mass answer over seconds; a contact answers at once.",
    ),
    Table(
        "flat",
        ((300.0, 80.0), (800.0, 150.0)),
        (0.93, 0.06, 0.01),
        {"sensor flat": (0.06, 0.24, 0.70), "sensor circuit": (0.5, 0.25, 0.25), "stuck_open": (0.85, 0.12, 0.03)},
        "A live reading moves with load and with its own noise; a reading that stays while the engine must warm is no reading.",
    ),
    Table(
        "quick swings",
        ((0.6, 0.15), (1.8, 0.5)),
        (0.975, 0.02, 0.005),
        {
            "air_pocket": (0.05, 0.12, 0.83),
            "late": (0.85, 0.12, 0.03),
            "sensor jumps": (0.55, 0.22, 0.23),
            "sensor circuit": (0.93, 0.05, 0.02),
        },
        "A sensor passing from water to gas and back follows in seconds, up and down; coolant as a whole cannot.",
    ),
    Table(
        "regulates at",
        ((70.0, 2.5), (78.0, 2.5), (98.0, 2.0), (104.0, 2.0), (112.0, 2.5)),
        (0.02, 0.08, 0.86, 0.035, 0.004, 0.001),
        {
            "map_controlled": (0.01, 0.04, 0.25, 0.30, 0.38, 0.02),
            "stuck_open": (0.60, 0.25, 0.13, 0.015, 0.003, 0.002),
            "stuck_shut": (0.03, 0.10, 0.30, 0.22, 0.23, 0.12),
            "late": (0.01, 0.04, 0.38, 0.32, 0.22, 0.03),
            "low_flow": (0.01, 0.02, 0.45, 0.28, 0.14, 0.10),
            "no_fan": (0.01, 0.03, 0.40, 0.12, 0.24, 0.20),
            "air_pocket": (0.04, 0.15, 0.74, 0.06, 0.008, 0.002),
            "sensor flat": (0.30, 0.12, 0.48, 0.07, 0.02, 0.01),
            "sensor reads low": (0.33, 0.37, 0.28, 0.01, 0.005, 0.005),
            "sensor reads high": (0.005, 0.01, 0.25, 0.28, 0.30, 0.155),
        },
        "Plain wax of 82 to 92 °C regulates from 78 to 98; map control holds 105 and more at light load; a thermostat "
        "that cannot shut lets it float below.",
        source="common_practice",
    ),
    Table(
        "regulates above nominal",
        ((-11.1, 1.5), (-6.0, 1.5), (9.0, 2.0), (14.0, 2.0), (22.0, 3.0)),
        (0.04, 0.08, 0.80, 0.06, 0.015, 0.005),
        {
            "map_controlled": (0.25, 0.15, 0.59, 0.008, 0.001, 0.001),
            "stuck_open": (0.78, 0.14, 0.07, 0.006, 0.003, 0.001),
            "stuck_shut": (0.05, 0.06, 0.25, 0.18, 0.22, 0.24),
            "late": (0.01, 0.02, 0.20, 0.27, 0.35, 0.15),
            "low_flow": (0.01, 0.02, 0.45, 0.22, 0.16, 0.14),
            "no_fan": (0.01, 0.03, 0.36, 0.14, 0.18, 0.28),
            "air_pocket": (0.10, 0.16, 0.66, 0.06, 0.015, 0.005),
            "sensor flat": (0.35, 0.12, 0.42, 0.07, 0.02, 0.02),
            "sensor reads low": (0.60, 0.28, 0.11, 0.005, 0.003, 0.002),
            "sensor reads high": (0.003, 0.005, 0.20, 0.30, 0.32, 0.172),
        },
        "It should reach within 11.1 K of nominal (13 CCR 1968.2 (e)(10.2.1)(A)(ii)); plain wax starts within 3 K and "
        "is fully open 12 K above (US TM 5-3825-229-14&P).",
        source="13 CCR 1968.2 (e)(10.2.1)(A)(ii)",
    ),
    Table(
        "reaches",
        ((-11.1, 1.5),),
        (0.02, 0.98),
        {
            "stuck_open": (0.75, 0.25),
            "map_controlled": (0.06, 0.94),
            "air_pocket": (0.05, 0.95),
            "sensor flat": (0.35, 0.65),
            "sensor reads low": (0.60, 0.40),
            "sensor reads high": (0.01, 0.99),
        },
        "However cold the day, a sound thermostat lets the engine come within 11.1 K of its marking some time on a "
        "drive, or the monitor sets its code.",
        weight=0.8,
        source="13 CCR 1968.2 (e)(10.2.1)(A)(ii)",
    ),
    Table(
        "highest",
        ((103.0, 1.5), (110.0, 2.0), (116.0, 2.0)),
        (0.955, 0.04, 0.004, 0.001),
        {
            "map_controlled": (0.30, 0.48, 0.20, 0.02),
            "stuck_shut": (0.20, 0.12, 0.18, 0.50),
            "late": (0.25, 0.25, 0.27, 0.23),
            "low_flow": (0.30, 0.18, 0.15, 0.37),
            "no_fan": (0.27, 0.10, 0.15, 0.48),
            "air_pocket": (0.55, 0.33, 0.10, 0.02),
            "sensor reads low": (0.985, 0.01, 0.004, 0.001),
            "sensor reads high": (0.25, 0.22, 0.22, 0.31),
        },
        "A healthy system on plain wax sheds what the engine makes, even on a hot day uphill, at some 110 °C at most.",
        weight=0.8,
        source="common_practice",
    ),
    Table(
        "warm-up",
        ((14.0, 3.0), (22.0, 4.0)),
        (0.80, 0.15, 0.05),
        {"stuck_open": (0.38, 0.24, 0.38), "sensor reads low": (0.50, 0.22, 0.28)},
        "With the thermostat open the radiator takes the heat from the first minute. Cold, idling and with the heater "
        "on, any engine is slow.",
        weight=0.7,
    ),
    Table(
        "not warm after",
        ((14.0, 3.0), (22.0, 4.0)),
        (0.94, 0.045, 0.015),
        {"stuck_open": (0.25, 0.30, 0.45), "sensor flat": (0.25, 0.30, 0.45), "sensor reads low": (0.25, 0.25, 0.50)},
        "A quarter of an hour's driving warms any engine whose thermostat shuts; before that nothing can be said.",
        source="common_practice",
    ),
    Table(
        "heat per kelvin",
        ((150.0, 25.0), (240.0, 40.0)),
        (0.90, 0.08, 0.02),
        {"stuck_open": (0.08, 0.14, 0.78), "sensor flat": (0.50, 0.10, 0.40), "sensor reads low": (0.62, 0.20, 0.18)},
        "An engine and its water take some 60 to 110 kJ for each kelvin, somewhat more in the cold; what takes twice "
        "that has its radiator in the loop.",
    ),
    Table(
        "level, not warm",
        ((42.0, 4.0), (58.0, 4.0)),
        (0.03, 0.13, 0.84),
        {"stuck_open": (0.58, 0.26, 0.16), "sensor flat": (0.60, 0.20, 0.20), "sensor reads low": (0.22, 0.33, 0.45)},
        "After nine minutes under way an engine whose thermostat shuts is warm to the touch and more.",
    ),
    Table(
        "steepest fall",
        ((6.0, 1.0), (10.0, 1.5)),
        (0.70, 0.22, 0.08),
        {
            "late": (0.22, 0.25, 0.53),
            "stuck_shut": (0.85, 0.12, 0.03),
            "low_flow": (0.68, 0.21, 0.11),
            "no_fan": (0.50, 0.20, 0.30),
            "map_controlled": (0.35, 0.30, 0.35),
            "air_pocket": (0.03, 0.10, 0.87),
            "stuck_open": (0.45, 0.25, 0.30),
            "sensor flat": (0.98, 0.015, 0.005),
        },
        "Only cold water from the radiator cools an engine by 10 K in a minute; without it the reading sinks as slowly "
        "as the block gives off its heat.",
    ),
    Table(
        "warm-up rate",
        ((1.5, 0.3), (2.6, 0.5)),
        (0.06, 0.14, 0.80),
        {
            "stuck_open": (0.68, 0.16, 0.16),
            "sensor flat": (0.2, 0.15, 0.65),
            "air_pocket": (0.25, 0.10, 0.65),
            "sensor jumps": (0.15, 0.15, 0.70),
        },
        "The rise from 40 to 70 °C runs flat where heat is already shed.",
        weight=0.6,
    ),
    Table(
        "falls while shut",
        ((2.0, 0.6), (6.0, 1.5)),
        (0.95, 0.03, 0.02),
        {
            "stuck_open": (0.20, 0.20, 0.60),
            "air_pocket": (0.30, 0.10, 0.60),
            "sensor jumps": (0.75, 0.08, 0.17),
            "sensor reads low": (0.38, 0.38, 0.24),
        },
        "Below its opening a thermostat is shut, and coolant only warms, bar a heater on full at idle in the cold.",
    ),
    Table(
        "first peak above nominal",
        ((8.0, 1.5), (14.0, 2.0), (20.0, 2.0)),
        (0.74, 0.18, 0.06, 0.02),
        {
            "late": (0.04, 0.20, 0.34, 0.42),
            "stuck_shut": (0.35, 0.2, 0.2, 0.25),
            "low_flow": (0.40, 0.20, 0.14, 0.26),
            "sensor reads high": (0.05, 0.3, 0.3, 0.35),
            "no_fan": (0.40, 0.17, 0.15, 0.28),
            "sensor reads low": (0.99, 0.008, 0.001, 0.001),
            "stuck_open": (0.92, 0.06, 0.015, 0.005),
            "map_controlled": (0.97, 0.025, 0.004, 0.001),
        },
        "Plain wax starts within 3 K of nominal; a fan or a hill may carry the reading some way above before the first fall.",
        weight=0.8,
        source="US TM 5-3825-229-14&P para 4-46A",
    ),
    Table(
        "falls after first peak",
        ((7.0, 1.5), (12.0, 2.0)),
        (0.80, 0.15, 0.05),
        {
            "late": (0.20, 0.25, 0.55),
            "no_fan": (0.60, 0.15, 0.25),
            "low_flow": (0.52, 0.20, 0.28),
            "stuck_shut": (0.65, 0.15, 0.20),
            "stuck_open": (0.40, 0.22, 0.38),
            "air_pocket": (0.25, 0.25, 0.50),
        },
        "What opens late opens onto a hotter engine and a cold radiator: a high peak, then a deep fall, and again.",
        weight=0.7,
    ),
    Table(
        "band",
        ((6.0, 1.0), (10.0, 1.5)),
        (0.60, 0.26, 0.14),
        {
            "stuck_open": (0.15, 0.20, 0.65),
            "map_controlled": (0.48, 0.22, 0.30),
            "stuck_shut": (0.25, 0.22, 0.53),
            "late": (0.25, 0.35, 0.40),
            "low_flow": (0.30, 0.27, 0.43),
            "no_fan": (0.15, 0.17, 0.68),
            "air_pocket": (0.05, 0.20, 0.75),
            "sensor flat": (0.96, 0.03, 0.01),
        },
        "A working thermostat holds the coolant within its own span of 12 K, mostly half of it; what does not regulate "
        "drifts with load and air.",
        weight=0.6,
    ),
    Table(
        "deep swings",
        ((0.8, 0.2), (2.0, 0.4)),
        (0.72, 0.20, 0.08),
        {
            "late": (0.15, 0.30, 0.55),
            "low_flow": (0.72, 0.23, 0.05),
            "stuck_shut": (0.80, 0.18, 0.02),
            "no_fan": (0.72, 0.25, 0.03),
            "map_controlled": (0.75, 0.20, 0.05),
            "air_pocket": (0.10, 0.20, 0.70),
            "sensor flat": (0.97, 0.02, 0.01),
        },
        "Sluggish wax hunts: too hot, wide open, too cold, shut, and over again.",
        weight=0.7,
    ),
    Table(
        "hot moving above air",
        ((64.0, 3.0), (74.0, 3.0)),
        (0.90, 0.09, 0.01),
        {
            "low_flow": (0.25, 0.25, 0.50),
            "late": (0.25, 0.30, 0.45),
            "stuck_shut": (0.20, 0.25, 0.55),
            "map_controlled": (0.25, 0.30, 0.45),
            "sensor reads high": (0.25, 0.25, 0.50),
        },
        "Hot and wide open, a sound radiator at speed holds the coolant within some 60 to 70 K of the air, even "
        "uphill. Hotter on a cool day wants a reason.",
    ),
    Table(
        "highest standing",
        ((104.0, 1.5), (112.0, 2.0)),
        (0.95, 0.045, 0.005),
        {
            "no_fan": (0.22, 0.18, 0.60),
            "map_controlled": (0.45, 0.50, 0.05),
            "stuck_shut": (0.55, 0.25, 0.20),
            "late": (0.60, 0.32, 0.08),
            "low_flow": (0.65, 0.15, 0.20),
            "sensor reads high": (0.35, 0.30, 0.35),
            "air_pocket": (0.85, 0.14, 0.01),
        },
        "Standing there is no air but the fan's.",
        weight=0.6,
    ),
    Table(
        "rises standing",
        ((15.0, 4.0), (24.0, 4.0)),
        (0.84, 0.13, 0.03),
        {"no_fan": (0.20, 0.24, 0.56), "low_flow": (0.80, 0.14, 0.06), "late": (0.80, 0.16, 0.04), "stuck_shut": (0.8, 0.15, 0.05)},
        "Without a fan it climbs for as long as the vehicle stands.",
        weight=0.7,
    ),
    Table(
        "hot moving",
        ((100.0, 2.0), (106.0, 2.0), (112.0, 2.0)),
        (0.955, 0.04, 0.004, 0.001),
        {
            "map_controlled": (0.30, 0.60, 0.09, 0.01),
            "stuck_shut": (0.25, 0.10, 0.20, 0.45),
            "late": (0.28, 0.25, 0.28, 0.19),
            "low_flow": (0.35, 0.20, 0.13, 0.32),
            "no_fan": (0.84, 0.10, 0.05, 0.01),
            "sensor reads high": (0.25, 0.25, 0.25, 0.25),
            "air_pocket": (0.90, 0.09, 0.009, 0.001),
        },
        "At speed there is air without a fan: what runs hot then sheds too little heat or moves too little water.",
        weight=0.9,
    ),
    Table(
        "cools from standing to moving",
        ((-4.0, 2.0), (7.0, 2.0), (14.0, 3.0)),
        (0.06, 0.68, 0.20, 0.06),
        {
            "no_fan": (0.01, 0.09, 0.25, 0.65),
            "low_flow": (0.45, 0.46, 0.07, 0.02),
            "stuck_shut": (0.55, 0.40, 0.04, 0.01),
            "late": (0.25, 0.62, 0.10, 0.03),
        },
        "A dead fan is hot standing and well when moving; too little flow is hottest under load.",
    ),
    Table(
        "rate with fan on",
        ((-1.0, 0.5), (0.6, 0.4)),
        (0.93, 0.05, 0.02),
        {
            "no_fan": (0.03, 0.07, 0.90),
            "low_flow": (0.55, 0.25, 0.20),
            "stuck_shut": (0.05, 0.15, 0.80),
            "sensor flat": (0.01, 0.98, 0.01),
            "late": (0.80, 0.1, 0.1),
        },
        "A fan that is told to run and does, cools a standing engine within a minute, if water reaches the radiator.",
    ),
    Table(
        "hot without fan",
        ((30.0, 10.0), (120.0, 30.0)),
        (0.985, 0.01, 0.005),
        {
            "no_fan": (0.45, 0.10, 0.45),
            "map_controlled": (0.80, 0.12, 0.08),
            "sensor reads high": (0.7, 0.1, 0.2),
            "air_pocket": (0.97, 0.02, 0.01),
        },
        "Above 108 °C a plain-wax vehicle has its fan on; if not, it is not asked for. A fan that hears of a true, "
        "cooler engine stays off too.",
    ),
    Table(
        "swings standing",
        ((0.5, 0.1), (1.5, 0.2)),
        (0.55, 0.20, 0.25),
        {
            "no_fan": (0.97, 0.02, 0.01),
            "stuck_shut": (0.97, 0.02, 0.01),
            "low_flow": (0.85, 0.10, 0.05),
            "stuck_open": (0.96, 0.03, 0.01),
            "sensor flat": (0.99, 0.007, 0.003),
            "late": (0.75, 0.15, 0.10),
        },
        "A saw-tooth near 100 °C while standing is the fan at work.",
    ),
    Table(
        "outlet colder by",
        ((25.0, 4.0), (45.0, 5.0)),
        (0.75, 0.17, 0.08),
        {
            "stuck_shut": (0.02, 0.08, 0.90),
            "low_flow": (0.75, 0.15, 0.10),
            "hardly any flow": (0.10, 0.25, 0.65),
            "late": (0.10, 0.30, 0.60),
            "no_fan": (0.97, 0.02, 0.01),
            "map_controlled": (0.25, 0.25, 0.50),
            "sensor reads high": (0.1, 0.3, 0.6),
        },
        "A hot engine with a cold radiator outlet: nothing flows through the radiator.",
    ),
    Table(
        "start above air",
        ((-6.0, 1.0), (5.0, 1.0), (28.0, 4.0)),
        (0.004, 0.716, 0.10, 0.18),
        {"sensor reads low": (0.78, 0.12, 0.07, 0.03), "sensor reads high": (0.002, 0.03, 0.75, 0.218)},
        "An engine is never colder than the air it stood in, and warmer only if it had run.",
    ),
    Table(
        "start above air, stood",
        ((-6.0, 1.0), (5.0, 1.0)),
        (0.004, 0.990, 0.006),
        {"sensor reads low": (0.92, 0.079, 0.001), "sensor reads high": (0.001, 0.06, 0.939)},
        "After a night coolant and air agree within a few kelvin.",
        source="common_practice",
    ),
)
