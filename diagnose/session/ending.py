"""The decision on screen: why the questions end, what it is, how sure, what it would cost to know more."""

from __future__ import annotations

from typing import Any

from diagnose.assessment import Assessment
from diagnose.explain.words import URGENCY_WORDS
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.paper import Paper
from diagnose.report.ranking import ranking
from diagnose.report.top import driving
from diagnose.session.course import Course
from diagnose.session.state import State
from diagnose.session.stopping import next_proof, unowned

WARM = ("warm", "loaded", "opened_running", "hot_off")


def decision(paper: Paper, course: Course, why: str) -> None:
    """The decision as it stands."""
    assessment = course.outlook()
    paper.heading("The decision")
    paper.say(why)
    paper.gap()
    _top(assessment, paper)
    _list(assessment, paper)
    paper.gap()
    if assessment.verdict == "unproven":
        paper.say(f"Unproven: buy and open nothing on a guess. {next_proof(assessment, sorted(course.state.cannot))}")
        if not_reproduced(course.state, course.knowledge):
            paper.say(NOT_SHOWN)
    elif assessment.verdict == "nothing_wrong":
        paper.say("Nothing wrong was found: look again before winter, or as soon as it shows itself.")
        if course.state.complaint and not_reproduced(course.state, course.knowledge):
            paper.say(NOT_SHOWN)
    elif assessment.verdict == "likely" and assessment.leaders and assessment.leaders[0].repairs:
        repair = assessment.leaders[0].repairs[0]
        paper.say(f"What would mend it: {repair.name} ({repair.hours:g} h). Proof that it worked: {repair.prove}")
    wanting = unowned(assessment)
    if wanting:
        paper.say(f"Not asked for want of a tool or a hand, though it would tell something: {'; '.join(wanting)}.")


def _top(assessment: Assessment, paper: Paper) -> None:
    """How urgent, may it be driven, what it is. No test is put first here: the questions have ended."""
    loud = assessment.urgency in ("stop_now", "do_not_drive_far")
    urgency = "Nothing known yet" if assessment.verdict == "nothing_known" else URGENCY_WORDS[assessment.urgency]
    drive = driving(assessment)
    paper.say(f"{urgency.upper() if loud else urgency}: {drive[0]}")
    paper.items(drive[1:], 2)
    paper.say(assessment.headline)
    because = list(dict.fromkeys(s.text for s in assessment.urgency_because))
    if because and assessment.urgency != "none":
        paper.say(f"Why {'so urgent' if loud else 'then'}: {' '.join(because[:2])}")


def _list(assessment: Assessment, paper: Paper) -> None:
    """The list with chances; what would show the rest of it is a word here and no option."""
    page = Paper(paper.width)
    ranking(assessment, page, "brief")
    paper.gap()
    paper.lines += [line.replace("all with --full", "all: result full") for line in page.lines]


NOT_SHOWN = (
    "It did not show itself today. That is a result too: write down when it happens, how warm it was, how fast, what the heater did, "
    "and how long since the start; mark the level; come back when it shows, and do not change parts meanwhile."
)


def not_reproduced(state: State, knowledge: Knowledge) -> bool:
    """Whether something was complained of and nothing that was looked at on a warm engine, at least twice, showed it."""
    known = [n for n, a in state.answers.items() if a["answer"] not in ("unknown", "not_looked_at")]
    looked = [n for n in known if state.by.get(n) not in ("words", "")]
    warm = [n for n in looked if state.answers[n].get("engine") in WARM]
    said = bool(state.complaint or state.base.complaint)
    return said and len(warm) >= 2 and all(_as_it_should_be(n, state.answers[n]["answer"], knowledge) for n in looked)


def _as_it_should_be(name: str, answer: Any, knowledge: Knowledge) -> bool:
    """A "no", or the ordinary band; a number is not judged here."""
    finding = knowledge.findings.get(name)
    return isinstance(answer, str) and (answer == "no" or bool(finding and finding.bands and answer == finding.bands[0]))
