"""Is a verdict right? Decided from the truth, the sound twin and the columns, not from the detector."""

from __future__ import annotations

from trace_scenarios import Made

from diagnose.derive.trace.patterns import HEALTHY
from diagnose.derive.trace.trip import Trip
from diagnose.derive.trace.verdict import Verdict, judge


def verdict_of(made: Made) -> Verdict:
    """Judge a made log as the command would."""
    return judge(Trip.of(made.seconds, made.coolant, made.columns), made.nominal, made.stood)


def is_right(made: Made, verdict: Verdict) -> bool:
    """Named rightly; or the fault could not show or be parted, and the verdict says so of this very fault."""
    if verdict.pattern == made.truth:
        return True
    left_open = set(verdict.possible if verdict.pattern is None else ()) | {p for d in verdict.cannot_tell for p in d.patterns}
    if made.truth in HEALTHY:
        if verdict.pattern in HEALTHY:  # sound, and which kind of thermostat is left open
            return made.inseparable and made.truth in left_open
        return verdict.pattern is None and (made.inseparable or made.scenario == "not warmed up") and made.truth in left_open
    if verdict.pattern in HEALTHY:
        return made.masked and made.truth in left_open
    return verdict.pattern is None and (made.masked or made.inseparable) and made.truth in left_open


def falsely_accused(made: Made, verdict: Verdict) -> bool:
    """A sound vehicle called faulty."""
    return made.truth in HEALTHY and verdict.pattern is not None and verdict.pattern not in HEALTHY
