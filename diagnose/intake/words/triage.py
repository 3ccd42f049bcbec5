"""A triage: what was said, assessed, cut down to what is needed at the counter."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.case.observation import SILENT, Conditions, Observation
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError, Problem
from diagnose.intake.words.observe import understand
from diagnose.intake.words.understanding import Heard, Understanding
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings

QUESTIONS = 3
SUSPECTED = 0.4  # chance of an effect from which questions about it are asked (estimate)
CAUSES = 3
_ASKABLE_PLACES = ("history", "dash")
_HOT = "Do not open the cap while it is hot: it scalds. Let it stand, cold to the touch, before anybody looks."
_SURE = 0.7  # below it the causes are only named as likely
_UNPROVEN = "What it is cannot be said by telephone. It has to be looked at before any part is bought."
_TOP_UP = "Never pour cold water into a hot engine. Note how much is added and of what; keep coolant from children and animals."


@dataclass(frozen=True)
class Line:
    """One thing understood, as shown for correction."""

    finding: str
    answer: str
    name: str
    words: str
    when: str


@dataclass(frozen=True)
class Cause:
    """A likely cause."""

    id: str
    name: str
    chance: float
    said: str
    percent: str


@dataclass(frozen=True)
class Triage:
    """All that is told at the counter. `assessment` is None where nothing was understood."""

    understanding: Understanding
    lines: tuple[Line, ...]
    urgency: str = ""
    because: tuple[str, ...] = ()
    drive: tuple[str, ...] = ()
    tell: tuple[str, ...] = ()
    causes: tuple[Cause, ...] = ()
    questions: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def triage_of(text: str, knowledge: Knowledge, fuel: str | None = None, complaints: Path | None = None) -> Triage:
    """Understand `text` and assess what was understood. Raises DiagnoseError."""
    understanding = understand(text, knowledge, complaints)
    lines = tuple(_line(h, knowledge) for h in understanding.heard)
    telling = tuple(o for o in understanding.observations if o.answer not in SILENT)
    if not telling:
        return Triage(understanding, lines, questions=_questions((), understanding.observations, knowledge, {}))
    case = Case(complaint=text.strip(), vehicle=_vehicle(fuel), observations=understanding.observations)
    assessment = assess(case, knowledge, Settings())
    return Triage(
        understanding,
        lines,
        assessment.urgency,
        tuple(_each(s for sentence in assessment.urgency_because for s in (sentence.because or [sentence.text]))),
        tuple(s.text for s in assessment.drive),
        tuple(_tell(assessment)),
        tuple(Cause(c.id, c.name, c.chance, c.said, _percent(c.chance)) for c in assessment.ranking[:CAUSES]),
        _questions(
            [p.id for p in assessment.next],
            understanding.observations,
            knowledge,
            {e.id: e.chance for e in assessment.effects},
            running=assessment.urgency != "stop_now",
        ),
        tuple(_first(assessment, knowledge)),
        tuple(c.text for c in assessment.cautions),
    )


def _vehicle(fuel: str | None) -> Vehicle:
    if fuel is None:
        return Vehicle()
    if fuel.lower() not in ("petrol", "diesel", "gas"):
        raise InputError(Problem(f"--fuel {fuel!r} is not known", allowed="Allowed: petrol, diesel, gas."))
    return Vehicle.model_validate({"fuel": fuel.lower()})


def _line(heard: Heard, knowledge: Knowledge) -> Line:
    observation = heard.observation
    shown = observation.model_dump(exclude_none=True, include=set(Conditions.model_fields) - {"note"})
    when = ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in sorted(shown.items()))
    note = "; ".join(part for part in (when, *heard.remarks) if part)
    return Line(observation.of, str(observation.answer), knowledge.name_of(observation.of), " ".join(heard.words.split()), note)


def _percent(chance: float) -> str:
    return "over 99 %" if chance > 0.99 else "under 1 %" if chance < 0.01 else f"about {round(100 * chance):d} %"


def _each(texts: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(texts))


def _tell(assessment: Assessment) -> list[str]:
    """What the customer is told now: what it is, where that is clear, and the two cautions that are never left out."""
    return _each(
        [_UNPROVEN if len(assessment.ranking) > 1 and assessment.ranking[0].chance < _SURE else assessment.headline, _HOT, _TOP_UP]
    )


def _askable(name: str, knowledge: Knowledge) -> bool:
    """A procedure that needs nobody at the vehicle with a tool."""
    procedure = knowledge.procedures.get(name)
    return procedure is not None and not procedure.tools and procedure.skill == "home" and procedure.engine == "any"


def _questions(
    proposed: Iterable[str], observations: Iterable[Observation], knowledge: Knowledge, effects: Mapping[str, float], running: bool = True
) -> tuple[str, ...]:
    """Three questions: the first that what is suspected asks for; of what the assessment would look at next, what can be asked; then
    what is always worth asking.

    Not `running`: the engine stays off, so nothing is asked that somebody might start it for.
    """
    known = {o.of for o in observations if o.answer not in SILENT}
    wanted: list[str] = []
    for name in proposed:
        if name in knowledge.procedures:
            open_ = [f for f in knowledge.procedures[name].gives if f not in known and f in knowledge.findings]
            wanted += open_[:2] if _askable(name, knowledge) else [f for f in open_ if knowledge.findings[f].place in _ASKABLE_PLACES][:1]
    for talk in knowledge.talks.values():
        asks = [f for f in talk.asks if f in knowledge.findings and f not in known]
        if talk.suspected is None:
            wanted += asks
        elif effects.get(talk.suspected, 0.0) >= SUSPECTED:
            wanted = [*asks[:1], *wanted, *asks[1:]]
    asked = [f for f in dict.fromkeys(wanted) if running or _remembered(f, knowledge)]
    return tuple(knowledge.findings[f].ask for f in asked[:QUESTIONS])


def _remembered(finding: str, knowledge: Knowledge) -> bool:
    """What is answered from memory or with the engine off."""
    return knowledge.findings[finding].place == "history" or finding in {f for t in knowledge.talks.values() for f in t.asks}


def _first(assessment: Assessment, knowledge: Knowledge) -> list[str]:
    """The first test that is not a mere question, with its cautions."""
    out = []
    for step in assessment.next:
        if not _askable(step.id, knowledge):
            cautions = f" Caution: {' '.join(step.cautions)}" if step.cautions else ""
            out.append(f"{step.name} ({step.minutes:g} min).{cautions}")
    return out[:1] or ["Look at it cold: level, cap, wet places, hoses, oil. Cap only off a cold engine."]


def plain(result: Triage) -> dict[str, Any]:
    """The triage as plain data for JSON."""
    out = {f.name: getattr(result, f.name) for f in dataclasses.fields(result) if f.name != "understanding"}
    out = {
        k: [dataclasses.asdict(x) if dataclasses.is_dataclass(x) and not isinstance(x, type) else x for x in v]
        if isinstance(v, tuple)
        else v
        for k, v in out.items()
    }
    u = result.understanding
    return {
        "format": "triage 1",
        "observations": [o.model_dump(exclude_none=True, mode="json") for o in u.observations],
        "conditions": u.conditions,
        "not_understood": list(u.not_understood),
        "not_about_cooling": list(u.not_about_cooling),
        "spelling": u.spelling,
        **out,
    }
