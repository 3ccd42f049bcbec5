"""How hot this engine's coolant gets when nothing is wrong: what boiling is judged against."""

from __future__ import annotations

from diagnose.case.case import Case
from diagnose.derive.measure import Measure

OVER_OPENING_K, OVER_SD = 15.0, 4.0
"""Hottest ordinary running over the thermostat's figure: fully open 12 K above it, and the fan's swing. Source: US TM
5-3825-229-14&P para 4-46A for the 12 K; the rest is common practice, no source."""
MAP_C, MAP_SD = 110.0, 4.0
"""Hottest ordinary running with a map-controlled thermostat. Source: common practice, no source (105 °C and more is normal)."""
OVER_USUAL_K = 10.0
"""Hottest ordinary running over what the engine usually shows: the fan's swing and a hill. Source: estimate."""
ANY_C, ANY_SD = 105.0, 6.0
"""The same where the thermostat is not known. Source: estimate."""


def hottest_running(case: Case) -> tuple[Measure, str]:
    """Hottest ordinary running temperature [°C] and a sentence how it is known.

    Not what an overheating engine shows: too little margin there would blame the mix for another fault.
    """
    vehicle = case.vehicle
    usual = max((o.usual for o in case.observations if o.usual is not None), default=None)
    if usual is not None:
        value = usual + OVER_USUAL_K
        return Measure(
            value, OVER_SD, "degC"
        ), f"Judged against {value:.0f} °C: what it usually shows and {OVER_USUAL_K:.0f} K for a hard day."
    if vehicle.thermostat in ("map", "rotary"):
        return Measure(
            MAP_C, MAP_SD, "degC"
        ), f"Judged against {MAP_C:.0f} °C, where a map-controlled thermostat or valve lets an engine run."
    if vehicle.thermostat_opens is not None:
        value = vehicle.thermostat_opens + OVER_OPENING_K
        return Measure(value, OVER_SD, "degC"), f"Judged against {value:.0f} °C: the thermostat's figure and {OVER_OPENING_K:.0f} K."
    words = f"Judged against {ANY_C:.0f} °C, an estimate: the thermostat's figure (thermostat_opens of the vehicle) is not known."
    return Measure(ANY_C, ANY_SD, "degC"), words
