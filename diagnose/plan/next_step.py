"""The next procedure: what it is expected to tell about who is right, against its minutes, money and trouble."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure
from diagnose.plan.outlook import Tell, Worlds, tell
from diagnose.plan.settings import SKILLS, Settings
from diagnose.rank.network import Network

UNSAFE_FROM = 0.25  # chance of what a procedure must not meet, from which it is not offered (estimate)
FIXED_MINUTES = 3.0  # walking to the vehicle, noting the result (estimate)
OPENING_MINUTES = {"undertray": 15.0, "wheel_and_liner": 20.0, "plugs": 15.0, "injectors": 60.0, "thermostat": 30.0}  # estimate
SKILL_MINUTES = {"home": 0.0, "workshop": 5.0, "specialist": 60.0}  # fetching somebody who can (estimate)
RUNNING = ("warm", "opened_running", "loaded")
LATER = (1.0, 0.5, 0.25)  # findings of one procedure overlap: the second best counts half, the third a quarter (estimate)
WORTH = 0.005  # bits below which a test is not worth naming (estimate)


@dataclass(frozen=True)
class Candidate:
    """A procedure that may be done, what it would tell, and what it costs in minutes all told."""

    procedure: Procedure
    bits: float
    minutes: float
    tells: tuple[Tell, ...]

    @property
    def worth(self) -> float:
        """Bits a minute: what orders the proposals."""
        return self.bits / self.minutes


@dataclass(frozen=True)
class Closed:
    """A procedure that would tell something but is not offered, and why."""

    procedure: Procedure
    why: str


def candidates(
    knowledge: Knowledge, network: Network, worlds: Worlds, open_findings: Iterable[str], settings: Settings, facts: Mapping[str, object],
    chance: Mapping[str, float], blocked: Mapping[str, str], run_blocked: str, most: int = 6,
) -> tuple[list[Candidate], list[Closed]]:  # fmt: skip
    """Procedures by worth, the best first; and those held back."""
    wanted = set(open_findings)
    tells = {name: tell(name, knowledge.findings[name].levels, network, worlds) for name in sorted(wanted)}
    found: list[Candidate] = []
    closed: list[Closed] = []
    for procedure in knowledge.procedures.values():
        told = sorted((tells[f] for f in procedure.gives if f in wanted), key=lambda t: (-t.bits, t.finding))
        bits = sum(t.bits * w for t, w in zip(told, LATER, strict=False))
        if bits < WORTH or (procedure.needs and surely_fail(procedure.needs.tests, facts)):
            continue
        why = _unsafe(procedure, knowledge, chance, blocked, run_blocked) or _beyond(procedure, settings)
        if why:
            closed.append(Closed(procedure, why))
        else:
            found.append(Candidate(procedure, bits, cost(procedure), tuple(told[:3])))
    found.sort(key=lambda c: (-c.worth, c.procedure.id))
    return _without_repeats(found)[:most], closed


def cost(procedure: Procedure) -> float:
    """Minutes all told: work, opening up, consumables at sixty minutes the hour's worth, the skill to be fetched."""
    opening = sum(OPENING_MINUTES.get(part, 3.0) for part in procedure.opens)
    helper = 0.5 * procedure.minutes if procedure.helper == "yes" else 0.0
    return FIXED_MINUTES + procedure.minutes + helper + opening + 60.0 * procedure.consumables + SKILL_MINUTES[procedure.skill]


def _unsafe(procedure: Procedure, knowledge: Knowledge, chance: Mapping[str, float], blocked: Mapping[str, str], run_blocked: str) -> str:
    if procedure.id in blocked:
        return blocked[procedure.id]
    if run_blocked and procedure.engine in RUNNING:
        return run_blocked
    for name in procedure.not_when:
        if chance.get(name, 0.0) >= UNSAFE_FROM:
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


def _without_repeats(found: Sequence[Candidate]) -> list[Candidate]:
    """Two procedures for the same telling finding: the better one is enough."""
    seen: set[str] = set()
    out = []
    for candidate in found:
        best = candidate.tells[0].finding
        if best not in seen:
            out.append(candidate)
            seen.add(best)
    return out
