"""Interpret: observations and figures become findings, in context: what was seen, and could it have shown."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from diagnose.case.case import Case
from diagnose.case.observation import SILENT, Conditions, Observation
from diagnose.figures.derived import Derived
from diagnose.knowledge.condition import CONDITION_FIELDS, VEHICLE_FIELDS
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Repair
from diagnose.rules.program import Conclusion, Given, Program
from diagnose.rules.record import Firing

PAST = "history"  # the place of findings about the past: what happened stays true whatever is done later
SAID_ANYWAY = 0.4  # share of "yes" among reports that have nothing to do with what is so (estimate)
PRESENT_FROM = 0.3  # trust from which something seen is called present (or absent) and not merely unsure


_COMES = "It comes and goes: seen on one occasion, not on another. That it was not there again does not take it back."


@dataclass(frozen=True)
class Found:
    """One finding of a case: the likelihood of each of its levels, how it is called, how far it is trusted, and why."""

    id: str
    likelihood: tuple[float, ...]
    level: str  # present, absent or unsure
    band: str  # the likeliest band, or the level where there are none
    trust: float
    observations: tuple[int, ...]
    reasons: tuple[str, ...] = ()
    contradicted: bool = False
    conditions: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Interpretation:
    """Findings by id, what rules had to say, findings that rules ask for with the reason, what fired.

    `moot`: findings that need no looking at, for what was found answers them.
    """

    findings: dict[str, Found]
    notes: tuple[str, ...]
    asks: Mapping[str, str]
    firings: tuple[Firing, ...]
    moot: frozenset[str] = frozenset()


def interpret(program: Program, case: Case, derived: Sequence[Derived], knowledge: Knowledge) -> Interpretation:
    """Run the interpreting rules and put the reports of each finding together."""
    conclusions, firings = program.run(_facts(case, derived, knowledge))
    trust = knowledge.chances["trust"].words
    reports = [r for d in derived if d.likelihood for r in [_report(d, case, knowledge, conclusions, trust)]]
    reports += _made(conclusions, knowledge)
    findings: dict[str, Found] = {}
    for name in sorted({r.finding for r in reports}):
        latest = _latest([r for r in reports if r.finding == name], case)
        findings[name] = _together(knowledge.findings[name], latest, case, trust)
    notes = sorted({c.outcome.value for c in conclusions if c.outcome.kind == "note"})
    asked = [c for c in conclusions if c.outcome.kind == "ask" and not _told(findings.get(c.outcome.about))]
    asks = dict(sorted((c.outcome.about, knowledge.rules[c.rule].because) for c in asked))
    moot = frozenset(c.outcome.about for c in conclusions if c.outcome.kind == "moot")
    return Interpretation(findings, tuple(notes), asks, firings, moot)


def _told(found: Found | None) -> bool:
    """Whether somebody looked and it can be judged."""
    return found is not None and found.level != "unsure"


def _facts(case: Case, derived: Sequence[Derived], knowledge: Knowledge) -> Iterable[Given]:
    for field in sorted(VEHICLE_FIELDS):
        value = getattr(case.vehicle, field)
        yield Given("vehicle", field, {"value": "?" if value is None else value}, f"{field}: {'unknown' if value is None else value}")
    observed = set()
    for about, observation in enumerate(case.observations):
        if observation.answer in SILENT:
            continue
        for item in (d for d in derived if d.about == about):
            observed |= {observation.of, item.finding}
            answer = _answer(observation, item, knowledge.findings[item.finding])
            values = {"answer": answer, **{f: _plain(getattr(observation, f)) for f in CONDITION_FIELDS}}
            for key in sorted(_names(observation, item.finding, knowledge)):
                yield Given("observed", key, values, f"{key}: {answer}", about)
                if item.measure:
                    yield Given(
                        "figure", key, {"value": item.measure.value}, f"{key} = {item.measure.value:.3g} {item.measure.unit}", about
                    )
    for name in knowledge.observable():
        if name not in observed:
            yield Given("not_observed", name, told=f"{name}: not looked at")


def _names(observation: Observation, finding: str, knowledge: Knowledge) -> set[str]:
    """What rules may call it: the finding, and the reading that it came by. A series under one finding's name feeds others too."""
    return {finding, observation.of} if observation.of in knowledge.readings else {finding}


