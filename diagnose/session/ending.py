"""The decision on screen: why the questions end, what it is, how sure, what it would cost to know more."""

from __future__ import annotations

from diagnose.report.paper import Paper
from diagnose.report.ranking import ranking
from diagnose.report.top import top
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
    top(assessment, paper)
    ranking(assessment, paper, "brief")
    paper.gap()
    if assessment.verdict == "unproven":
        paper.say(f"Unproven: buy and open nothing on a guess. {next_proof(assessment, sorted(course.state.cannot))}")
        if not_reproduced(course.state):
            paper.say(NOT_SHOWN)
    elif assessment.verdict == "nothing_wrong":
        paper.say("Nothing wrong was found: look again before winter, or as soon as it shows itself.")
        if course.state.complaint and not_reproduced(course.state):
            paper.say(NOT_SHOWN)
    elif assessment.verdict == "likely" and assessment.leaders and assessment.leaders[0].repairs:
        repair = assessment.leaders[0].repairs[0]
        paper.say(f"What would mend it: {repair.name}. Proof that it worked: {repair.prove}")
    wanting = unowned(assessment)
    if wanting:
        paper.say(f"Not asked for want of a tool or a hand, though it would tell something: {'; '.join(wanting)}.")


NOT_SHOWN = (
    "It did not show itself today. That is a result too: write down when it happens, how warm it was, how fast, what the heater did, "
    "and how long since the start; mark the level; come back when it shows, and do not change parts meanwhile."
)


def not_reproduced(state: State) -> bool:
    """Whether something was complained of and nothing that was looked at on a warm engine, at least twice, showed it."""
    known = [a for a in state.answers.values() if a["answer"] not in ("unknown", "not_looked_at")]
    warm = [a for a in known if a.get("engine") in WARM]
    looked = [a for n, a in state.answers.items() if a in known and state.by.get(n) not in ("words", "")]
    said = bool(state.complaint or state.base.complaint)
    return said and len(warm) >= 2 and all(a["answer"] == "no" for a in looked if isinstance(a["answer"], str))
