"""Rules read into comparable form, with a report for every item that cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.errors import did_you_mean
from diagnose.knowledge.check.report import Report, error
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Rule
from diagnose.rules.check.clause import Clause, clause
from diagnose.rules.language import OUTCOME_KEYS, Outcome, RuleMistake, read_then, read_when

# further keys that an outcome may carry
WITH_OUTCOME = {"trust": ("how_much",), "finding": ("is", "how_much"), "urgency": ("for",)}
BARE = ("not_observed", "no_finding")  # conditions that take nothing more


@dataclass(frozen=True)
class Form:
    """One rule: its conditions and outcomes."""

    rule: Rule
    when: tuple[Clause, ...]
    then: tuple[Outcome, ...]


def read_all(knowledge: Knowledge) -> tuple[list[Form], list[Report]]:
    """All rules that can be read, by id; errors for the others."""
    forms: list[Form] = []
    reports: list[Report] = []
    for rule in knowledge.rules.values():
        mistakes: list[str] = []
        clauses: list[Clause] = []
        outcomes: list[Outcome] = []
        for number, item in enumerate(rule.when, start=1):
            try:
                read_when(item, rule.phase, knowledge)
                _bare(item)
                clauses.append(clause(item, rule.phase, knowledge))
            except RuleMistake as why:
                mistakes.append(f"when {number}: {why}")
        for number, item in enumerate(rule.then, start=1):
            try:
                outcome = read_then(item, rule.phase, knowledge)
                _keys(item, outcome.kind)
                outcomes.append(outcome)
            except RuleMistake as why:
                mistakes.append(f"then {number}: {why}")
        reports += [error(knowledge, "rule", rule.id, mistake) for mistake in mistakes]
        if not mistakes:
            forms.append(Form(rule, tuple(clauses), tuple(outcomes)))
    return forms, reports


def _keys(item: Mapping[str, Any], kind: str) -> None:
    allowed = (kind, *WITH_OUTCOME.get(kind, ()))
    for key in item:
        if key not in allowed:
            known = did_you_mean(key, allowed[1:])
            both = " Write two outcomes as two items." if any(key in keys for keys in OUTCOME_KEYS.values()) else ""
            raise RuleMistake(f"'{key}' does not go with {kind}; allowed: {', '.join(allowed)}. {known}{both}".strip())


def _bare(item: Mapping[str, Any]) -> None:
    for kind in BARE:
        if kind in item and len(item) > 1:
            raise RuleMistake(f"{kind} takes nothing but a name, not '{next(k for k in item if k != kind)}'")
