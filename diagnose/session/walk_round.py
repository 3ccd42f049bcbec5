"""The twice-yearly look over, with no complaint: the whole system by where one stands, cold things first, then warm ones."""

from __future__ import annotations

from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import PLACES, Procedure
from diagnose.plan.settings import Settings
from diagnose.session.engine_state import warms
from diagnose.session.questions import history_of, only_talk

LONGEST = 20  # minutes of one step of a look over (estimate)
DEAREST = 0.15  # consumables in hours' pay (estimate)
NEW_FROM = 2  # findings that a step must add to be worth walking to (estimate) ...
A_MINUTE = 0.25  # ... and so many a minute (estimate)


def order(knowledge: Knowledge, settings: Settings, vehicle: dict[str, object]) -> list[str]:
    """Procedures of the look over: short, cheap, with tools at hand, nothing opened but the cap; together they cover each place."""
    fit = [p for p in knowledge.procedures.values() if _fits(p, settings, vehicle)]
    seen: set[str] = set()
    chosen: list[Procedure] = []
    while fit:
        best = max(fit, key=lambda p: (_new(p, seen) / (3.0 + p.minutes), p.id))
        places = {knowledge.findings[f].place for f in seen if f in knowledge.findings}
        adds = {knowledge.findings[f].place for f in best.gives if f in knowledge.findings} - places
        fit.remove(best)
        if _new(best, seen) >= max(NEW_FROM, A_MINUTE * best.minutes) or adds:
            chosen.append(best)
            seen |= set(best.gives)
    history = history_of(knowledge)
    return [p.id for p in sorted(chosen, key=lambda p: (p is not history, _when(p, knowledge), _place(p, knowledge), p.id))]


def _fits(procedure: Procedure, settings: Settings, vehicle: dict[str, object]) -> bool:
    if procedure.skill != "home" or procedure.minutes > LONGEST or procedure.consumables > DEAREST or procedure.helper == "yes":
        return False
    if set(procedure.opens) - {"cap"} or procedure.engine == "loaded" or {"jack_and_stands", "laboratory"} & set(procedure.tools):
        return False
    if settings.tools is not None and not set(procedure.tools) <= {*settings.tools, "hand", "eyes"}:
        return False
    return not (procedure.needs and surely_fail(procedure.needs.tests, vehicle))


def _new(procedure: Procedure, seen: set[str]) -> int:
    return len(set(procedure.gives) - seen)


def _when(procedure: Procedure, knowledge: Knowledge) -> int:
    """Questions first, then the cold closed system, the cold opened one, what needs no engine, then what warms it: opened first."""
    if only_talk(procedure):
        return 0
    if procedure.engine == "cold" and not warms(procedure):
        return 2 if procedure.opens else 1
    if procedure.engine in ("any", "off"):
        return 3
    return {"opened_running": 4, "cold": 5}.get(str(procedure.engine), 6)


def _place(procedure: Procedure, knowledge: Knowledge) -> int:
    return min((PLACES.index(knowledge.findings[f].place) for f in procedure.gives if f in knowledge.findings), default=len(PLACES))
