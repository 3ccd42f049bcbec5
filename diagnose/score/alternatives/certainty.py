"""Certainty factors: each finding confirms or denies each cause by itself, and the factors are combined.

One finding's factor from the marginals: measures of belief and disbelief of E. H. Shortliffe and B. G. Buchanan, "A model of
inexact reasoning in medicine" (Mathematical Biosciences 23, 1975). Combination, and 0.2 as the least factor that counts as
known: B. G. Buchanan and E. H. Shortliffe (eds.), Rule-Based Expert Systems (1984), chapters 10 and 11. Sources from memory.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.alternatives.single import Answered, Single, is_fault, ordered
from diagnose.score.ground import Ground

KNOWN_FROM = 0.2
NEARLY_SURE = 1.0 - 1e-9  # two opposite certainties have no combination


def factor(before: float, after: float) -> float:
    """How far one finding that moves a chance from `before` to `after` confirms (to 1) or denies (to -1).

    >>> factor(0.2, 0.6), factor(0.2, 0.1)
    (0.49999999999999994, -0.5)
    """
    if after >= before:
        return (after - before) / (1.0 - before) if before < 1.0 else 0.0
    return (after - before) / before


def combine(factors: Iterable[float]) -> float:
    """Factors put together: those of one sign x + y (1 - x), those of two signs (x + y) / (1 - min(|x|, |y|)).

    >>> round(combine([0.5, 0.4]), 2), round(combine([0.7, -0.4]), 2)
    (0.7, 0.5)
    """
    for_it, against = 0.0, 0.0
    for value in factors:
        if value >= 0:
            for_it += min(value, NEARLY_SURE) * (1.0 - for_it)
        else:
            against += min(-value, NEARLY_SURE) * (1.0 - against)
    return (for_it - against) / (1.0 - min(for_it, against)) if for_it and against else for_it - against


def certainty(ground: Ground, marginals: Single, knowledge: Knowledge) -> Answered:
    """The list by certainty factor. Nothing is wrong where no real fault's factor counts as known."""
    found = {h: combine(factor(p, row[h]) for row in marginals.after.values()) for h, p in marginals.prior.items()}
    order = ordered(found, marginals.prior, 0.0)
    return Answered(order, not any(is_fault(h, knowledge) and found[h] >= KNOWN_FROM for h in order))
