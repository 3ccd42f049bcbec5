"""The second opinion: is a proposed repair supported, premature or unsupported by what was found, and what to do instead.

Supported: it is likely to remove the cause and nothing that could be tested first would save more than it costs. Unsupported: the
findings speak for something else or against it, or it wastes or harms. Premature: all between; the test that would settle it is named.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnose.assess import Worked, work_out
from diagnose.case.case import Case
from diagnose.explain.compose import compose
from diagnose.explain.words import cost_word, percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.cost import ELSEWHERE, Costs
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.match import Meant, match
from diagnose.plan.opinion import CouldOverturn, Other, Overturn, SecondOpinion
from diagnose.plan.problem import Array, Problem
from diagnose.plan.proposal import Proposal, propose
from diagnose.plan.sensitivity import break_even
from diagnose.plan.settings import Settings
from diagnose.plan.telling import tell_plan

HARDLY = 0.07  # chance below which a repair is unsupported where something else is likely or the findings speak against it
NO_MORE = 0.01  # chance of being there at all, below which a repair is unsupported whatever else is open (estimate)
LOWERED = 0.5  # odds that what was found left of those before: below this the findings speak against it (estimate)
LIKELY = 0.6  # chance from which a repair may be supported
CHEAP_FROM, CHEAP_HOURS = 0.5, 1.0  # a repair this cheap may be tried from this chance
PROVEN = 0.9  # chance from which a better plan must save more than a trifle to make it premature
SLACK, SLACK_HOURS = 0.02, 0.1  # how much dearer than the best plan still counts as equal (estimate)
RARE = 0.02
PLACES = 4


@dataclass(frozen=True)
class _Weighed:
    """A proposal in numbers."""

    chance: float
    now: float
    best: float
    hours: float
    faults: frozenset[str]
    repair: int | None


def _mended_by(fault: str, knowledge: Knowledge) -> str:
    repairs = knowledge.faults[fault].repair
    return knowledge.repairs[repairs[0]].name if repairs else "none needed"


def second_opinion(case: Case, proposal: str, knowledge: Knowledge, settings: Settings | None = None) -> SecondOpinion:
    """A second opinion on `proposal` (a repair's id, or free words; empty: nothing proposed).

    Raises InputError for words that mean nothing known here, and for a case that cannot be understood.
    """
    meant = match(proposal, knowledge)
    worked = work_out(case, knowledge, settings)
    name = _foremost(meant, worked)
    told = propose(worked.parts, worked.ready, worked.context, worked.evidence, (name,) if name else ())
    weighed = _weigh(meant, name, told, worked)
    assessment = compose(worked.parts, told)
    verdict = _verdict(meant, weighed, worked, assessment.verdict)
    plan = tell_plan(worked.parts, told)
    threshold = break_even(told.cut.problem, weighed.faults, weighed.repair) if weighed.repair is not None else None
    overturn = _overturn(meant, weighed, told, worked)
    entry = knowledge.repairs.get(name)
    removed = set(entry.removes) if entry else set()
    others = [
        Other(id=c.id, name=c.name, chance=c.accounts, repair=_mended_by(c.id, knowledge))
        for c in assessment.ranking
        if c.id not in removed and c.accounts >= RARE
    ][:5]  # fmt: skip
    return SecondOpinion(
        asked=proposal,
        understood=entry.name if entry else meant.name,
        kind=meant.kind,
        repairs=[name] if name else [],
        verdict=verdict,
        headline=_headline(verdict, meant, weighed, entry.name if entry else meant.name, worked),
        urgency=assessment.urgency,
        chance_removes=round(weighed.chance, PLACES),
        break_even=None if threshold is None else round(threshold, 2),
        cost=cost_word(weighed.hours, worked.parts.settings),
        hours_now=round(weighed.now, 2),
        hours_best=round(weighed.best, 2),
        reasons=_reasons(meant, weighed, others, threshold, worked),
        others=others,
        overturn=overturn,
        first=[s for s in plan.steps if verdict != "supported" or s.id == name],
        check_while_open=list(entry.do_with_it) if entry else [],
        left_unexplained=_left(worked, told, removed) if entry else [],
        drive=[s.text for s in assessment.drive],
        cautions=sorted({s.text for s in assessment.cautions} | set(entry.cautions if entry else ())),
        changes=_changes(threshold, weighed, overturn) + plan.changes,
        ask=plan.ask,
        exact=told.plan.exact,
    )


def _foremost(meant: Meant, worked: Worked) -> str:
    """Of several repairs that the words may mean, the one whose faults account for most here."""
    accounts = worked.parts.ranking.accounts
    repairs = worked.parts.knowledge.repairs
    return max(meant.repairs, key=lambda r: sum(accounts.get(f, 0.0) for f in repairs[r].removes), default="")


def _weigh(meant: Meant, name: str, told: Proposal, worked: Worked) -> _Weighed:
    problem = told.cut.problem
    costs = Costs(worked.parts.knowledge, worked.parts.settings, worked.context.facts)
    options = told.plan.choice
    best = min(told.plan.cost, told.asked[1].cost if told.asked else told.plan.cost)  # a test that is only unpaid still speaks
    if meant.kind == "repair":
        place = next((i for i, r in enumerate(problem.repairs) if r.id == name), None)
        entry = worked.parts.knowledge.repairs[name]
        faults = frozenset(entry.removes)
        accounts = worked.parts.ranking.accounts
        alone = max((accounts.get(f, 0.0) for f in faults), default=0.0)
        inside = sum(s for p, s in zip(problem.patterns, problem.share, strict=True) if p & faults)
        chance = max(alone, inside) if alone > 0.0 else 0.0
        now = options.cost_of(("repair", place)) if place is not None else best + costs.repair(entry) + problem.vain
        return _Weighed(min(1.0, chance), now, best, costs.repair(entry), faults, place)
    if meant.kind in ("harm", "waste"):
        price = costs.price(meant.entry.price) if meant.entry and meant.entry.price else 0.0
        return _Weighed(0.0, best + 0.02 * price + 0.5, best, 0.5, frozenset(), None)
    stop = options.cost_of(("stop", 0))
    return _Weighed(0.0, stop, best, 0.0, frozenset(), None)


def _verdict(meant: Meant, weighed: _Weighed, worked: Worked, word: str = "") -> str:
    """`word`: the verdict on the case as a whole."""
    if meant.kind == "none":
        return "none"
    if meant.kind in ("harm", "waste"):
        return "unsupported"
    equal = weighed.now <= weighed.best * (1.0 + SLACK) + SLACK_HOURS
    if meant.kind == "leave":
        urgent = worked.parts.advice.urgency in ("stop_now", "do_not_drive_far", "this_week")
        if word in ("nothing_wrong", "harmless") and not urgent:
            return "supported"
        return "unsupported" if urgent or weighed.now > weighed.best + 1.0 else "supported" if equal else "premature"
    kinds = worked.parts.knowledge.faults
    rival = max(
        (a for f, a in worked.parts.ranking.accounts.items() if f in kinds and kinds[f].kind != "event" and f not in weighed.faults),
        default=0.0,
    )  # fmt: skip
    if weighed.chance < HARDLY and (rival >= LIKELY or _spoken_against(weighed, worked)):
        return "unsupported"
    if weighed.chance >= LIKELY or (weighed.chance >= CHEAP_FROM and weighed.hours <= CHEAP_HOURS):
        trifle = weighed.chance >= PROVEN and weighed.now <= weighed.best + max(0.5, 0.05 * weighed.best)
        return "supported" if equal or trifle else "premature"
    return "premature"


def _spoken_against(weighed: _Weighed, worked: Worked) -> bool:
    """Whether what was found does not point to it: not suspect by any finding, hardly there at all, or made less likely."""
    ranking = worked.parts.ranking
    suspect = {r.cause for r in worked.parts.routes}
    pointed_at = [f for f in sorted(weighed.faults) if f in suspect and f in ranking.chance]
    there = sum(ranking.chance[f] for f in pointed_at)
    return there < NO_MORE or all(ranking.chance[f] < LOWERED * ranking.before[f] for f in pointed_at)


def _headline(verdict: str, meant: Meant, weighed: _Weighed, name: str, worked: Worked) -> str:
    if meant.kind == "none":
        return "Nothing was proposed; what to do next stands below."
    if meant.kind in ("harm", "waste"):
        return f"Unsupported: do not {name}. {meant.entry.because if meant.entry else ''}".strip()
    chance = percent(weighed.chance)
    cost = cost_word(weighed.hours, worked.parts.settings)
    if meant.kind == "leave":
        words = {
            "supported": "nothing found asks for more",
            "premature": "a look first is worth its price",
            "unsupported": "leaving it costs more than it saves",
        }
        return f"{verdict.capitalize()}: {words[verdict]}."
    if verdict == "supported":
        return f"Supported: {name}. {chance} that it removes the cause, for {cost}; no test that is left would save more than it costs."
    if verdict == "premature":
        return f"Premature: {name}. {chance} that it removes the cause, for {cost}; test first, below."
    return f"Unsupported: {name}. Only {chance} that it removes the cause, for {cost}."


def _reasons(meant: Meant, weighed: _Weighed, others: list[Other], threshold: float | None, worked: Worked) -> list[str]:
    out = []
    settings = worked.parts.settings
    if meant.entry and meant.entry.because:
        out.append(meant.entry.because)
    if meant.entry and meant.entry.instead:
        out.append(f"Instead: {meant.entry.instead}")
    if meant.kind == "repair":
        out.append(
            f"Chance that it removes the cause: {percent(weighed.chance)}; so in {percent(1.0 - weighed.chance)} it would be done in vain."
        )
    for beside in meant.beside:
        known = [f for r in beside.repairs for f in worked.parts.knowledge.repairs[r].removes]
        alone = max((worked.parts.ranking.accounts.get(f, 0.0) for f in known), default=0.0)
        said = f"{percent(alone)} that it removes the cause" if beside.repairs else (beside.entry.because or "") if beside.entry else ""
        out.append(f"Said with it: {beside.name}. {said[:1].upper()}{said[1:]}".rstrip(" .") + ".")
    if others:
        out.append("What else would explain it: " + ", ".join(f"{o.name} {percent(o.chance)}" for o in others[:3]) + ".")
    if meant.kind in ("repair", "leave"):
        saved = weighed.now - weighed.best
        if saved > SLACK_HOURS:
            out.append(
                f"Expected cost now {cost_word(weighed.now, settings)}, by the best course {cost_word(weighed.best, settings)}: "
                f"testing first saves {cost_word(saved, settings)} on average."
            )
        else:
            out.append(f"Expected cost now {cost_word(weighed.now, settings)}; no other course is noticeably cheaper.")
    if meant.kind == "repair":
        if threshold is None:
            out.append(
                "At no chance would doing it now be the cheapest course: a test comes first, or another repair does the same for less."
            )
        else:
            out.append(f"Doing it now pays from a chance of about {percent(threshold)}.")
    return out


def _overturn(meant: Meant, weighed: _Weighed, told: Proposal, worked: Worked) -> CouldOverturn | None:
    """The cheapest test of which some result would bring another verdict."""
    if meant.kind != "repair" or weighed.repair is None:
        return None
    problem = told.cut.problem
    now = _verdict(meant, weighed, worked)
    there = np.array([1.0 if p & weighed.faults else 0.0 for p in problem.patterns])
    for price, i in sorted((problem.price(t, frozenset()), i) for i, t in enumerate(problem.tests)):
        results = []
        for k, shown in enumerate(told.cut.shown[problem.tests[i].id]):
            belief = problem.prior * problem.tables[i][:, k]
            mass = float(belief.sum())
            if mass < RARE:
                continue
            held = belief / mass
            chance = float(held @ there)
            then = _then(meant, weighed, problem, held, i, chance)
            finding = worked.parts.knowledge.findings.get(shown.finding)
            level = "" if shown.level == "present" else f": {shown.level.replace('_', ' ')}"
            result = f"{finding.name}{level}" if finding else "nothing out of the ordinary"
            results.append(Overturn(result=result, chance=round(mass, 3), chance_then=round(chance, 3), verdict_then=then))
        if any(r.verdict_then != now for r in results):
            procedure = worked.parts.knowledge.procedures[problem.tests[i].id]
            cost = cost_word(price, worked.parts.settings)
            return CouldOverturn(id=procedure.id, name=procedure.name, minutes=procedure.minutes, cost=cost, results=results)
    return None


def _then(meant: Meant, weighed: _Weighed, problem: Problem, held: Array, test: int, chance: float) -> str:
    """The verdict after a result."""
    choice = Lookahead(problem, 1).choose(held, left=((1 << len(problem.tests)) - 1) & ~(1 << test))
    now = choice.cost_of(("repair", weighed.repair or 0))
    after = replace(weighed, chance=chance, now=now, best=choice.cost)
    rival = max((float(held[i]) for i, p in enumerate(problem.patterns) if not p & weighed.faults and ELSEWHERE not in p), default=0.0)
    if chance < HARDLY and (rival >= LIKELY or chance < max(NO_MORE, LOWERED * weighed.chance)):
        return "unsupported"
    if chance >= LIKELY or (chance >= CHEAP_FROM and after.hours <= CHEAP_HOURS):
        equal = now <= choice.cost * (1.0 + SLACK) + SLACK_HOURS
        return "supported" if equal or (chance >= PROVEN and now <= choice.cost + max(0.5, 0.05 * choice.cost)) else "premature"
    return "premature"


def _left(worked: Worked, told: Proposal, removed: set[str]) -> list[str]:
    """Findings that the faults it removes do not lead to: what would still want explaining if the repair were right."""
    parts = worked.parts
    known = parts.knowledge
    reach = set(removed)
    waiting = sorted(removed)
    while waiting:
        for link in known.links_from(waiting.pop()):
            if link.to not in reach:
                reach.add(link.to)
                if link.to in known.effects:
                    waiting.append(link.to)
    return [
        known.findings[n].name
        for n, f in sorted(parts.seen.findings.items())
        if f.level == "present" and n not in reach and not n.startswith("history")
    ]


def _changes(threshold: float | None, weighed: _Weighed, overturn: CouldOverturn | None) -> list[str]:
    out = []
    if threshold is not None and weighed.chance < threshold:
        out.append(
            f"… the chance rose from {percent(weighed.chance)} to {percent(threshold)}: then doing it now would be the cheapest course."
        )
    elif threshold is not None:
        out.append(f"… the chance fell from {percent(weighed.chance)} below {percent(threshold)}: then something else would come first.")
    if overturn:
        for result in overturn.results:
            out.append(f"… '{overturn.name}' gave '{result.result}': {result.verdict_then} at {percent(result.chance_then)}.")
    return out
