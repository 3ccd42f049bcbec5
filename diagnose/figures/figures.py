"""From observations to figures: which function turns which reading into which finding's bands. Imports them only when needed."""

from __future__ import annotations

from importlib import import_module

from diagnose.case.case import Case
from diagnose.case.observation import SILENT, Observation
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived
from diagnose.figures.plain import plain
from diagnose.knowledge.knowledge import Knowledge

# name in readings.yaml -> module and function that work it out
FIGURES: dict[str, tuple[str, str]] = {}


def derive(case: Case, knowledge: Knowledge) -> tuple[Derived, ...]:
    """Every observation turned into likelihoods; silent answers are left out. Raises InputError for what cannot be read."""
    out: list[Derived] = []
    problems: list[Problem] = []
    for about, observation in enumerate(case.observations):
        if observation.answer in SILENT:
            continue
        try:
            out += _derive(about, observation, case, knowledge)
        except InputError as why:
            problems += [Problem(f"{observation.of}: {p.message}", p.file, p.line, p.allowed) for p in why.problems]
    if problems:
        raise InputError(*problems)
    return tuple(out)


def _derive(about: int, observation: Observation, case: Case, knowledge: Knowledge) -> list[Derived]:
    if observation.of in knowledge.readings:
        reading = knowledge.readings[observation.of]
        module, function = FIGURES[reading.figure]
        asked = Asked(about, observation, case, knowledge, knowledge.findings[reading.finding])
        result: Derived = getattr(import_module(module), function)(asked)
        return [result]
    finding = knowledge.findings[observation.of]
    asked = Asked(about, observation, case, knowledge, finding)
    answer = observation.answer
    if isinstance(answer, str):
        word = answer.lower()
        if word in ("yes", "no", "unsure"):
            return [Derived(about, finding.id, _word(word, len(finding.levels)))]
        if word in finding.bands:
            return [Derived(about, finding.id, tuple(1.0 if band == word else 0.0 for band in finding.bands))]
    if not finding.bands:
        shown = answer if not isinstance(answer, dict) else "a series"
        raise InputError(Problem(f"'{shown}' is not an answer", allowed="Allowed: yes, no, unsure, unknown, not_looked_at."))
    if not finding.unit:
        from diagnose.errors import did_you_mean

        hint = did_you_mean(str(answer), finding.bands)
        raise InputError(Problem(f"'{answer}' is not an answer", allowed=f"{hint} Allowed: {', '.join(finding.bands)}.".strip()))
    try:
        return [plain(asked)]
    except InputError as why:
        words = f"Or one of: {', '.join(finding.bands)}."
        raise InputError(*(Problem(p.message, allowed=f"{p.allowed} {words}") for p in why.problems)) from None


def _word(word: str, size: int) -> tuple[float, ...]:
    if word == "no":
        return (1.0, *([0.0] * (size - 1)))
    return (0.0, *([1.0] * (size - 1)))  # an unsure yes is softened when it is interpreted
