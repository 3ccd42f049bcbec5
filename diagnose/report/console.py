"""The page for the console. Plain text without colour; the order is that in which somebody beside a vehicle needs it."""

from __future__ import annotations

from diagnose.assessment import Assessment
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.paper import Paper, sentence
from diagnose.report.plan import plan
from diagnose.report.ranking import leaders, ranking
from diagnose.report.repaired import repaired
from diagnose.report.seen import doubts, figures, source_words, understood
from diagnose.report.top import close, named, top
from diagnose.report.work import cautions, held_back, repairs, short_cautions, steps

DETAILS = ("brief", "usual", "full")


def page(assessment: Assessment, knowledge: Knowledge, width: int = 80, detail: str = "usual") -> str:
    """The assessment as text, no line longer than `width` (40 to 200). `detail`: brief (first screen), usual or full (with ids)."""
    paper = Paper(max(40, min(200, width)))
    full = detail == "full"
    top(assessment, paper)
    if detail == "brief":
        ranking(assessment, paper, detail)
        steps(assessment, knowledge, paper, detail)
        paper.gap()
        short_cautions(assessment, paper)
        return str(paper)
    named(assessment, paper)
    repaired(assessment, paper)
    understood(assessment, paper, full)
    ranking(assessment, paper, detail)
    leaders(assessment, paper, full)
    figures(assessment, knowledge, paper)
    doubts(assessment, paper)
    cautions(assessment, paper)
    plan(assessment, paper, full)
    steps(assessment, knowledge, paper, detail)
    held_back(assessment, paper)
    repairs(assessment, knowledge, paper, full)
    _notes(assessment, paper)
    if full:
        _workings(assessment, knowledge, paper)
    close(assessment, paper)
    return str(paper)


def _notes(assessment: Assessment, paper: Paper) -> None:
    if assessment.notes:
        paper.heading("Good to know")
        paper.items(dict.fromkeys(s.text for s in assessment.notes))


def _workings(assessment: Assessment, knowledge: Knowledge, paper: Paper) -> None:
    """What happens physically, with its chance; and the rules that fired."""
    from diagnose.explain.words import percent

    paper.heading("What is going on")
    for effect in assessment.effects:
        paper.say(f"{effect.name} [{effect.id}]", 0, f"{percent(effect.chance):>5}  ")
    paper.heading("Rules that fired")
    for fired in assessment.rules_fired:
        paper.say(f"{fired.rule} ({fired.phase}): because {'; '.join(fired.matched)}: {'; '.join(fired.concluded)}", mark="- ")
        paper.say(f"{sentence(fired.because)} Source: {source_words(fired.source, knowledge)}.", 4)
    paper.heading("Method")
    paper.say(sentence(assessment.method))
