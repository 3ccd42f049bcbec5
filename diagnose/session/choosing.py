"""Which procedure next: what the plan puts first among those that the engine's state and this person allow."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.assessment import Assessment
from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure
from diagnose.plan.settings import SKILLS, Settings
from diagnose.session import engine_state
from diagnose.session.questions import only_talk, open_in
from diagnose.session.state import State
from diagnose.session.worth import Worth

SAME_PLACE = 0.5  # share of the best step's gain from which a step at the place where one stands goes first (estimate)
LEAST = 0.05  # bits below which nothing is asked (estimate) ...
QUICK = 0.01  # ... unless it tells at least so many bits a minute (estimate)
DEAR, SHORT = 20.0, 10.0  # minutes above which a step waits for looks of so few minutes that tell more a minute (estimate)
EARLY = 3  # procedures gone through before a faint step is left out (estimate)
BEYOND = 0.1  # bits from which a step is offered that the plan does not name (estimate)


@dataclass(frozen=True)
class Choice:
    """A procedure that may be proposed now, what it would tell (bits), its place in the order."""

    procedure: Procedure
    gain: float


def choose(assessment: Assessment, state: State, knowledge: Knowledge, settings: Settings, worth: Worth) -> Choice | None:
    """The next procedure, or None where nothing may be asked in this state of the engine."""
    found = _planned(assessment, state, knowledge)
    telling = [c for c in found if worth_asking(c)]
    found = telling or (found if len(state.swept) < EARLY else []) or _others(assessment, state, knowledge, settings, worth)
    if state.engine == "hot":
        found = list({c.procedure.id: c for c in [*_others(assessment, state, knowledge, settings, worth), *found]}.values())
    if not found:
        return None
    stages = [engine_state.stage(c.procedure, state.engine, knowledge) for c in found]
    found = [c for c, stage in zip(found, stages, strict=True) if stage == min(stages)]
    best = found[0]
    if best.procedure.minutes > DEAR:
        quick = [c for c in found if c.procedure.minutes <= SHORT and _worth(c) > _worth(best)]
        best = max(quick, key=lambda c: (_worth(c), c.procedure.id), default=best)
    near = [c for c in found if c.gain >= SAME_PLACE * best.gain and _same_place(c.procedure, knowledge.procedures.get(state.here))]
    best = near[0] if near else best
    if state.engine in ("cold", "opened", "") and engine_state.warms(best.procedure):
        cold = [c for c in found if not engine_state.warms(c.procedure) and c.procedure.engine == "cold"]
        cold = [c for c in cold if c.gain >= engine_state.COLD_FIRST * best.gain]
        best = cold[0] if cold else best
    return best


def waits_for_cold(assessment: Assessment, state: State, knowledge: Knowledge, settings: Settings, worth: Worth) -> Choice | None:
    """What could be asked if the engine were cold."""
    cold = State(**{**vars(state), "engine": "cold"})
    return choose(assessment, cold, knowledge, settings, worth) if state.engine in ("warm", "hot") else None


def _worth(choice: Choice) -> float:
    """Bits a minute, the walk to it included."""
    return choice.gain / (3.0 + choice.procedure.minutes)


def worth_asking(choice: Choice) -> bool:
    """Whether a step tells enough for its minutes."""
    return choice.gain >= LEAST or choice.gain / choice.procedure.minutes >= QUICK


def may(procedure: Procedure, state: State, knowledge: Knowledge) -> bool:
    """Whether the mechanic can do it now and it would still be asked about."""
    if procedure.id in state.cannot or procedure.id in state.later:
        return False
    if not engine_state.allowed(procedure, state.engine, only_talk(procedure)):
        return False
    return procedure.id not in state.swept and bool(open_in(procedure, knowledge, state))


def _planned(assessment: Assessment, state: State, knowledge: Knowledge) -> list[Choice]:
    out = []
    for proposed in assessment.next:
        procedure = knowledge.procedures.get(proposed.id)
        if procedure is None or not may(procedure, state, knowledge):
            continue
        asked = {o.finding for o in proposed.outcomes}
        if asked and not asked & set(open_in(procedure, knowledge, state)):
            continue  # what it would tell was answered "unknown" or skipped
        out.append(Choice(procedure, proposed.gain))
    return out


def _others(assessment: Assessment, state: State, knowledge: Knowledge, settings: Settings, worth: Worth) -> list[Choice]:
    suspects = worth.suspects(assessment)
    closed = {c.id for c in assessment.not_now}
    facts = state.vehicle_facts()
    found = []
    for procedure in knowledge.procedures.values():
        if procedure.id in closed or not may(procedure, state, knowledge) or not _able(procedure, settings):
            continue
        if procedure.needs and surely_fail(procedure.needs.tests, facts):
            continue
        if assessment.urgency == "stop_now" and engine_state.warms(procedure) and state.engine != "hot":
            continue
        gain = max((worth.bits(f, suspects) for f in open_in(procedure, knowledge, state)), default=0.0)
        if gain >= (BEYOND if state.engine in ("cold", "opened", "") else LEAST):
            found.append(Choice(procedure, round(gain, 6)))
    return sorted(found, key=lambda c: (-c.gain / (3.0 + c.procedure.minutes), c.procedure.id))


def _able(procedure: Procedure, settings: Settings) -> bool:
    if settings.tools is not None and not set(procedure.tools) <= {*settings.tools, "hand", "eyes"}:
        return False
    if SKILLS.index(procedure.skill) > SKILLS.index(settings.skill):
        return False
    return procedure.helper != "yes" or settings.helper == "yes"


def _same_place(procedure: Procedure, here: Procedure | None) -> bool:
    """With the cap off, what else is seen with the cap off; under the vehicle, what else is seen there."""
    return here is not None and bool(here.opens) and procedure.opens == here.opens and procedure.engine == here.engine
