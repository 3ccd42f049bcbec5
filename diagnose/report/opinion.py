"""The page of a second opinion: the verdict, why, what could overturn it, what to do first, what would change it."""

from __future__ import annotations

from diagnose.explain.words import percent
from diagnose.plan.opinion import SecondOpinion
from diagnose.report.paper import Paper
from diagnose.report.plan import results


def opinion_page(told: SecondOpinion, width: int) -> str:
    """The second opinion as text, no line longer than `width`."""
    paper = Paper(max(40, min(200, width)))
    paper.say(told.headline)
    paper.say(f"Asked: {told.asked.rstrip('. ') or 'nothing'}. Understood: {told.understood}.")
    if told.ask:
        paper.say(told.ask.text)
    paper.gap()
    paper.say("Why:")
    paper.items(told.reasons, 2)
    if told.overturn:
        test = told.overturn
        paper.gap()
        paper.say(f"The cheapest test that could overturn this: {test.name} ({test.minutes:g} min, {test.cost})")
        paper.items((f"{r.result} ({percent(r.chance)}): then {r.verdict_then}, chance {percent(r.chance_then)}" for r in test.results), 2)
    if told.first:
        paper.gap()
        paper.say("Do this first:" if told.verdict != "supported" else "How:")
        for place, step in enumerate(told.first, 1):
            along = f", and with it {' and '.join(step.together)}" if step.together else ""
            paper.say(f"{step.name}{along} ({step.minutes:g} min, {step.cost}). {step.why}", 0, f"{place}. ")
            results(step.results, paper, False)
    for title, lines in (
        ("While it is open anyway:" if told.kind == "repair" else "", told.check_while_open),
        ("Left unexplained if it is right:", told.left_unexplained),
        ("Driving:", told.drive),
        ("Take care:", told.cautions),
        ("This answer would change if", [line.removeprefix("… ") for line in told.changes]),
    ):
        if lines:
            paper.gap()
            paper.say(title)
            paper.items(lines, 2)
    return str(paper)
