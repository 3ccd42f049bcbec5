"""Which procedures may be done now, and what each would tell about who is right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure
from diagnose.plan.cost import Costs
from diagnose.plan.outlook import Tell, Worlds, tell
from diagnose.plan.settings import SKILLS, Settings, cost_word
from diagnose.rank.network import Network

UNSAFE_FROM = 0.25  # chance of what a procedure must not meet, from which it is not offered (estimate)
RUNNING = ("warm", "opened_running", "loaded")
LATER = (1.0, 0.5, 0.25)  # findings of one procedure overlap: the second best counts half, the third a quarter (estimate)
WORTH = 0.005  # bits below which a test is not worth naming (estimate)
MOST_TELLS = 4
REFUSED = "Was offered and refused."


@dataclass(frozen=True)
class Candidate:
    """A procedure that may be done, what it would tell, and what it costs in minutes all told."""

    procedure: Procedure
    bits: float
    minutes: float
    tells: tuple[Tell, ...]

    @property
    def worth(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


@dataclass(frozen=True)
class Closed:
    """A procedure that would tell something but is not offered, and why. `unpaid`: money is all that is wanting."""

    procedure: Procedure
    why: str
    unpaid: Candidate | None = None


@dataclass(frozen=True)
class Allowed:
    """What is known about what may be done: chances of what must not be met, blocks by id, a reason not to run it, the urgency."""

    chance: Mapping[str, float]
    blocked: Mapping[str, str]
    run_blocked: str
    urgency: str = "none"


def candidates(
    knowledge: Knowledge, network: Network, worlds: Worlds, open_findings: Iterable[str], costs: Costs, allowed: Allowed,
    asked: Iterable[str] = (),
) -> tuple[list[Candidate], list[Closed]]:  # fmt: skip
    """Procedures by bits a minute, the best first; and those held back. What gives an `asked` finding is kept however little it tells."""
    needed = set(asked)
    wanted = set(open_findings)
    tells = {name: tell(name, knowledge.findings[name].levels, network, worlds) for name in sorted(wanted)}
    found: list[Candidate] = []
    closed: list[Closed] = []
    opening = costs.opening()
    for procedure in knowledge.procedures.values():
        told = sorted((tells[f] for f in procedure.gives if f in wanted), key=lambda t: (-t.bits, t.finding))
        bits = sum(t.bits * w for t, w in zip(told, LATER, strict=False))
        idle = bits < WORTH and not needed.intersection(procedure.gives)
        if idle or (procedure.needs and surely_fail(procedure.needs.tests, costs.facts)):
            continue
        hours = costs.procedure(procedure) + sum(opening.get(p, 0.05) for p in procedure.opens)
        candidate = Candidate(procedure, bits, 60.0 * hours, tuple(told[:MOST_TELLS]))
        why = unsafe(procedure, knowledge, allowed) or _beyond(procedure, costs.settings) or _refused(procedure, costs.settings)
        unpaid = "" if why else _unpaid(procedure, hours, costs.settings)
        if why or unpaid:
            closed.append(Closed(procedure, why or unpaid, candidate if unpaid else None))
        else:
            found.append(candidate)
    found.sort(key=lambda c: (-c.worth, c.procedure.id))
    return found, closed


def unsafe(procedure: Procedure, knowledge: Knowledge, allowed: Allowed) -> str:
    """Why a procedure must not be done now; empty where nothing speaks against it."""
    if procedure.id in allowed.blocked:
        return allowed.blocked[procedure.id]
    if allowed.run_blocked and procedure.engine in RUNNING:
        return allowed.run_blocked
    if procedure.driven == "yes" and allowed.urgency == "stop_now":
        return "It must not be driven now, for a test either."
    for name in procedure.not_when:
        if allowed.chance.get(name, 0.0) >= UNSAFE_FROM:
            return f"Not while this is to be reckoned with: {knowledge.name_of(name)}."
    return ""


def _beyond(procedure: Procedure, settings: Settings) -> str:
    missing = [] if settings.tools is None else sorted(set(procedure.tools) - set(settings.tools) - {"hand", "eyes"})
    if missing:
        return f"Needs {', '.join(missing).replace('_', ' ')}."
    if SKILLS.index(procedure.skill) > SKILLS.index(settings.skill) and procedure.skill == "specialist" and settings.skill == "home":
        return "Work for a specialist."
    if procedure.helper == "yes" and settings.helper == "no":
        return "Needs a second person."
    return ""


def _refused(procedure: Procedure, settings: Settings) -> str:
    return REFUSED if procedure.id in settings.refused else ""


def _unpaid(procedure: Procedure, hours: float, settings: Settings) -> str:
    """Asking people costs nothing to agree on; what takes more than is left of the money agreed is not offered."""
    question = procedure.engine == "any" and not procedure.tools and not procedure.opens
    if settings.left is None or question or hours <= settings.left + 1e-9:
        return ""
    return f"Costs more than what is left of the money agreed for tests ({cost_word(settings.left, settings)}): ask first."
