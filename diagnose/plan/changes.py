"""What would change the answer, in words: the chance at which another step is better, the finding worth checking twice, a price."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from diagnose.explain.words import percent
from diagnose.plan.cost import ELSEWHERE
from diagnose.plan.exact import STOP, Action
from diagnose.plan.problem import Pattern
from diagnose.plan.sensitivity import PRICES, first_action, moved, next_border, share_of, tilted, with_price

if TYPE_CHECKING:
    from diagnose.plan.telling import Teller

FINDINGS = 2  # the findings that weigh most are tried
WEIGHS_FROM = 0.7  # log-odds from which a finding is tried


def changes(told: Teller) -> list[str]:
    """Sentences that go on from "this answer would change if"; empty where nothing single that was tried changes it."""
    action = told.plan.action
    now = first_action(told.problem)
    pattern = _foremost(told)
    out = _findings(told, pattern, now)
    out += _chance(told, pattern, now)
    if action != STOP:
        for factor in PRICES:
            then = first_action(with_price(told.problem, action, factor))
            if then != now:
                word = "half" if factor < 1 else "twice"
                out.append(f"… '{told.action(action)}' cost {word} of what is reckoned here: then first: {told.action(then)}.")
    return out


def _foremost(told: Teller) -> Pattern:
    """The likeliest explanation that has a name; where there is none, the likeliest."""
    named = [0.0 if not p or ELSEWHERE in p else share for p, share in zip(told.problem.patterns, told.problem.share, strict=True)]
    weighed = named if max(named) > 0.0 else told.problem.share
    return told.problem.patterns[int(np.argmax(np.round(weighed, 9)))]


def _findings(told: Teller, pattern: Pattern, now: Action) -> list[str]:
    fault = next(iter(sorted(pattern)), "")
    chance = share_of(told.problem, pattern)
    weights = {name: w.get(fault, 0.0) for name, w in told.parts.ranking.weights.items()}
    out = []
    for name in sorted(weights, key=lambda n: (-abs(weights[n]), n))[:FINDINGS]:
        if abs(weights[name]) < WEIGHS_FROM:
            continue
        other = moved(chance, weights[name])
        then = first_action(told.problem, tilted(told.problem, frozenset({fault}), other))
        if then != now:
            what = told.parts.knowledge.findings[name].name
            out.append(
                f"… '{what}' were mistaken: worth looking at twice. "
                f"Then {told.name(pattern)} would stand at {percent(other)}, and next: {told.action(then)}."
            )
    return out


def _chance(told: Teller, pattern: Pattern, now: Action) -> list[str]:
    """How far the leading chance can move, the others in proportion, before another step comes first."""
    if not pattern:
        return []
    out = []
    here = share_of(told.problem, pattern)
    for chance, then in next_border(told.problem, pattern, now):
        word = "fell below" if chance < here else "rose above"
        name = told.name(pattern)
        out.append(f"… the chance of {name} {word} about {percent(chance)} (now {percent(here)}): then first: {told.action(then)}.")
    return out