def _plain(value: Any) -> Any:
    return "?" if value is None else value


def _answer(observation: Observation, item: Derived, finding: Finding) -> str:
    if observation.answer == "no" and finding.bands:
        return finding.bands[0]
    if observation.answer in ("yes", "no", "unsure"):
        return str(observation.answer)
    if not item.likelihood:
        return "?"
    return finding.levels[max(range(len(item.likelihood)), key=item.likelihood.__getitem__)]


@dataclass(frozen=True)
class _Report:
    finding: str
    likelihood: tuple[float, ...]
    trust: float
    about: int
    reasons: tuple[str, ...]


def _report(item: Derived, case: Case, knowledge: Knowledge, conclusions: Sequence[Conclusion], trust: Mapping[str, float]) -> _Report:
    """One observation's likelihoods, and the least of all the trusts that bear on it."""
    observation = case.observations[item.about]
    finding = knowledge.findings[item.finding]
    believed = [(trust["half"], "Not sure of it.")] if observation.answer == "unsure" else [(1.0, "")]
    for conclusion in conclusions:
        names = _names(observation, item.finding, knowledge)
        if conclusion.outcome.kind == "trust" and conclusion.outcome.about in names:
            others = {o for o in conclusion.rests_on if case.observations[o].of in names}
            if not others or item.about in others:
                believed.append((conclusion.outcome.weight, knowledge.rules[conclusion.rule].because))
    if finding.shows_when and max(item.likelihood) == item.likelihood[0]:
        believed.append(_could_show(finding, observation, trust))
    believed.append(_age(observation, item.finding, case, knowledge, trust))
    least = min(weight for weight, _ in believed)
    reasons = tuple(sorted({why for weight, why in believed if weight < 1.0 and why}))
    return _Report(item.finding, item.likelihood, least, item.about, reasons)


def _could_show(finding: Finding, observation: Observation, trust: Mapping[str, float]) -> tuple[float, str]:
    assert finding.shows_when is not None
    facts = {f: getattr(observation, f) for f in CONDITION_FIELDS}
    held = [test.holds(facts) for test in finding.shows_when.when.tests]
    if all(h is True for h in held):
        return 1.0, ""
    if any(h is False for h in held):
        return trust["little"], f"It could hardly have shown then. {finding.shows_when.because}"
    return trust["fair"], f"The circumstances are not given. {finding.shows_when.because}"


def _latest(reports: Sequence[_Report], case: Case) -> Sequence[_Report]:
    """Of one finding, what was seen since the last thing done to the vehicle; where nothing was, what was seen before that, and so on.

    What was seen on no given day is taken as seen last; what follows from other findings alone has no day.
    """
    days = [(case.observations[r.about].on if r.about >= 0 else None) for r in reports]
    epochs = [sum(d.on is not None and (day is None or day >= d.on) for d in case.done) for day in days]
    return [r for r, epoch in zip(reports, epochs, strict=True) if epoch == max(epochs)]


def _age(observation: Observation, finding: str, case: Case, knowledge: Knowledge, trust: Mapping[str, float]) -> tuple[float, str]:
    """What was seen before the last repair counts little, and nothing where that repair changed it."""
    if observation.on is None or knowledge.findings[finding].place == PAST:
        return 1.0, ""
    since = [d for d in case.done if d.on is not None and _day(observation.on) < _day(d.on)]
    if not since:
        return 1.0, ""
    for done in since:
        repair = knowledge.repairs.get(done.repair or "")
        if repair and finding in changed_by(repair, knowledge):
            return 0.0, f"Seen before it was changed: {repair.name}."
    return trust["little"], "Seen before something was done to the vehicle."


def changed_by(repair: Repair, knowledge: Knowledge) -> set[str]:
    """Findings that a repair makes void: those it names, and what the faults that it removes show of themselves."""
    faults = (knowledge.faults[f] for f in repair.removes if f in knowledge.faults)
    return {*repair.voids, *(link.to for fault in faults for link in fault.links if link.finding)}


def _day(day: dt.date) -> dt.date:
    return day


