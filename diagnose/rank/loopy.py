"""The bounded fallback where the exact tree would be too wide: loopy belief propagation, a fixed number of rounds.

Approximate: chances may be off by some hundredths where causes are strongly tied together. The answer says that it was used.
Source: K. P. Murphy, Y. Weiss and M. I. Jordan, Loopy belief propagation for approximate inference, UAI 1999.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from diagnose.rank.factors import Factor, Factors
from diagnose.rank.network import Table
from diagnose.rank.propagate import Beliefs

ROUNDS = 60
DAMPING = 0.3  # share of the old message kept: stops messages from swinging
SETTLED = 1e-5  # it is off by hundredths anyway


def propagate_loopy(factors: Factors, variables: Iterable[int], chosen: Sequence[int], besides: Sequence[Factor] = ()) -> Beliefs:
    """Approximate chances of `variables` in the `chosen` worlds; `width` is the largest factor; no evidence chance (NaN).

    `besides`: further factors; their first axis goes along with `chosen`.
    """
    worlds = len(chosen)
    tables = [f.table if f.table.shape[0] == 1 else f.table[list(chosen)] for f in factors.factors]
    heard = [*(Factor(f.variables, t) for f, t in zip(factors.factors, tables, strict=True)), *besides]
    factors = Factors(heard, factors.sizes, factors.variable)
    scopes = [f.variables for f in factors.factors]
    touching: list[list[int]] = [[] for _ in factors.sizes]
    for i, scope in enumerate(scopes):
        for v in scope:
            touching[v].append(i)
    message: dict[tuple[int, int], Table] = {
        (i, v): np.full((worlds, factors.sizes[v]), 1.0 / factors.sizes[v]) for i, scope in enumerate(scopes) for v in scope
    }
    for _ in range(ROUNDS):
        change = _round(factors, message, touching, worlds)
        if change < SETTLED:
            break
    chance = {v: _normal(np.prod([message[(i, v)] for i in touching[v]], axis=0)) for v in variables}
    widest = max((f.table.size // f.table.shape[0] for f in factors.factors), default=1)
    return Beliefs(chance, np.full(worlds, np.nan), widest)


def _normal(table: Table) -> Table:
    total = table.sum(axis=-1, keepdims=True)
    share: Table = np.divide(table, total, out=np.full_like(table, 1.0 / table.shape[-1]), where=total > 0)
    return share


def _round(factors: Factors, message: dict[tuple[int, int], Table], touching: list[list[int]], worlds: int) -> float:
    change = 0.0
    for i, factor in enumerate(factors.factors):
        incoming = []
        for v in factor.variables:
            others = [message[(j, v)] for j in touching[v] if j != i]
            incoming.append(_normal(np.prod(others, axis=0)) if others else np.full((worlds, factors.sizes[v]), 1.0 / factors.sizes[v]))
        for k, v in enumerate(factor.variables):
            table = np.broadcast_to(factor.table, (worlds, *factor.table.shape[1:]))
            for other, arriving in enumerate(incoming):
                if other != k:
                    shape = [worlds] + [1] * len(incoming)
                    shape[other + 1] = arriving.shape[1]
                    table = table * arriving.reshape(shape)
            axes = tuple(a + 1 for a in range(len(incoming)) if a != k)
            fresh = _normal(table.sum(axis=axes) if axes else table)
            kept = DAMPING * message[(i, v)] + (1.0 - DAMPING) * fresh
            change = max(change, float(np.abs(kept - message[(i, v)]).max()))
            message[(i, v)] = kept
    return change
