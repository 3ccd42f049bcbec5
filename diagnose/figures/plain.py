"""The plain case: the number itself is the figure, in the finding's unit, with the accuracy of an ordinary reading."""

from __future__ import annotations

from diagnose.case.quantity import parse
from diagnose.derive.measure import Measure
from diagnose.figures.derived import Asked, Derived, banded, cannot


def number(asked: Asked) -> float:
    """The observation's single number in the finding's unit. Raises InputError for what is not one."""
    answer = asked.observation.answer
    assert not isinstance(answer, dict)
    return parse(answer, asked.finding.unit or "")


def plain(asked: Asked) -> Derived:
    """The reading is the figure."""
    finding = asked.finding
    if isinstance(asked.observation.answer, dict):
        values = [parse(v, finding.unit or "") for _, v in sorted(asked.observation.answer.items())]
        value, formula = sum(values) / len(values), f"mean of {len(values)} readings"
    else:
        value, formula = number(asked), "as read"
    if not finding.edges:
        return cannot(asked, f"{finding.name} is answered with one of: {', '.join(finding.levels)}; a number cannot be judged here")
    return banded(asked, Measure(value, finding.accuracy or 0.0, finding.unit or "", formula, finding.source))
