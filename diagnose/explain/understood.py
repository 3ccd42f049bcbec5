"""What was understood: every observation, what it amounts to, and how far it is trusted."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose import assessment as a
from diagnose.case.case import Case
from diagnose.case.observation import SILENT
from diagnose.explain.words import answer_word
from diagnose.figures.derived import Derived
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.interpret import Found, Interpretation


def understood(case: Case, knowledge: Knowledge, readings: Sequence[Derived], seen: Interpretation) -> list[a.Understood]:
    """One line for each observation, in an order that does not depend on the file's: by name, then answer."""
    out = []
    for about, observation in enumerate(case.observations):
        if observation.answer in SILENT:
            finding = knowledge.readings[observation.of].finding if observation.of in knowledge.readings else observation.of
            out.append(_line(about, case, knowledge, finding, None, None))
        for item in (d for d in readings if d.about == about):
            out.append(_line(about, case, knowledge, item.finding, item, seen.findings.get(item.finding)))
    out.sort(key=lambda u: (u.of, u.answer, u.finding, u.model_dump_json(exclude={"observation"})))
    return out


def _line(about: int, case: Case, knowledge: Knowledge, finding: str, item: Derived | None, found: Found | None) -> a.Understood:
    observation = case.observations[about]
    level, band, trust, reasons = "silent", "", 0.0, []
    if item is not None and item.cannot:
        level, reasons = "cannot_judge", [item.cannot]
    elif item is not None and found is not None:
        level, band, trust, reasons = found.level, found.band, found.trust, list(found.reasons)
        if found.observations and about not in found.observations:
            level, band, trust, reasons = "unsure", "", 0.0, ["Seen before something was done to the vehicle; what was seen since counts."]
    if item is not None:
        reasons += list(item.notes)
    if observation.instrument == "log" and observation.note:  # what a log was read as, with its rows, is the reading here
        reasons.append(observation.note)
    measure = item.measure if item else None
    figure = (
        a.Figure(
            value=round(measure.value, 4),
            sd=round(measure.sd, 4),
            unit=measure.unit,
            formula=measure.formula,
            source=measure.source,
        )
        if measure
        else None
    )
    name = knowledge.findings[finding].name
    return a.Understood(
        observation=about, of=observation.of, answer=answer_word(observation), finding=finding, name=name, level=level, band=band,
        trust=round(trust, 3), reasons=reasons, figure=figure,
    )  # fmt: skip
