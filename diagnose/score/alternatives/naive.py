"""Naive Bayes: exactly one cause is there, or none, and given which, the findings have nothing to do with each other.

How likely a finding is given a cause comes from the network's own marginals: P(finding | cause) = P(cause | finding) P(finding) /
P(cause). "None" is a vehicle without any real fault. Harmless causes that are there on most vehicles explain nothing by being
there: they belong to "none" and stand in no list.
"""

from __future__ import annotations

from math import exp, log

from diagnose.explain.verdict import ORDINARY, WRONG_FROM
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.alternatives.single import Answered, Single, is_fault, ordered
from diagnose.score.ground import Ground

NONE = ""
LEAST = 1e-12


def shares(marginals: Single, real: frozenset[str]) -> dict[str, float]:
    """Chance of each cause being the one, and of none (the empty name). `real`: ids of real faults."""
    weight = {NONE: sum(log(1.0 - p) for h, p in marginals.prior.items() if h in real and p < 1.0)}
    weight[NONE] += sum(_log(x) for x in marginals.sure_if_sound.values())
    for h, prior in marginals.prior.items():
        if LEAST < prior < ORDINARY:
            weight[h] = _log(prior) + sum(_log(row[h] * marginals.sure[f] / prior) for f, row in marginals.after.items())
    top = max(weight.values())
    whole = sum(exp(w - top) for w in weight.values())
    return {h: exp(w - top) / whole for h, w in weight.items()}


def naive(ground: Ground, marginals: Single, knowledge: Knowledge) -> Answered:
    """The list by share. Nothing is wrong where no real fault has the share from which this program would not say so either."""
    found = shares(marginals, frozenset(h for h in marginals.prior if is_fault(h, knowledge)))
    named = {h: s for h, s in found.items() if h != NONE}
    order = ordered(named, marginals.prior, LEAST)
    return Answered(order, not any(is_fault(h, knowledge) and named[h] >= WRONG_FROM for h in order))


def _log(x: float) -> float:
    return log(max(x, LEAST))
