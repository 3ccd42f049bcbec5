"""The course from here, short: the steps with their price and what follows from each result, the proof, and what would change it."""

from __future__ import annotations

from diagnose.assessment import Assessment, Plan, PlanResult, PlanStep
from diagnose.explain.words import percent
from diagnose.report.paper import Paper, sentence
from diagnose.report.top import CALM

MOST_CHANGES = 3  # on the usual page


def plan(assessment: Assessment, paper: Paper, full: bool) -> None:
    """The plan of least expected cost. Left out where nothing is known yet, and where nothing is wrong unless `full`."""
    told = assessment.plan
    if told is None or assessment.verdict == "nothing_known" or (assessment.verdict in CALM and not full):
        return
    paper.heading("The plan from here")
    if told.ask:
        _ask(told, paper)
    for place, step in enumerate(told.steps, 1):
        if place == 2:
            paper.say("Then, while each result is the likeliest one:")
        _step(place, step, paper, full)
    if not told.steps or full:
        paper.say(told.end)
    paper.say(f"On average about {told.expected} from here: tests, repairs, and what being wrong would cost. {_method(told)}")
    _changes(told, paper, full)


def _ask(told: Plan, paper: Paper) -> None:
    assert told.ask is not None
    paper.say(told.ask.text, mark="! ")
    paper.say("It would tell:", 2)
    results(told.ask.results, paper, False)
    if told.steps:
        paper.say("Without it, this is left:")


def _step(place: int, step: PlanStep, paper: Paper, full: bool) -> None:
    name = sentence(step.name)[:-1]
    along = f", and with it {' and '.join(step.together)}" if step.together else ""
    time = f"{step.minutes:g} min" if step.minutes < 100 else f"{step.minutes / 60:.2g} h"
    paper.say(f"{name}{along} - {time} of work, {step.cost} with the proof" if step.kind == "repair" else
              f"{name} - {time}, {step.cost}", 0, f"{place}. ")  # fmt: skip
    if step.waits:
        paper.say(f"First {' and '.join(step.waits)}; the wait is in the price.", 3)
    if step.shared:
        paper.say(f"While it is open: {', '.join(step.shared)} is paid for with an earlier step.", 3)
    if step.kind == "repair" or full:
        paper.say(step.why, 3)
    if place == 1 or step.kind == "repair" or full:
        results(step.results, paper, full)


def results(results: list[PlanResult], paper: Paper, full: bool) -> None:
    """What each result leads to; results that lead to the same stand in one line."""
    by_then: dict[str, list[PlanResult]] = {}
    for result in results:
        by_then.setdefault(result.then, []).append(result)
    for then, alike in sorted(by_then.items(), key=lambda x: (-sum(r.chance for r in x[1]), x[0])):
        shown = "; or ".join(f"{r.result} (then {r.means})" if full else r.result for r in alike)
        paper.say(f"{shown} ({percent(sum(r.chance for r in alike))}): {then}", 3, "- ")


def _method(told: Plan) -> str:
    without = f" Without another test: about {told.untested}." if told.untested and told.untested != told.expected else ""
    if told.exact:
        return f"No other order of these tests and repairs costs less.{without}"
    return f"It looks two tests ahead; no order could cost less than {told.least}.{without}"


def _changes(told: Plan, paper: Paper, full: bool) -> None:
    if not told.changes:
        paper.say("No single finding taken away, no likely shift of the chances and no price halved or doubled would change the next step.")
        return
    paper.say("This answer would change if")
    shown = told.changes if full else told.changes[:MOST_CHANGES]
    for text in shown:
        paper.say(text.removeprefix("… "), 2, "- ")
