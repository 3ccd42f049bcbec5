"""What was understood of the case, how far each thing is believed and why; and the figures worked out."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.assessment import Assessment, Figure, Understood
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.paper import Paper, sentence

FULLY = 0.95  # trust from which nothing is said about it
_TRUST = ((0.7, "mostly believed"), (0.4, "half believed"), (0.15, "believed only a little"), (0.0, "hardly believed"))


def trust_words(trust: float) -> str:
    """How far something is believed.

    >>> trust_words(0.5)
    'half believed'
    """
    return "believed" if trust >= FULLY else next(words for least, words in _TRUST if trust >= least)


def understood(assessment: Assessment, paper: Paper, full: bool) -> None:
    """Every observation, once; the silent ones counted."""
    seen = assessment.understood
    if not seen:
        return
    paper.heading("What was understood")
    judged = [u for u in seen if u.level not in ("silent", "cannot_judge")]
    clear = [u for u in judged if u.trust >= FULLY and u.level == "absent" and u.answer == "no" and not u.reasons and not full]
    for u in judged:
        if u.trust >= FULLY and u not in clear:
            paper.say(_line(u, full), mark="- ")
            if full:
                paper.items(u.reasons, 4, "")
    if clear:
        paper.say(f"looked at and not found: {'; '.join(u.name for u in clear)}", mark="- ")
    doubted = [u for u in judged if u.trust < FULLY]
    if doubted:
        paper.say("Taken with caution:")
        for u in doubted:
            paper.say(f"{_line(u, full)} - {trust_words(u.trust)}", mark="- ")
            paper.items(u.reasons, 4, "")
    for u in (u for u in seen if u.level == "cannot_judge"):
        paper.say(f"{_line(u, full)} - not judged: {' '.join(u.reasons)}", mark="- ")
    silent = [u for u in seen if u.level == "silent"]
    if silent:
        paper.say(f"Not known or not looked at ({len(silent)}): {'; '.join(u.name for u in silent)}. These say nothing either way.")


def _line(u: Understood, full: bool) -> str:
    band = u.band.replace("_", " ")
    tail = f", so: {band}" if u.figure and band and band != u.answer else ""
    return f"{u.name}: {u.answer.replace('_', ' ')}{tail}" + (f" [{u.finding}]" if full else "")


def figures(assessment: Assessment, knowledge: Knowledge, paper: Paper) -> None:
    """Each figure with its reading, how it was worked out, and where that comes from."""
    told = [(u, u.figure) for u in assessment.understood if u.figure and (u.figure.formula != "as read" or u.figure.sd > 0)]
    if not told:
        return
    paper.heading("Figures")
    for u, figure in told:
        paper.say(f"{u.name}: {number(figure)}, from the reading {u.answer.replace('_', ' ')}", mark="- ")
        paper.say(f"Worked out: {figure.formula.replace('_', ' ')}. Source: {source_words(figure.source, knowledge)}.", 4)


def number(figure: Figure) -> str:
    """A figure and its uncertainty with as many digits as it deserves.

    >>> number(Figure(value=0.4123, sd=0.021, unit="V", formula="", source=""))
    '0.41 ± 0.02 V'
    """
    from math import floor, log10

    digits = max(0, -floor(log10(figure.sd))) if figure.sd > 0 else 2
    return f"{figure.value:.{digits}f} ± {figure.sd:.{digits}f} {figure.unit}".rstrip()


def source_words(source: str, knowledge: Knowledge) -> str:
    """A source's name for its id; free words stay."""
    if source in knowledge.sources:
        return knowledge.sources[source].name.rstrip(".")
    return source.replace("_", " ")


def doubts(assessment: Assessment, paper: Paper) -> None:
    """What nothing explains, what disagrees, and what may hide behind something else."""
    _listed("What nothing here explains", assessment.unexplained, paper)
    _listed("What disagrees", assessment.disagrees, paper)
    _listed("What may be hidden", assessment.masks, paper)


def _listed(name: str, lines: Sequence[str], paper: Paper) -> None:
    if lines:
        paper.heading(name)
        paper.items(sentence(line) for line in lines)
