"""The first lines of the page: how urgent, may it be driven, what it is, what to do first."""

from __future__ import annotations

from diagnose.assessment import Assessment, PlanStep
from diagnose.explain.words import URGENCY_WORDS
from diagnose.report.paper import Paper, sentence

# Where no rule and no entry says how it may be driven.
_DRIVING = {
    "stop_now": "Do not drive it.",
    "do_not_drive_far": "Drive no farther than to where it can be looked at, with an eye on the gauge.",
    "this_week": "It may be driven until then with an eye on gauge and level.",
    "next_service": "It may be driven.",
    "none": "Nothing found speaks against driving.",
}
CALM = ("nothing_wrong", "harmless")  # verdicts after which no test is needed, only possible
MOST_FIRST = 3  # steps named in the first lines; the rest follows below


def driving(assessment: Assessment) -> list[str]:
    """Whether it may be driven, each sentence once."""
    if assessment.verdict == "nothing_known":
        return ["Whether it may be driven is not known yet."]
    return list(dict.fromkeys(s.text for s in assessment.drive)) or [_DRIVING[assessment.urgency]]


def top(assessment: Assessment, paper: Paper) -> None:
    """Urgency and driving first, then the finding in a sentence, then what to do."""
    drive = driving(assessment)
    urgency = URGENCY_WORDS[assessment.urgency]
    if assessment.verdict == "nothing_known":
        urgency = "Nothing known yet"
    loud = assessment.urgency in ("stop_now", "do_not_drive_far")
    paper.say(f"{urgency.upper() if loud else urgency}: {drive[0]}")
    paper.items(drive[1:], 2)
    paper.say(assessment.headline)
    steps = [f"{p.name} ({p.minutes:g} min)" for p in assessment.next[:MOST_FIRST]]
    mend_first = mends_first(assessment)
    if mend_first:
        along = f", and with it {' and '.join(mend_first.together)}" if mend_first.together else ""
        paper.say(f"Do first: {mend_first.name}{along} ({mend_first.cost} with its proof). {mend_first.why.split(' Proof:')[0]}")
    if steps:
        label = "To look further: " if assessment.verdict in CALM or mend_first else "Do first: "
        paper.say(label + ", then ".join(steps) + ".")
    if assessment.plan and assessment.plan.ask:
        paper.say(assessment.plan.ask.text)
    mend = [r for leader in assessment.leaders[:1] for r in leader.repairs]
    if assessment.verdict == "likely" and mend and not mend_first:
        paper.say(f"Would mend it: {' or '.join(f'{r.name} ({r.hours:g} h)' for r in mend)}.")
    because = list(dict.fromkeys(s.text for s in assessment.urgency_because))
    if because and assessment.urgency != "none":
        paper.say(f"Why {'so urgent' if loud else 'then'}: {' '.join(because[:2])}")
    if assessment.invented:
        paper.say("(An invented case.)")


def mends_first(assessment: Assessment) -> PlanStep | None:
    """The repair that the plan begins with, where it does: no test is worth its price before it."""
    first = assessment.plan.steps[0] if assessment.plan and assessment.plan.steps else None
    return first if first and first.kind == "repair" and assessment.verdict not in (*CALM, "nothing_known") else None


def named(assessment: Assessment, paper: Paper) -> None:
    """Which case this is."""
    if assessment.title:
        paper.gap()
        paper.say(f"Case: {assessment.title}")
    if assessment.complaint:
        paper.say(f'Said: "{assessment.complaint}"')


def close(assessment: Assessment, paper: Paper) -> None:
    """How the chances came about, where a reader must know it."""
    if not assessment.exact:
        paper.gap()
        paper.say(sentence(f"How the chances were worked out: {assessment.method}"))
