"""The state of the engine, and what may be asked in it. What needs a cold engine is not offered on a hot one."""

from __future__ import annotations

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Procedure

# what people are asked -> the words for it
STATES = {
    "cold": "cold: it has stood for hours, the block is cold to the hand",
    "warm": "running, or just run, at its usual warmth",
    "hot": "just switched off hot, or overheated",
    "away": "not here: somebody on the phone",
}
RUNNING = ("warm", "loaded", "opened_running")
COLD_FIRST = 0.3  # share of the best step's gain from which a cold step goes before one that warms the engine (estimate)
LOOKS = ("outside", "cabin", "dash")  # where something is seen or smelt with everything closed
QUICK = 5.0  # minutes of a quick feel (estimate)


def allowed(procedure: Procedure, engine: str, history: bool) -> bool:
    """Whether `procedure` may be proposed while the engine is in this state. `history`: it is only questions to a person."""
    if engine == "away":
        return history
    if engine == "opened":  # cold, and the cap is off
        return str(procedure.engine) != "loaded"
    if engine in ("warm", "hot"):
        if procedure.engine in ("cold", "opened_running") or {"cap", "plugs", "hoses"} & set(procedure.opens):
            return False
        if engine == "hot":  # it is looked at as it stands, and not run again
            return str(procedure.engine) != "loaded" and "engine_warm" not in procedure.leaves
        return True
    return True


def warms(procedure: Procedure) -> bool:
    """Whether the engine is warm afterwards."""
    return procedure.engine in RUNNING or "engine_warm" in procedure.leaves


def after(procedure: Procedure, engine: str) -> str:
    """The state in which `procedure` leaves the engine."""
    if engine in ("away", "hot"):
        return engine
    if warms(procedure):
        return "warm"
    return "opened" if "cap" in procedure.opens and engine in ("cold", "opened", "") else engine


def stage(procedure: Procedure, engine: str, knowledge: Knowledge) -> int:
    """On a hot engine, first what dies on cooling: the closed look, the smell, a quick feel of the hoses, stored codes."""
    if engine != "hot":
        return 0
    given = [knowledge.findings[f] for f in procedure.gives if f in knowledge.findings]
    looks = 2 * sum(f.place in LOOKS for f in given) >= len(given)
    feels = procedure.minutes <= QUICK and 2 * sum(map(_hot_only, given)) >= len(given)
    codes = procedure.engine == "any" and bool(procedure.tools) and procedure.minutes <= 2 * QUICK
    return 0 if codes or (procedure.engine == "warm" and (looks or feels)) else 1


def _hot_only(finding: Finding) -> bool:
    tests = finding.shows_when.when.tests if finding.shows_when else ()
    return any(t.field == "engine" and "hot_off" in t.words and "cold" not in t.words for t in tests)


def condition(procedure: Procedure | None, engine: str) -> str | None:
    """The engine's state as it is written with an answer; None where nobody can know it."""
    if procedure is None or procedure.engine == "any":
        return None
    if procedure.engine == "off":
        return {"hot": "hot_off", "cold": "cold", "opened": "cold"}.get(engine)
    return "hot_off" if procedure.engine == "warm" and engine == "hot" else str(procedure.engine)