def _made(conclusions: Sequence[Conclusion], knowledge: Knowledge) -> list[_Report]:
    out = []
    for c in conclusions:
        if c.outcome.kind == "finding":
            levels = knowledge.findings[c.outcome.about].levels
            wanted = {"present": levels[1:], "absent": levels[:1]}.get(c.outcome.value, (c.outcome.value,))
            likelihood = tuple(1.0 if level in wanted else 0.0 for level in levels)
            about = c.rests_on[0] if c.rests_on else -1
            out.append(_Report(c.outcome.about, likelihood, c.outcome.weight, about, (knowledge.rules[c.rule].because,)))
    return out


def _soft(report: _Report, sure: float) -> tuple[float, ...]:
    """Likelihoods softened by trust; that something is there is never believed beyond `sure`.

    With the chance `trust` the report tells what is so; else it is one that would have come anyway. Of reports that come anyway most
    say "no": so half a trust in a "yes" is still worth something, while in a "no" it is worth little.
    """
    top = max(report.likelihood)
    there = report.likelihood[0] != top
    trust = min(report.trust, sure) if there else report.trust
    anyway = (1.0 - trust) * (SAID_ANYWAY if there else 1.0)
    return tuple((trust * x / top + anyway) / (trust + anyway) for x in report.likelihood)


def _together(finding: Finding, reports: Sequence[_Report], case: Case, trusts: Mapping[str, float]) -> Found:
    """Reports of one fact do not multiply: of those that say the same the best trusted counts; those that disagree are averaged.

    A symptom that comes and goes is no contradiction: seen once and not seen on another occasion, it was there.
    """
    sure, every = trusts.get("sure", 1.0), reports
    came_and_went = _came_and_went(finding, reports, case)
    if came_and_went:
        reports = [replace(r, trust=min(r.trust, trusts["good"]), reasons=(*r.reasons, _COMES)) for r in reports if _seen(r)]
    best: dict[int, _Report] = {}
    for report in sorted(reports, key=lambda r: (-r.trust, r.likelihood, r.about)):
        says = max(range(len(report.likelihood)), key=report.likelihood.__getitem__)
        best.setdefault(says, report)
    heard = [r for _, r in sorted(best.items()) if r.trust > 0.0] or [next(iter(best.values()))]
    soft = [_soft(r, sure) for r in heard]
    likelihood = tuple(sum(column) / len(soft) for column in zip(*soft, strict=True))
    said = max(range(len(likelihood)), key=likelihood.__getitem__)
    trust = heard[0].trust if len(heard) == 1 else 1.0 - min(likelihood) / max(likelihood)
    level = "unsure" if trust < PRESENT_FROM else "absent" if said == 0 else "present"
    band = finding.levels[said] if finding.bands else level
    used = tuple(sorted({r.about for r in every if r.about >= 0}))
    reasons = tuple(sorted({why for r in heard for why in r.reasons}))
    shown = [
        Conditions.model_validate(case.observations[r.about].model_dump(include=set(Conditions.model_fields)))
        for r in heard
        if r.about >= 0
    ]
    return Found(finding.id, likelihood, level, band, round(trust, 6), used, reasons, len(heard) > 1, _agreed(shown))


def _seen(report: _Report) -> bool:
    return max(report.likelihood) > report.likelihood[0]


def _came_and_went(finding: Finding, reports: Sequence[_Report], case: Case) -> bool:
    """Seen on one occasion and not on another: reports that differ in who, when or in what circumstances."""
    if not finding.comes_and_goes:
        return False
    seen, missed = ({_occasion(r, case) for r in reports if r.about >= 0 and _seen(r) is there} for there in (True, False))
    return bool(seen and missed and not seen & missed)


def _occasion(report: _Report, case: Case) -> str:
    return case.observations[report.about].model_dump_json(exclude={"of", "answer", "note", "times"})


def _agreed(shown: Sequence[Conditions]) -> dict[str, Any]:
    """Circumstances on which all reports agree; the rest is unknown."""
    out: dict[str, Any] = {}
    for field in CONDITION_FIELDS:
        values = {getattr(c, field) for c in shown}
        out[field] = values.pop() if len(values) == 1 else None
    return out
