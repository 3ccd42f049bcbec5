"""What is shown at a prompt. Words alone carry the meaning: no colour, no boxes; every page fits a width from 40 to 200."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.assessment import Assessment
from diagnose.explain.words import URGENCY_WORDS, percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure
from diagnose.report.paper import Paper, listed, sentence
from diagnose.session.commands import WORDS
from diagnose.session.engine_state import STATES
from diagnose.session.parsing import allowed
from diagnose.session.questions import FollowUp, Question, Sweep, only_talk
from diagnose.session.state import State

_ENGINE = {
    "cold": "engine cold", "warm": "engine warm", "opened_running": "opened cold, then running with the cap off",
    "loaded": "under load", "off": "engine off", "any": "engine in any state",
}  # fmt: skip
COMMANDS = "At any time, as a word and Enter: why, undo, list, points, suppose, say, note, result, save; help for all of them."
HOT = "The engine is hot: the cap stays on and nothing is opened. Steam and coolant scald, the fan may start by itself."


def going(paper: Paper, procedure: Procedure, engine: str) -> None:
    """What is done next: effort, cautions, how."""
    paper.gap()
    tools = [t for t in procedure.tools if t not in ("hand", "eyes")]
    words = [f"{procedure.minutes:g} min", f"with {listed(tools)}" if tools else "no tools", _ENGINE[procedure.engine]]
    if procedure.helper == "yes":
        words.append("with a helper")
    paper.say(f"{sentence(procedure.name)[:-1]} ({', '.join(words)})", mark="NEXT: ")
    if engine == "hot" and not only_talk(procedure):
        paper.say(f"CAREFUL: {HOT}", 2)
    for text in procedure.cautions:
        paper.say(f"CAREFUL: {text}", 2)
    paper.items(procedure.how, 2)


def question(paper: Paper, asked: Question | Sweep | FollowUp) -> None:
    """The question with what counts as what, and what may be typed."""
    paper.gap()
    if isinstance(asked, FollowUp):
        paper.say(asked.text)
        paper.say(allowed(asked))
        return
    if isinstance(asked, Sweep):
        told = only_talk(asked.procedure)
        paper.say("What of this is so?" if told else "While you are there, what of this do you find?")
        for number, finding in enumerate(asked.findings, 1):
            paper.say(sentence(finding.name) if told else f"{finding.name}: {finding.yes_is}", 2, f"{number:>2}  ")
        paper.say('Numbers and Enter, such as: 1 3. "2?" where unsure, "-4" where nobody could look.')
        paper.say("n none of them, ? not known, x can't do that, l later; what 3 explains number 3")
        if told:
            paper.say("Anything else that happened: say and your words.")
        return
    finding = asked.finding
    paper.say(finding.ask)
    if finding.bands:
        for number, band in enumerate(finding.bands, 1):
            paper.say(f"{band.replace('_', ' ')}: {finding.band_is[band]}", 2, f"{number}  ")
        if asked.takes_numbers:
            unit = (asked.reading.unit if asked.reading else finding.unit) or ""
            paper.say(f"or the reading with its unit{f' ({unit})' if unit else ''}", 2)
        paper.say("? unknown, x can't do that, l later, s skip")
        return
    paper.say(f"yes: {finding.yes_is}", 2, "y  ")
    paper.say(f"no: {finding.no_is}", 2, "n  ")
    paper.say("m maybe, ? unknown, x can't do that, l later, s skip")


def starter(paper: Paper, what: str) -> None:
    """One of the questions before the questions."""
    paper.gap()
    if what == "complaint":
        paper.say("What is wrong with it? In the customer's words, one line. Enter: nothing was said.")
    elif what == "vehicle":
        paper.say("What is it? For example: diesel, turbo, automatic, cap on the bottle, belt-driven pump. Enter: leave it open.")
        paper.say('What is left out counts as unknown, never as "has not".')
    else:
        paper.say("How is the engine now?")
        for number, (_, words) in enumerate(STATES.items(), 1):
            paper.say(words, 2, f"{number}  ")


def alarm(paper: Paper, assessment: Assessment) -> None:
    """Said at once when it is due, whatever was being asked."""
    paper.gap()
    paper.say("STOP: don't run this engine, and don't drive the vehicle.")
    for text in dict.fromkeys(s.text for s in [*assessment.urgency_because[:2], *assessment.drive[:2]]):
        paper.say(text, 2, "- ")


def standing(paper: Paper, assessment: Assessment) -> None:
    """Where things stand, in one line."""
    if assessment.verdict == "nothing_known":
        return
    best = [f"{c.name} {percent(c.chance)}" for c in assessment.ranking[:2]]
    paper.say(f"So far: {URGENCY_WORDS[assessment.urgency].lower()}; {', '.join(best) if best else 'nothing in particular'}.")


def known(paper: Paper, state: State, knowledge: Knowledge) -> list[str]:
    """All that is known, numbered; returns the names in that order."""
    before = [o.of for o in state.base.observations if o.of not in state.withdrawn | set(state.answers)]
    names = list(dict.fromkeys([*before, *state.answers]))
    paper.gap()
    case = state.case()
    said = {o.of: o for o in case.observations}
    vehicle = case.vehicle.model_dump(exclude_none=True)
    if vehicle:
        paper.say("Vehicle: " + ", ".join(f"{k.replace('_', ' ')} {_answer(v)}" for k, v in vehicle.items()))
    if case.complaint:
        paper.say(f'Said: "{case.complaint}"')
    if state.engine:
        paper.say(f"Engine: {STATES.get(state.engine, 'cold, the cap is off')}")
    for number, name in enumerate(names, 1):
        paper.say(f"{knowledge.name_of(name)}: {_answer(said[name].answer)}", 0, f"{number:>2}  ")
    if not names:
        paper.say("Nothing has been found yet.")
    return names


def _answer(answer: object) -> str:
    if isinstance(answer, dict):
        return ", ".join(f"{k}: {v}" for k, v in answer.items())
    return f"{answer:g}" if isinstance(answer, float) else str(answer).replace("_", " ")


def noted(knowledge: Knowledge, observations: Sequence[dict[str, object]]) -> str:
    """What was kept, said back at once."""
    if len(observations) == 1:
        return f"Noted: {knowledge.name_of(str(observations[0]['of']))}: {_answer(observations[0]['answer'])}."
    marks = {"yes": "", "unsure": " (unsure)"}
    found = [f"{knowledge.name_of(str(o['of']))}{marks[str(o['answer'])]}" for o in observations if o["answer"] in marks]
    none = sum(o["answer"] == "no" for o in observations)
    others = f"; not so: the other{f' {none}' if none > 1 else ''}" if found and none else ""
    open_ = [knowledge.name_of(str(o["of"])) for o in observations if o["answer"] in ("unknown", "not_looked_at")]
    left = f"; not known: {'; '.join(open_)}" if len(open_) < len(observations) and open_ else ""
    if len(open_) == len(observations):
        return "Noted: none of this is known."
    return f"Noted: {'; '.join(found) or 'none of them'}{others}{left}."


def compared(paper: Paper, before: Assessment, after: Assessment, label: str) -> None:
    """What an answer would do to the ranking."""
    was = {c.id: c.chance for c in before.ranking}
    by = {c.id: c.chance - was.get(c.id, c.before) for c in after.ranking}
    moved = [c for c in sorted(after.ranking, key=lambda c: (-abs(by[c.id]), c.id))[:2] if abs(by[c.id]) >= 0.01]
    first = after.ranking[0] if after.ranking else None
    words = [f"{c.name} {percent(was.get(c.id, c.before))} to {percent(c.chance)}" for c in moved]
    text = "; ".join(words) or "hardly anything would change"
    if first is not None:
        text += f". First would be: {first.name}"
    if after.urgency != before.urgency:
        text += f". Urgency: {URGENCY_WORDS[after.urgency].lower()}"
    paper.say(f"{label}: {text}.", 2, "- ")


def points(paper: Paper, assessment: Assessment) -> None:
    """What points to the leader and what away from it."""
    paper.gap()
    if not assessment.leaders:
        paper.say("Nothing leads yet: too little has been found.")
        return
    leader = assessment.leaders[0]
    paper.say(f"In front: {leader.name}. {leader.mechanism}")
    for words, weights in (("For it", leader.evidence_for), ("Against it", leader.evidence_against)):
        if weights:
            paper.say(f"{words}:")
            paper.items([f"{w.name} ({w.said})" for w in weights], 2)
    if leader.told_apart:
        paper.say(f"How to tell it apart: {leader.told_apart}")


def help_page(paper: Paper) -> None:
    """The words for any prompt."""
    paper.gap()
    paper.say("At any prompt you may type:")
    for word, (after, what) in WORDS.items():
        paper.say(what, 2, f"{word}{f' {after}' if after else ''}: ")
    paper.say("name: answer", 2)
    paper.say("enters anything by its name, such as: white_exhaust: no", 4)
    paper.say("A single key counts at once, without Enter. A word that begins with such a key is typed briskly, or with / before it.")
    paper.say("Ctrl-D saves and leaves. Every answer is on disk before the next question.")
