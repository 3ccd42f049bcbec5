"""Expected value of information: what a test is worth before it is done.

Value = least expected cost without it, less the expected least cost after seeing its outcome. Never below nothing; a test is
worth doing alone when its value exceeds its cost. Source: R. A. Howard, Information value theory, IEEE Transactions on Systems
Science and Cybernetics 2 (1966) 22.
"""

from __future__ import annotations

import numpy as np

from diagnose.plan.mending import START, Stage, mending
from diagnose.plan.problem import Array, Problem


def value_of(problem: Problem, test: int, belief: Array | None = None, stage: Stage = START) -> float:
    """Hours that knowing the outcome of this test is worth, its own cost not taken off."""
    held = problem.prior if belief is None else belief
    plan = mending(problem)
    likelihood = problem.tables[test][problem.after(stage[0])]
    return float(plan.values(held[None, :], stage)[0] - plan.values(held[None, :] * likelihood.T, stage).sum())


def perfect(problem: Problem) -> float:
    """Hours that knowing the whole truth is worth: no set of tests can be worth more."""
    plan = mending(problem)
    return float(plan.values(problem.prior[None, :])[0] - plan.values(np.diag(problem.prior)).sum())
