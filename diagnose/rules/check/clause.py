"""A condition in a form that can be compared: which words, which range, of which fact."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.case.quantity import parse
from diagnose.knowledge.condition import CONDITION_FIELDS, VEHICLE_FIELDS, Test, test_of
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.language import CONDITION_KEYS

Words = frozenset[str]
Range = tuple[float, float]
SINGLE = ("vehicle", "finding", "effect", "fault", "any_fault")  # at most one fact of each key; of the others there may be many


@dataclass(frozen=True)
class Clause:
    """One `when` item: features of the fact (kind, key) limited to words or to the open range (low, high)."""

    kind: str
    key: str
    words: Mapping[str, Words] = field(default_factory=dict, hash=False)
    ranges: Mapping[str, Range] = field(default_factory=dict, hash=False)

    @property
    def about(self) -> tuple[str, str]:
        """The fact that it is about."""
        return self.kind, self.key

    def implies(self, other: Clause) -> bool:
        """Whether every fact that this matches is matched by `other` too."""
        if self.about != other.about:
            return False
        for name, allowed in other.words.items():
            if name not in self.words or not self.words[name] <= allowed:
                return False
        for name, (low, high) in other.ranges.items():
            if name not in self.ranges or self.ranges[name][0] < low or self.ranges[name][1] > high:
                return False
        return True

    def excludes(self, other: Clause) -> bool:
        """Whether no fact is matched by both."""
        if self.about != other.about:
            return False
        if any(not self.words[n] & other.words[n] for n in set(self.words) & set(other.words)):
            return True
        both = set(self.ranges) & set(other.ranges)
        return any(max(self.ranges[n][0], other.ranges[n][0]) >= min(self.ranges[n][1], other.ranges[n][1]) for n in both)

    def empty(self) -> bool:
        """Whether no number passes its limits."""
        return any(low >= high for low, high in self.ranges.values())


def clause(item: Mapping[str, Any], phase: str, knowledge: Knowledge) -> Clause:
    """A `when` item that diagnose.rules.language has accepted, made comparable."""
    kind = next(k for k in CONDITION_KEYS[phase] if k in item)
    key, rest = str(item[kind]), {k: v for k, v in item.items() if k != kind}
    if kind == "vehicle":
        return _tests(kind, key, {"value": test_of(key, rest, VEHICLE_FIELDS)})
    if kind == "observed":
        answer = _answer(str(rest.pop("answer", "any")), key, knowledge)
        made = _tests(kind, key, {name: test_of(name, spec, CONDITION_FIELDS) for name, spec in rest.items()})
        return Clause(kind, key, {**made.words, **({"answer": answer} if answer else {})}, made.ranges)
    if kind == "finding":
        return Clause(kind, key, {"levels": _levels(rest.get("is", "present"), key, knowledge)})
    if kind == "figure":
        entry: Any = knowledge.findings.get(key) or knowledge.readings[key]
        limits = {side: parse(value, entry.unit or "") for side, value in rest.items()}
        return Clause(kind, key, {}, {"value": (limits.get("above", -math.inf), limits.get("below", math.inf))})
    if kind in ("effect", "fault", "any_fault"):
        return Clause(kind, key, {}, {"chance": (float(rest.get("at_least", -math.inf)), float(rest.get("below", math.inf)))})
    return Clause(kind, key)


def _tests(kind: str, key: str, tests: Mapping[str, Test]) -> Clause:
    words: dict[str, Words] = {}
    ranges: dict[str, Range] = {}
    for name, test in tests.items():
        if test.unknown:
            words[name] = frozenset({"?"})
        elif test.words:
            words[name] = frozenset(test.words)
        else:
            low = -math.inf if test.above is None else test.above
            ranges[name] = (low, math.inf if test.below is None else test.below)
    return Clause(kind, key, words, ranges)


def _answer(answer: str, key: str, knowledge: Knowledge) -> Words | None:
    finding = knowledge.findings.get(key)
    if answer == "any":
        return None
    if finding and finding.bands and answer == "yes":
        return frozenset({*finding.bands[1:], "yes", "unsure"})
    if finding and finding.bands and answer == "no":
        return frozenset({finding.bands[0]})
    return frozenset({answer})


def _levels(spec: Any, key: str, knowledge: Knowledge) -> Words:
    """`present` holds every higher band when it is sure; a band also holds where it is only the likeliest."""
    bands = knowledge.findings[key].bands
    meant: set[str] = set()
    for word in spec if isinstance(spec, list) else [spec]:
        if word == "present":
            meant |= {"present", *bands[1:]}
        elif word == "absent":
            meant |= {"absent", *bands[:1]}
        else:
            meant |= {str(word)} if word == "unsure" else {str(word), f"unsure {word}"}
    return frozenset(meant)
