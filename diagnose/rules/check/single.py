"""One rule by itself: conditions that can never hold or need not be there, outcomes that do nothing, rules in a circle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, permutations

from diagnose.knowledge.check.cycles import circles
from diagnose.knowledge.check.instruments import check_instrument
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.check.clause import SINGLE, Clause
from diagnose.rules.check.reading import Form

LOOKED = {("observed", "not_observed"), ("finding", "no_finding")}  # pairs that shut each other out


def check_single(knowledge: Knowledge, forms: Sequence[Form]) -> list[Report]:
    """All reports about rules taken one by one, and about rules that feed each other round a circle."""
    reports: list[Report] = []
    concluded = {o.about for f in forms for o in f.then if o.kind == "finding"}
    for form in forms:
        reports += _never(knowledge, form, concluded)
        reports += _needless(knowledge, form)
        reports += _idle(knowledge, form)
        reports += _shut_out(knowledge, form)
        for one in form.when:
            reports += check_instrument(knowledge, form.rule.id, one.key, one.words.get("instrument", frozenset()))
    return [*reports, *_circular(knowledge, forms)]


def _never(knowledge: Knowledge, form: Form, concluded: set[str]) -> Iterator[Report]:
    name, phase = form.rule.id, form.rule.phase
    for one in form.when:
        if one.empty():
            yield error(knowledge, "unreachable", name, f"{one.kind} {one.key}: its limits leave no number.", "Turn the limits round.")
        if phase == "interpret" and one.kind == "finding" and one.key not in concluded:
            message = f"no rule concludes the finding {one.key}, and only rules do here."
            yield error(knowledge, "unreachable", name, message, f"Test what was seen: observed: {one.key}.")
        if one.kind == "figure" and not _measured(knowledge, one.key, phase):
            message = f"{one.key} is never a number here, so its figure is never known."
            yield error(knowledge, "unreachable", name, message, "Test a finding that has edges.")
    for one, other in combinations(form.when, 2):
        shut = (one.kind, other.kind) in LOOKED or (other.kind, one.kind) in LOOKED
        if shut and one.key == other.key and not _only_absent(one, other):
            yield error(knowledge, "unreachable", name, f"{one.kind} and {other.kind} {one.key} never hold together.", "Keep one.")
        if one.kind in SINGLE and one.excludes(other):
            message = f"its two conditions on {one.kind} {one.key} shut each other out."
            yield error(knowledge, "unreachable", name, message, "Write one condition.")


def _shut_out(knowledge: Knowledge, form: Form) -> Iterator[Report]:
    """A fault that the rule reads cannot be on the vehicle that it asks for."""
    wanted = {c.key: c.words.get("value") for c in form.when if c.kind == "vehicle"}
    for one in form.when:
        needs = knowledge.faults[one.key].needs if one.kind == "fault" else None
        for test in needs.tests if needs else ():
            words = wanted.get(test.field)
            if words and test.words and not words & set(test.words):
                message = f"a vehicle with {test.field} {', '.join(sorted(words))} cannot have {one.key}."
                yield error(knowledge, "unreachable", form.rule.id, message, f"{one.key} needs {test.field}: {', '.join(test.words)}.")


def _only_absent(one: Clause, other: Clause) -> bool:
    """no_finding also holds for a finding that is absent or unsure."""
    levels = [c.words["levels"] for c in (one, other) if c.kind == "finding"]
    return bool(levels) and "present" not in levels[0]


def _measured(knowledge: Knowledge, name: str, phase: str) -> bool:
    fed = {fed for r in knowledge.readings.values() for fed in (r.finding, *r.feeds.values())}
    finding = knowledge.findings.get(name)
    if finding is None:
        return phase == "interpret"
    return bool(finding.edges) or name in fed


def _needless(knowledge: Knowledge, form: Form) -> Iterator[Report]:
    for i, j in permutations(range(len(form.when)), 2):
        one, other = form.when[i], form.when[j]
        if one.implies(other) and not (i > j and other.implies(one)):
            message = f"its condition {j + 1} on {other.kind} {other.key} holds whenever condition {i + 1} does."
            yield warning(knowledge, "unnecessary", form.rule.id, message, "Take it away.")


def _idle(knowledge: Knowledge, form: Form) -> Iterator[Report]:
    observed = {c.key for c in form.when if c.kind == "observed"}
    doubted = {o.about for o in form.then if o.kind == "trust"}  # what was seen in vain is asked for again
    for outcome in form.then:
        if outcome.kind == "ask" and outcome.about in observed and outcome.about not in doubted:
            message = f"it asks for {outcome.about}, which has been seen already where this rule holds."
            yield warning(knowledge, "idle", form.rule.id, message, "Ask for something else, or write a note:.")
        if outcome.kind == "trust" and outcome.weight >= 1.0:
            message = f"full trust in {outcome.about} changes nothing; the least trust counts."
            yield warning(knowledge, "idle", form.rule.id, message, "Take it away.")
    if len(set(form.then)) < len(form.then):
        yield warning(knowledge, "idle", form.rule.id, "it has the same outcome twice.", "Keep one.")


def _circular(knowledge: Knowledge, forms: Sequence[Form]) -> Iterator[Report]:
    readers: dict[str, set[str]] = {}
    for form in forms:
        for one in form.when:
            if one.kind == "finding" and form.rule.phase == "interpret":
                readers.setdefault(one.key, set()).add(form.rule.id)
    feeds = {f.rule.id: {r for o in f.then if o.kind == "finding" for r in readers.get(o.about, ())} for f in forms}
    for path in circles(feeds):
        message = f"rules feed each other in a circle: {' → '.join(path)}."
        yield error(knowledge, "circular", path[0], message, "Let one of them read what was observed instead.")
