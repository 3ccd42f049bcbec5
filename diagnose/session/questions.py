"""What is asked: one finding, or everything else that is to be seen from where the mechanic stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Procedure, Reading
from diagnose.session.state import State
from diagnose.session.worth import Worth

MOST_BANDED = 2  # findings with bands that are asked one by one in one place (estimate)
TELLS_FROM = 0.05  # bits from which a finding with bands is worth a prompt of its own (estimate)
PAST_FROM = 0.001  # bits from which a person is asked about something he can only tell (estimate)
MOST_TOLD = 8  # things of the past that are asked in one breath; whatever else happened can be told with "say"
FAINT = 0.01  # bits from which a band is asked where nothing else is seen (estimate)


@dataclass(frozen=True)
class Question:
    """One finding, asked on its own. `procedure` is None where it is asked out of turn."""

    finding: Finding
    procedure: Procedure | None
    reading: Reading | None = None

    @property
    def name(self) -> str:
        """What the answer is about."""
        return self.finding.id

    @property
    def takes_numbers(self) -> bool:
        """Whether a number with a unit is an answer."""
        return bool(self.finding.edges) or self.reading is not None


@dataclass(frozen=True)
class Sweep:
    """Yes/no findings to be seen from one place, asked together."""

    procedure: Procedure
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class FollowUp:
    """One circumstance that changes what the answer before it is worth. `around`: it holds for the whole session."""

    field: str
    of: str
    text: str
    unit: str
    around: bool


def reading_of(knowledge: Knowledge, finding: str) -> Reading | None:
    """The reading that a number given for `finding` is taken as."""
    return next((r for r in knowledge.readings.values() if r.finding == finding and r.takes != "nothing"), None)


def question(knowledge: Knowledge, finding: str, procedure: Procedure | None) -> Question:
    """The question about one finding."""
    return Question(knowledge.findings[finding], procedure, reading_of(knowledge, finding))


def open_in(procedure: Procedure, knowledge: Knowledge, state: State) -> list[str]:
    """Findings that `procedure` gives and that are still to be asked, in its order."""
    silent = state.silent()
    silent |= {knowledge.readings[name].finding for name in silent if name in knowledge.readings}  # told by a number of its own name
    return [f for f in procedure.gives if f in knowledge.findings and f not in silent]


def inside(
    procedure: Procedure, knowledge: Knowledge, state: State, worth: Worth, suspects: list[tuple[str, float]], every_band: bool = False
) -> Question | Sweep | None:
    """The next question while the mechanic stands there; None when done.

    A finding with bands that tells enough is asked on its own; everything that is there or not there is asked together, what tells
    most first. `every_band`: ask each finding with bands, whatever it tells (when the whole system is walked through).
    """
    if procedure.id in state.swept:
        return None
    left = open_in(procedure, knowledge, state)
    tells = sorted(((worth.bits(f, suspects), f) for f in left), key=lambda x: (-x[0], x[1]))
    rest = [f for _, f in tells if not knowledge.findings[f].bands]
    banded = [(bits, f) for bits, f in tells if knowledge.findings[f].bands]
    least = 0.0 if every_band else TELLS_FROM if rest else FAINT
    asked = sum(1 for f in procedure.gives if f in state.answers and state.by.get(f) == procedure.id and knowledge.findings[f].bands)
    if banded and (banded[0][0] >= least or len(left) == 1) and (every_band or asked < MOST_BANDED):
        return question(knowledge, banded[0][1], procedure)
    if only_talk(procedure) and not every_band:
        rest = [f for bits, f in tells if f in rest and bits >= PAST_FROM][:MOST_TOLD]
    if not rest:
        return None
    return question(knowledge, rest[0], procedure) if len(rest) == 1 else Sweep(procedure, tuple(knowledge.findings[f] for f in rest))


def history_of(knowledge: Knowledge) -> Procedure | None:
    """The procedure that asks most about the past: where a session starts."""
    told = [(sum(knowledge.findings[f].place == "history" for f in p.gives), p.id) for p in knowledge.procedures.values()]
    best = max(told, key=lambda x: (x[0], x[1]), default=(0, ""))
    return knowledge.procedures[best[1]] if best[0] else None


def only_talk(procedure: Procedure) -> bool:
    """Whether it is only questions to somebody who drives the vehicle: no tool, any engine, nothing opened."""
    return procedure.engine == "any" and not procedure.tools and not procedure.opens


def follow_ups(knowledge: Knowledge, state: State, names: list[str]) -> list[FollowUp]:
    """Circumstances that rules ask for with these answers and that nobody has told yet."""
    from diagnose.knowledge.condition import CONDITION_FIELDS

    out: dict[str, FollowUp] = {}
    for name in names:
        answer = state.answers.get(name)
        if answer is None or state.by.get(name) == "words":  # what somebody told of another day
            continue
        for field in _fields(knowledge, name, str(answer.get("answer"))):
            if answer.get(field) is not None or field in state.around or f"{field}:{name}" in state.asked or f"{field}:" in state.asked:
                continue
            allowed = CONDITION_FIELDS[field]
            around = field in ("ambient", "damp_air", "after_refill")
            out.setdefault(field, FollowUp(field, name, TEXTS[field], allowed.unit, around))
    return [out[f] for f in sorted(out)]


# Only what a mechanic can tell at once; every other circumstance may be given with the answer.
TEXTS = {
    "after_refill": "Was the system opened and refilled within the last few days?",
    "ambient": "How cold or warm is the air outside, and is it damp?",
    "blank_done": "Was the tester first tried on clean air, and did it stay as it was?",
    "liquid_carried_over": "Did liquid coolant get into the tester?",
}


def _fields(knowledge: Knowledge, name: str, answer: str) -> set[str]:
    found: set[str] = set()
    for rule in knowledge.rules.values():
        if rule.phase != "interpret":
            continue
        for item in rule.when:
            if item.get("observed") == name and _same(item.get("answer"), answer):
                found |= {k for k in item if k in TEXTS}
    return found


def _same(wanted: Any, answer: str) -> bool:
    if wanted is None:
        return True
    words = wanted if isinstance(wanted, list) else [wanted]
    return any(str(w) == answer for w in words if not isinstance(w, Mapping))
