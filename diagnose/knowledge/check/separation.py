"""Pairs that no finding separates, and findings that separate nothing: from what each fault alone would show.

A quick reckoning, not the ranking: each fault is taken alone, effects as independent of one another (diagnose.rank is exact).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.check.cycles import circles
from diagnose.knowledge.check.links import shows_and_leads
from diagnose.knowledge.check.report import Report, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Push

ENOUGH = 0.25  # two faults are told apart by a finding whose levels differ by this much in chance (estimate)
NOTHING = 0.02  # a finding that differs by less than this between any two causes says nothing (estimate)
Signature = dict[str, tuple[float, ...]]


def check_separation(knowledge: Knowledge) -> Iterator[Report]:
    """Inseparable pairs of faults and harmless causes; idle findings."""
    if any(True for _ in circles({e.id: {k.to for k in e.leads_to if k.to in knowledge.effects} for e in knowledge.effects.values()})):
        return  # a circle has its own report
    known = {f.id: signature(knowledge, f.id) for f in knowledge.faults.values() if f.kind != "event"}
    rests = {f.id: _level(f, f.misread) for f in knowledge.findings.values()}
    names = sorted(known)
    for i, one in enumerate(names):
        for other in names[i + 1 :]:
            apart = (_differ(known[one].get(f, rests[f]), known[other].get(f, rests[f])) for f in {*known[one], *known[other]})
            if not any(differs >= ENOUGH for differs in apart):
                best = telling(knowledge, known[one], known[other])[1]
                message = f"no finding separates it from {other} (the best differs by {best:.2f} in chance)."
                yield warning(knowledge, "inseparable", one, message, "Add what tells them apart, or say in note: why nothing can.")
    for name in knowledge.findings:
        chances = [s[name] for s in known.values() if name in s]
        asks_history = any(link.to == name for f in knowledge.faults.values() if f.kind == "event" for link in f.links)
        if chances and not asks_history and max(1.0 - c[0] for c in chances) < NOTHING:
            message = "it hardly ever shows with any cause, so it separates nothing."
            yield warning(knowledge, "says_nothing", name, message, "Raise its links if the trade says so, or take it away.")


def _differ(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return 0.5 * sum(abs(x - y) for x, y in zip(a, b, strict=True))


def telling(knowledge: Knowledge, one: Signature, other: Signature) -> tuple[str, float]:
    """The finding whose levels differ most between two signatures, and by how much (0 to 1)."""
    best = ("", 0.0)
    for name in sorted({*one, *other}):
        rest = _level(knowledge.findings[name], knowledge.findings[name].misread)
        a, b = one.get(name, rest), other.get(name, rest)
        differs = _differ(a, b)
        if differs > best[1] + 1e-12:
            best = (name, differs)
    return best


def signature(knowledge: Knowledge, fault: str) -> Signature:
    """Chance of each level of each finding that `fault`, alone, bears on."""
    chance = {fault: 1.0}
    for name in _order(knowledge, fault):
        for link in shows_and_leads(knowledge, name)[1]:
            if link.to in knowledge.effects and not isinstance(link.chance, Mapping):
                chance[link.to] = 1.0 - (1.0 - chance.get(link.to, 0.0)) * (1.0 - chance[name] * link.chance)
    out: Signature = {}
    for name, present in sorted(chance.items()):
        for link in shows_and_leads(knowledge, name)[0]:
            finding = knowledge.findings.get(link.to)
            if finding:
                out[finding.id] = _joined(out.get(finding.id, _level(finding, finding.misread)), _level(finding, link.chance, present))
    return out


def _order(knowledge: Knowledge, fault: str) -> list[str]:
    """The fault and all effects downstream, causes before what they cause."""
    order: list[str] = []

    def visit(name: str) -> None:
        if name not in order:
            for link in shows_and_leads(knowledge, name)[1]:
                if link.to in knowledge.effects:
                    visit(link.to)
            order.append(name)

    visit(fault)
    return order[::-1]


def _level(finding: Finding, push: Push, weight: float = 1.0) -> tuple[float, ...]:
    """Chances of the levels, all other causes silent; a single chance goes to the last level."""
    chances = push if isinstance(push, Mapping) else {finding.levels[-1]: push}
    above = [min(1.0, weight * float(chances.get(level, 0.0))) for level in finding.levels[1:]]
    return (max(0.0, 1.0 - sum(above)), *above)


def _joined(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    """The higher of two levels, each brought about by itself (noisy-MAX)."""
    low = [sum(one[: i + 1]) * sum(other[: i + 1]) for i in range(len(one))]
    return tuple(x - y for x, y in zip(low, [0.0, *low[:-1]], strict=True))
