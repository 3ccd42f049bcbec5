"""Are the chances as good as they say: of all that was given 30 %, were three in ten there?

Equal-mass bins and the expected calibration error: M. P. Naeini, G. F. Cooper and M. Hauskrecht (AAAI 2015). Slope and intercept:
logistic recalibration of the outcome on the log-odds told, D. R. Cox (Biometrika 45, 1958); 1 and 0 are right, a slope below 1
is overconfident.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Row = NDArray[np.float64]
BINS = 10
EDGE = 1e-6  # chances are kept this far from 0 and 1 before log-odds are taken
RESAMPLES = 200
ROUNDS, CLOSE = 50, 1e-10


def calibration(chance: Sequence[float], happened: Sequence[bool], group: Sequence[int], seed: int, bins: int = BINS) -> dict[str, Any]:
    """Bins, calibration error, Brier score, slope and intercept with 95 % intervals; resampled by `group` (the case)."""
    if not chance:
        return {"of": 0}
    p, y = np.asarray(chance, dtype=float), np.asarray(happened, dtype=float)
    bin_of = _bins(p, bins)
    _, cases = np.unique(np.asarray(group), return_inverse=True)
    rng = np.random.default_rng(seed)
    draws = []
    for _ in range(RESAMPLES):
        times = np.bincount(rng.integers(0, cases.max() + 1, cases.max() + 1), minlength=cases.max() + 1).astype(float)
        weight = times[cases]
        draws.append((error(p, y, bin_of, weight), *recalibration(p, y, weight)))
    spread = [[x for x in column if np.isfinite(x)] for column in zip(*draws, strict=True)]
    low, high = zip(*(np.percentile(s, [2.5, 97.5]) if s else (np.nan, np.nan) for s in spread), strict=True)
    found = (error(p, y, bin_of), *recalibration(p, y))
    named = zip(("error", "intercept", "slope"), found, low, high, strict=True)
    return {
        "of": len(p),
        "mean_told": round(float(p.mean()), 4),
        "there": round(float(y.mean()), 4),
        "brier": round(float(((p - y) ** 2).mean()), 4),
        "bins": [_told(p[bin_of == b], y[bin_of == b]) for b in range(bin_of.max() + 1)],
        **{name: {"value": _plain(v), "low": _plain(a), "high": _plain(b)} for name, v, a, b in named},
    }


def _plain(value: float) -> float | None:
    return round(float(value), 4) if np.isfinite(value) else None


def _told(p: Row, y: Row) -> dict[str, float | int]:
    return {
        "from": round(float(p.min()), 4),
        "to": round(float(p.max()), 4),
        "of": len(p),
        "told": round(float(p.mean()), 4),
        "there": round(float(y.mean()), 4),
    }


def _bins(p: Row, bins: int) -> NDArray[np.int64]:
    """Bins of as equal numbers as can be, by rising chance."""
    out = np.empty(len(p), dtype=np.int64)
    for b, members in enumerate(m for m in np.array_split(np.argsort(p, kind="stable"), bins) if len(m)):
        out[members] = b
    return out


def error(p: Row, y: Row, bin_of: NDArray[np.int64], weight: Row | None = None) -> float:
    """Mean distance between what the bins were told and what was there, each bin by its weight."""
    w = np.ones_like(p) if weight is None else weight
    gap = np.abs(np.bincount(bin_of, w * (p - y)))
    return float(gap.sum() / w.sum())


def recalibration(p: Row, y: Row, weight: Row | None = None) -> tuple[float, float]:
    """Intercept and slope of the outcome's log-odds on those told, by Newton's method; not numbers where there is no such line."""
    w = np.ones_like(p) if weight is None else weight
    told = np.log(np.clip(p, EDGE, 1 - EDGE) / (1 - np.clip(p, EDGE, 1 - EDGE)))
    seen = y[w > 0]
    if not 0 < seen.sum() < len(seen) or np.ptp(told[w > 0]) == 0.0:
        return float("nan"), float("nan")
    line = np.array([0.0, 1.0])
    design = np.stack([np.ones_like(told), told])
    for _ in range(ROUNDS):
        fitted = 1.0 / (1.0 + np.exp(-np.clip(line @ design, -500, 500)))
        curve = (design * (w * fitted * (1 - fitted))) @ design.T
        try:
            step = np.linalg.solve(curve, design @ (w * (y - fitted)))
        except np.linalg.LinAlgError:
            return float("nan"), float("nan")
        line = line + step
        if np.abs(step).max() < CLOSE:
            return float(line[0]), float(line[1])
    return float("nan"), float("nan")
