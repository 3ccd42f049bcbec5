"""From observations to figures: which function turns which reading into which finding's bands. Imports them only when needed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import NamedTuple

from diagnose.case.case import Case
from diagnose.case.observation import SILENT, Observation
from diagnose.derive.measure import CannotJudge
from diagnose.errors import InputError, Problem
from diagnose.figures.derived import Asked, Derived, cannot
from diagnose.figures.plain import plain
from diagnose.figures.series import is_number, is_point
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Reading


class Maker(NamedTuple):
    """Where a figure is worked out. `together`: it takes all its observations of one day at once, so that nothing counts twice."""

    module: str
    function: str
    together: bool = False

    def load(self) -> Callable[..., Derived | list[Derived]]:
        """The function itself, imported now."""
        made: Callable[..., Derived | list[Derived]] = getattr(import_module(f"diagnose.figures.{self.module}"), self.function)
        return made


# figure named in readings.yaml -> what works it out
FIGURES: dict[str, Maker] = {
    "mix": Maker("mix", "mix", together=True),
    "voltage": Maker("voltage", "voltage", together=True),
    "compression": Maker("cylinders", "compressions", together=True),
    "leakage": Maker("cylinders", "leakages", together=True),
    "pressure_test": Maker("pressure", "pressure_test"),
    "pressure_record": Maker("pressure", "pressure_record"),
    "cap_test": Maker("cap", "cap_test"),
    "cap_mark": Maker("cap", "cap_mark"),
    "sensor_resistance": Maker("sensor", "sensor_resistance"),
    "against_thermometer": Maker("sensor", "against_thermometer"),
    "running_temperature": Maker("temperature", "running"),
    "opening_temperature": Maker("temperature", "opening"),
    "hoses": Maker("hoses", "hoses"),
    "core": Maker("hoses", "core"),
    "top_ups": Maker("loss", "top_ups"),
    "age": Maker("age", "age"),
    "neck_gas": Maker("gas", "neck_gas"),
    "codes": Maker("codes", "codes"),
}

_Group = dict[tuple[str, str], list[Asked]]


def derive(case: Case, knowledge: Knowledge) -> tuple[Derived, ...]:
    """Every observation turned into likelihoods; silent answers are left out. Raises InputError for what cannot be read."""
    out: list[Derived] = []
    problems: list[Problem] = []
    groups: _Group = {}
    under = {r.finding: r for r in knowledge.readings.values() if r.takes != "nothing"}
    for about, observation in enumerate(case.observations):
        if observation.of not in knowledge.findings and observation.of not in knowledge.readings:
            problems.append(Problem(f"'{observation.of}' is not a finding or reading known here", allowed=_near(observation.of, knowledge)))
            continue
        if observation.answer in SILENT:
            continue
        try:
            reading = reading_of(observation, knowledge, under)
            if reading is None:
                out += _answered(Asked(about, observation, case, knowledge, knowledge.findings[observation.of]))
                continue
            asked = Asked(about, observation, case, knowledge, knowledge.findings[reading.finding], reading)
            if FIGURES[reading.figure].together:
                groups.setdefault((reading.figure, str(observation.on)), []).append(asked)
            else:
                out += _worked_out(FIGURES[reading.figure], asked)
        except InputError as why:
            problems += _named(observation.of, why)
    for (figure, _), group in sorted(groups.items()):
        try:
            out += _grouped(FIGURES[figure], group)
        except InputError as why:
            problems += _named(group[0].observation.of, why)
    if problems:
        raise InputError(*problems)
    return tuple(sorted(_trends(out, case, knowledge), key=lambda d: d.about))


def _trends(out: list[Derived], case: Case, knowledge: Knowledge) -> list[Derived]:
    if len({o.on for o in case.observations if o.on}) < 2:
        return out
    from diagnose.figures.trend import with_trends

    return with_trends(out, case, knowledge)


def _near(name: str, knowledge: Knowledge) -> str:
    from diagnose.errors import did_you_mean

    return did_you_mean(name, knowledge.observable())


def _named(of: str, why: InputError) -> list[Problem]:
    return [Problem(f"{of}: {p.message}", p.file, p.line, p.allowed) for p in why.problems]


def reading_of(observation: Observation, knowledge: Knowledge, under: Mapping[str, Reading]) -> Reading | None:
    """The reading that an observation is; None for a plain answer to a finding. `under`: finding to the reading that takes its numbers."""
    answer = observation.answer
    if observation.of in knowledge.readings:
        return knowledge.readings[observation.of]
    reading = under.get(observation.of)
    if reading is None or (isinstance(answer, str) and not is_number(answer)):
        return None
    if reading.takes == "numbers" or isinstance(answer, dict):
        return reading
    return reading if is_point(answer) else None


def _worked_out(maker: Maker, asked: Asked) -> list[Derived]:
    try:
        made = maker.load()(asked)
    except CannotJudge as why:
        return [cannot(asked, str(why))]
    return made if isinstance(made, list) else [made]


def _grouped(maker: Maker, group: list[Asked]) -> list[Derived]:
    try:
        made = maker.load()(group)
    except CannotJudge as why:
        return [cannot(asked, str(why)) for asked in group]
    return made if isinstance(made, list) else [made]


def _answered(asked: Asked) -> list[Derived]:
    """A finding answered directly: a word, one of its bands, or a number in its unit."""
    finding, about, answer = asked.finding, asked.about, asked.observation.answer
    if isinstance(answer, str):
        told = answer.lower()
        if told in ("yes", "no", "unsure"):
            return [Derived(about, finding.id, _word(told, len(finding.levels)))]
        if told in finding.bands:
            return [Derived(about, finding.id, tuple(1.0 if band == told else 0.0 for band in finding.bands))]
    _refuse_words(finding, answer)
    try:
        return [plain(asked)]
    except InputError as why:
        words = f"Or one of: {', '.join(finding.bands)}."
        raise InputError(*(Problem(p.message, allowed=f"{p.allowed} {words}") for p in why.problems)) from None


def _refuse_words(finding: Finding, answer: str | float | dict[str, str | float]) -> None:
    """Raises InputError where no number is of use either."""
    if not finding.bands:
        shown = answer if not isinstance(answer, dict) else "a series"
        raise InputError(Problem(f"'{shown}' is not an answer", allowed="Allowed: yes, no, unsure, unknown, not_looked_at."))
    if not finding.unit:
        from diagnose.errors import did_you_mean

        hint = did_you_mean(str(answer), finding.bands)
        raise InputError(Problem(f"'{answer}' is not an answer", allowed=f"{hint} Allowed: {', '.join(finding.bands)}.".strip()))


def _word(word: str, size: int) -> tuple[float, ...]:
    if word == "no":
        return (1.0, *([0.0] * (size - 1)))
    return (0.0, *([1.0] * (size - 1)))  # an unsure yes is softened when it is interpreted
