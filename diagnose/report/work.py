"""What to do: cautions, the next tests in order, what is held back, and the repairs that would follow."""

from __future__ import annotations

from diagnose.assessment import Assessment, Procedure, RepairStep
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.paper import Paper, listed, sentence
from diagnose.report.top import CALM, mends_first

_ENGINE = {
    "cold": "engine cold", "warm": "engine warm", "opened_running": "opened cold, then running with the cap off",
    "loaded": "under load", "off": "engine off", "any": "engine in any state",
}  # fmt: skip
_SKILL = {"home": "can be done at home", "workshop": "workshop skill", "specialist": "for a specialist"}
_RESULT = {"absent": "no", "present": "yes"}


def cautions(assessment: Assessment, paper: Paper) -> None:
    """What holds for the whole job."""
    if assessment.cautions:
        paper.heading("Before you touch it")
        paper.items(dict.fromkeys(s.text for s in assessment.cautions))
        paper.say("The vehicle's manual and local rules come first.", mark="- ")


def short_cautions(assessment: Assessment, paper: Paper) -> None:
    """On the first screen: those of the first step in full, and how many more there are."""
    first = assessment.next[0].cautions if assessment.next else []
    for text in first:
        paper.say(f"CAREFUL: {text}")
    if assessment.cautions:
        paper.say(f"{len(assessment.cautions)} cautions belong to this job: read them without --brief before you open or start anything.")


def steps(assessment: Assessment, knowledge: Knowledge, paper: Paper, detail: str) -> None:
    """The proposed tests, best first."""
    if not assessment.next:
        return
    further = assessment.verdict in CALM or mends_first(assessment)
    paper.heading("What could still be looked at" if further else "What to do next, in this order")
    for place, procedure in enumerate(assessment.next, 1):
        if detail == "brief":
            if place <= 3:
                paper.say(_effort(procedure, knowledge), 0, f"{place}. ")
            continue
        _step(place, procedure, knowledge, paper, detail == "full")


def _effort(procedure: Procedure, knowledge: Knowledge) -> str:
    tools = [t for t in procedure.tools if t not in ("hand", "eyes")]
    entry = knowledge.procedures.get(procedure.id)
    words = [sentence(procedure.name)[:-1], f"{procedure.minutes:g} min"]
    if not procedure.cost.endswith("hours' pay") or (entry and entry.consumables):  # else the minutes say it all
        words.append(f"cost {procedure.cost}")
    words += [f"with {listed(tools)}" if tools else "no tools", _ENGINE.get(procedure.engine, procedure.engine)]
    if entry and entry.helper == "yes":
        words.append("with a helper")
    return f"{words[0]} - {', '.join(words[1:])}"


def _step(place: int, procedure: Procedure, knowledge: Knowledge, paper: Paper, full: bool) -> None:
    paper.gap()
    tail = f" [{procedure.id}; {procedure.gain:.2f} bits]" if full else ""
    paper.say(f"{_effort(procedure, knowledge)}, {_SKILL[procedure.skill]}{tail}", 0, f"{place}. ")
    for text in procedure.cautions:
        paper.say(f"CAREFUL: {text}", 3)
    paper.say(f"Why: {plain_why(procedure.why)}", 3)
    paper.say("How:", 3)
    paper.items(procedure.how, 5)
    if procedure.outcomes and full:
        paper.say("What it may show:", 3)
        for outcome in procedure.outcomes:
            result = _RESULT.get(outcome.result, outcome.result.replace("_", " "))
            paper.say(f"{result} ({percent(outcome.chance)}): {outcome.then}", 5, "- ")


def plain_why(text: str) -> str:
    """A reason with yes and no for present and absent.

    >>> plain_why("smell: 'present' would lift a leak from 9 % to 11 %.")
    "smell: a 'yes' would lift a leak from 9 % to 11 %."
    """
    for level, word in _RESULT.items():
        text = text.replace(f"'{level}' would", f"a '{word}' would")
    return text


def held_back(assessment: Assessment, paper: Paper) -> None:
    """Tests that would tell something but are not offered now, gathered by reason."""
    if not assessment.not_now:
        return
    paper.heading("Not now")
    reasons: dict[str, list[str]] = {}
    for closed in assessment.not_now:
        reasons.setdefault(closed.why, []).append(closed.name)
    for why, names in reasons.items():
        paper.say(f"{sentence(why)} So not: {'; '.join(names)}.", mark="- ")


def repairs(assessment: Assessment, knowledge: Knowledge, paper: Paper, full: bool) -> None:
    """What would mend each leader, what to do with it, how to prove it. Nothing is to be bought on a guess."""
    told: set[str] = set()
    if not any(leader.repairs for leader in assessment.leaders):
        return
    paper.heading("Repairs that would follow")
    if assessment.verdict != "likely" and not mends_first(assessment):
        paper.say("Nothing is proven yet: buy and open nothing before the tests above.")
    for leader in assessment.leaders:
        if not leader.repairs:
            continue
        paper.say(f"If it is: {leader.name}")
        for repair in leader.repairs:
            _repair(repair, paper, full, repair.id in told)
            told.add(repair.id)
    for group in assessment.together:
        paper.say(f"These belong together: {'; '.join(knowledge.name_of(r) for r in group)}.")


def _repair(repair: RepairStep, paper: Paper, full: bool, again: bool) -> None:
    tail = f" [{repair.id}]" if full else ""
    if again:
        paper.say(f"{sentence(repair.name)} (as above){tail}", 2, "- ")
        return
    cost = repair.cost.replace(" hours' pay to ", " to ")
    paper.say(f"{sentence(repair.name)[:-1]}: {repair.hours:g} h of work; all told {cost}{tail}", 2, "- ")
    for text in repair.cautions:
        paper.say(f"CAREFUL: {text}", 6)
    if repair.do_with_it:
        paper.say("With it:", 6)
        paper.items(repair.do_with_it, 8)
    paper.say(f"Proof that it worked: {repair.prove}", 6)
