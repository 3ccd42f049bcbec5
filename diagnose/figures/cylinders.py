"""Compression and leakage of every cylinder to one pattern: even, one odd, two neighbours, all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod, sqrt

from diagnose.case.quantity import parse, split
from diagnose.derive.compression import compression
from diagnose.derive.cylinder_patterns import NONE, Banks, check_banks, neighbours
from diagnose.derive.cylinders import together
from diagnose.derive.leakage import Leakage, leakage
from diagnose.derive.measure import below
from diagnose.figures.derived import Asked, Derived, cannot, yes_no
from diagnose.figures.series import cylinders, numbers, unique

_LEAST_BAR = {"petrol": (7.5, 1.5), "diesel": (18.0, 3.0)}
"""Least compression and its spread where the maker's is not given [bar]. Source: common practice, no source."""
_HOT = ("warm", "loaded", "hot_off")

Chances = Mapping[int, float]


def compressions(group: Sequence[Asked]) -> list[Derived]:
    """All compression figures of one day: dry ones make the pattern, wet ones tell rings from gasket in the notes."""
    dry_asked = [a for a in group if a.observation.wet != "yes"]
    if not dry_asked:
        return [cannot(a, "a wet reading needs the dry reading of the same cylinder") for a in group]
    dry = _mean([cylinders(a.observation, "bar") for a in dry_asked])
    wet = _mean([cylinders(a.observation, "bar") for a in group if a.observation.wet == "yes"]) or None
    fuel, assumed = _fuel(dry_asked[0])
    limit = next((parse(a.observation.limit, "bar") for a in group if a.observation.limit), None)
    banks = _banks(group)
    result = compression(dry, fuel=fuel, limit_bar=limit, wet=wet, banks=banks)
    shares = pattern(result.low, check_banks(dry, banks))
    least, spread = _LEAST_BAR[fuel] if limit is None else (limit, 0.05 * limit)
    worn = below(least, max(dry.values()), sqrt(spread**2 + (0.03 * max(dry.values())) ** 2))
    likelihood = (shares[0] * (1.0 - worn), shares[1] * (1.0 - worn), shares[2] * (1.0 - worn), shares[3] + worn * (1.0 - shares[3]))
    fits = together(result, None).best
    oil = [f"Oil lifted cylinder {c} by {r:.0%}." for c, r in sorted(result.wet_rise.items()) if r > 0.05]
    least_told = f"The maker's least is not given: worn all over is judged against {least:g} ± {spread:g} bar." if limit is None else ""
    said = [n for n in result.notes if not n.startswith("No maker's limit")]
    notes = unique([*oil, _best(fits), assumed, least_told, *said])
    return [Derived(a.about, a.finding.id, likelihood, result.ratio, notes=notes) for a in group]


def leakages(group: Sequence[Asked]) -> list[Derived]:
    """All leakage figures of one day, cold and hot by the engine's state, to a pattern and to whether heat opens it."""
    hot = _mean([cylinders(a.observation, "%") for a in group if a.observation.engine in _HOT])
    cold = _mean([cylinders(a.observation, "%") for a in group if a.observation.engine not in _HOT])
    limit = next((split(a.observation.limit)[0] for a in group if a.observation.limit), None)
    banks = _banks(group)
    result = leakage(cold or None, hot or None, limit=limit, heard=_heard(group), banks=banks)
    notes = unique([_best(together(None, result).best), *result.notes])
    shares = pattern(result.over, check_banks({**cold, **hot}, banks))
    out = [Derived(a.about, a.finding.id, shares, result.worst, notes=notes) for a in group]
    return out + [d for a in group for d in _opens_hot(a.to("hot"), result)]


def _opens_hot(asked: Asked | None, result: Leakage) -> list[Derived]:
    if asked is None or not result.opens_hot:
        return []
    worst = max(sorted(result.opens_hot), key=result.opens_hot.__getitem__)
    told = f"Cylinder {worst} changes most from cold to hot. Sound rings lose less when hot."
    return [yes_no(asked, result.opens_hot[worst], result.rise[worst], (told,))]


def pattern(odd: Chances, rows: Banks) -> tuple[float, float, float, float]:
    """Likelihood of: none odd, one (or two that are not neighbours), two neighbours, all; from each cylinder's chance to be odd.

    Three of four and the like belong to no pattern and are shared out among the last three.

    >>> [round(x, 2) for x in pattern({1: 0.0, 2: 1.0, 3: 1.0, 4: 0.0}, [[1, 2, 3, 4]])]
    [0.0, 0.0, 1.0, 0.0]
    """
    names = sorted(odd)

    def only(chosen: tuple[int, ...]) -> float:
        return prod(odd[c] if c in chosen else 1.0 - odd[c] for c in names)

    beside = {tuple(sorted(p)) for p in neighbours(rows, odd)}
    twos = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
    none = only(())
    one = sum(only((c,)) for c in names) + sum(only(p) for p in twos if p not in beside and len(names) > 2)
    two = sum(only(p) for p in twos if p in beside and len(names) > 2)
    every = prod(odd.values()) if len(names) > 1 else 0.0
    rest = max(0.0, 1.0 - none - one - two - every) / 3.0
    return none, one + rest, two + rest, every + rest


def _mean(several: Sequence[Mapping[int, float]]) -> dict[int, float]:
    found = {c: [one[c] for one in several if c in one] for c in sorted({c for one in several for c in one})}
    return {c: sum(values) / len(values) for c, values in found.items()}


def _fuel(asked: Asked) -> tuple[str, str]:
    fuel = asked.case.vehicle.fuel
    if fuel is None:
        return "petrol", "Fuel not known: taken as petrol; a diesel makes twice the compression."
    return ("diesel" if fuel == "diesel" else "petrol"), ""


def _banks(group: Sequence[Asked]) -> Banks | None:
    return next((numbers(a.observation.banks) for a in group if a.observation.banks), None)


def _heard(group: Sequence[Asked]) -> dict[str, bool]:
    said = [w.strip().lower().replace("_", " ") for a in group if a.observation.heard for w in a.observation.heard.split(",")]
    return {place: True for place in said if place}


def _best(fits: Sequence[str]) -> str:
    if NONE in fits:
        return "The figures show no pattern; a gasket leaking to the jacket or a crack that opens hot may look the same."
    return f"Fits best: {', '.join(fits)}."
