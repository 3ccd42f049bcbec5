"""Rules against each other: redundant, subsumed, conflicting, conditions that make no difference, gaps between limits."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES
from diagnose.rules.check.clause import Clause
from diagnose.rules.check.reading import Form
from diagnose.rules.language import Outcome

OPPOSITE = {frozenset({"observed", "not_observed"}), frozenset({"finding", "no_finding"})}


def check_pairs(knowledge: Knowledge, forms: Sequence[Form]) -> list[Report]:
    """Every pair of one phase; the report stands at the rule with the later id, or at the narrower one."""
    reports: list[Report] = []
    for one, other in combinations(forms, 2):
        if one.rule.phase == other.rule.phase:
            reports += _pair(knowledge, one, other)
    return reports


def _pair(knowledge: Knowledge, one: Form, other: Form) -> Iterator[Report]:
    narrow, wide = covers(one, other), covers(other, one)  # other holds whenever one does; one whenever other does
    if narrow and wide:
        yield from _same(knowledge, one, other)
    elif narrow or wide:
        yield from _nested(knowledge, *((one, other) if narrow else (other, one)))
    else:
        yield from _alike(knowledge, one, other)


def covers(narrow: Form, wide: Form) -> bool:
    """Whether `wide` holds whenever `narrow` does."""
    return all(any(a.implies(b) for a in narrow.when) for b in wide.when)


def _same(knowledge: Knowledge, one: Form, other: Form) -> Iterator[Report]:
    if all(_within(o, other.then) for o in one.then) and all(_within(o, one.then) for o in other.then):
        yield error(knowledge, "redundant", other.rule.id, f"it has the same when and then as {one.rule.id}.", "Keep one of them.")
    for outcome in one.then:
        if any(_opposed(outcome, o, knowledge) for o in other.then):
            message = f"under the same conditions {one.rule.id} says otherwise about {outcome.about}."
            yield error(knowledge, "conflicting", other.rule.id, message, "Decide which is right, or give each its own condition.")


def _nested(knowledge: Knowledge, narrow: Form, wide: Form) -> Iterator[Report]:
    if all(_within(o, wide.then) for o in narrow.then):
        message = f"{wide.rule.id} says as much whenever this holds."
        yield warning(knowledge, "subsumed", narrow.rule.id, message, "Take it away, or say something more in it.")
    for outcome in narrow.then:
        if outcome.kind == "finding" and any(_opposed(outcome, o, knowledge) for o in wide.then):
            message = f"{wide.rule.id} holds whenever this does, and says otherwise about {outcome.about}."
            yield error(knowledge, "conflicting", narrow.rule.id, message, "Keep the wider one out with one more condition.")


def _alike(knowledge: Knowledge, one: Form, other: Form) -> Iterator[Report]:
    if len(one.when) != len(other.when):
        return
    rest = [c for c in one.when if c not in other.when], [c for c in other.when if c not in one.when]
    if len(rest[0]) != 1 or len(rest[1]) != 1:
        return
    a, b = rest[0][0], rest[1][0]
    same = set(one.then) == set(other.then)
    if same and _together_everything(a, b):
        message = f"it and {one.rule.id} say the same whether or not {b.key} holds."
        yield warning(knowledge, "unnecessary", other.rule.id, message, f"Make them one rule without the condition on {b.key}.")
    elif not same and (limits := _facing(a, b)) is not None:
        below, above = limits
        if below < above:
            message = f"between {below:g} and {above:g} neither it nor {one.rule.id} speaks of {b.key}."
            yield warning(knowledge, "gap", other.rule.id, message, "Let the limits meet.")
        elif below > above and any(_opposed(x, y, knowledge) for x in one.then for y in other.then):
            message = f"between {above:g} and {below:g} it and {one.rule.id} speak against each other."
            yield warning(knowledge, "overlap", other.rule.id, message, "Let the limits meet.")


def _together_everything(a: Clause, b: Clause) -> bool:
    """Whether one of the two always holds, once somebody has looked."""
    if a.key == b.key and frozenset({a.kind, b.kind}) in OPPOSITE:
        return not {**a.words, **a.ranges, **b.words, **b.ranges} or a.kind in ("finding", "no_finding")
    if a.about != b.about or a.ranges.keys() != b.ranges.keys() or a.words.keys() != b.words.keys():
        return False
    differ = [n for n in a.words if a.words[n] != b.words[n]]
    if not differ:
        limits = _facing(a, b)
        return limits is not None and limits[0] >= limits[1]
    return len(differ) == 1 and dict(a.ranges) == dict(b.ranges) and {"yes", "no"} <= a.words[differ[0]] | b.words[differ[0]]


def _facing(a: Clause, b: Clause) -> tuple[float, float] | None:
    """(upper limit of one, lower limit of the other) where they differ in one range and face each other."""
    if a.about != b.about or dict(a.words) != dict(b.words) or a.ranges.keys() != b.ranges.keys():
        return None
    differ = [n for n in a.ranges if a.ranges[n] != b.ranges[n]]
    if len(differ) != 1:
        return None
    (low_a, high_a), (low_b, high_b) = a.ranges[differ[0]], b.ranges[differ[0]]
    if low_a == -math.inf and high_b == math.inf and math.isfinite(high_a) and math.isfinite(low_b):
        return high_a, low_b
    if low_b == -math.inf and high_a == math.inf and math.isfinite(high_b) and math.isfinite(low_a):
        return high_b, low_a
    return None


def _within(outcome: Outcome, others: Sequence[Outcome]) -> bool:
    """Whether the others say at least as much: the highest urgency and the least trust count."""
    for other in others:
        if (outcome.kind, outcome.about) != (other.kind, other.about):
            continue
        if outcome.kind == "urgency" and URGENCIES.index(outcome.value) <= URGENCIES.index(other.value):
            return True
        if outcome.kind == "trust" and outcome.weight >= other.weight:
            return True
        if outcome == other:
            return True
    return False


def _opposed(one: Outcome, other: Outcome, knowledge: Knowledge) -> bool:
    if (one.kind, one.about) != (other.kind, other.about):
        return False
    if one.kind == "finding":
        first = ("absent", *knowledge.findings[one.about].bands[:1])
        base = [o.value in first for o in (one, other)]
        return base[0] != base[1] or (one.value != other.value and not any(base) and "present" not in (one.value, other.value))
    if one.kind == "urgency":
        return one.value != other.value
    return one.kind == "trust" and one.weight != other.weight
