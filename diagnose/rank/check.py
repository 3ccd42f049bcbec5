"""What the ranking's own arithmetic says of the knowledge: how wide its tables grow over given cases."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import log2

from diagnose.case.case import Case
from diagnose.case.observation import SILENT
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import Context, build, causal
from diagnose.rank.junction import WIDEST
from diagnose.rank.query import chances


@dataclass(frozen=True)
class Width:
    """The widest clique of one case, as the entries of its table, and whether its chances are exact."""

    case: str
    width: int
    exact: bool


def observed(case: Case, knowledge: Knowledge) -> set[str]:
    """Findings that a case's observations bear on, rules left aside."""
    found: set[str] = set()
    for observation in case.observations:
        if observation.answer in SILENT:
            continue
        reading = knowledge.readings.get(observation.of)
        found |= {reading.finding, *reading.feeds.values()} if reading else {observation.of}
    return found & set(knowledge.findings)


def widths(knowledge: Knowledge, cases: Mapping[str, Case]) -> list[Width]:
    """Widest clique of every case that looks at anything, the widest first. Raises ValueError for effects in a circle."""
    links = causal(knowledge)
    out = []
    for name, case in cases.items():
        findings = sorted(observed(case, knowledge))
        if not findings:
            continue
        facts = {**case.vehicle.model_dump(exclude={"name"}), "why_here": case.why_here}
        network = build(knowledge, links, Context(facts), findings)
        evidence = {f: (0.5, *[1.0] * (len(knowledge.findings[f].levels) - 1)) for f in findings}
        _, width, exact = chances(network, [evidence], [n for n in network.places if n in knowledge.faults])
        out.append(Width(name, width, exact))
    return sorted(out, key=lambda w: (-w.width, w.case))


def told(found: Iterable[Width]) -> str:
    """One line for the check: the widest clique, of which case, and how many cases needed the fallback."""
    ordered = sorted(found, key=lambda w: (-w.width, w.case))
    if not ordered:
        return "Widest clique: no case looks at anything."
    fallback = sum(not w.exact for w in ordered)
    inexact = f"; {fallback} of {len(ordered)} cases needed the bounded fallback" if fallback else f"; all {len(ordered)} cases are exact"
    widest = ordered[0]
    size = f"{widest.width:,} entries, as of {log2(widest.width):.0f} yes/no variables; the limit is {WIDEST:,}"
    return f"Widest clique: {size} ({widest.case}){inexact}."
