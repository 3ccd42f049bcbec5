"""What the check tells beside errors and warnings: counts, and how many real faults the priors expect."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from diagnose.knowledge.check.links import all_links
from diagnose.knowledge.check.report import Report
from diagnose.knowledge.knowledge import Knowledge


def expected_faults(knowledge: Knowledge, why_here: str) -> float:
    """Expected number of real faults on a vehicle of which nothing else is known. `why_here`: complaint or routine."""
    return sum(float(getattr(f.prior, why_here)) for f in knowledge.faults.values() if f.kind == "fault")


def information(knowledge: Knowledge) -> list[str]:
    """Lines to be judged by somebody, not by a limit."""
    kinds = Counter(fault.kind for fault in knowledge.faults.values())
    return [
        f"{kinds['fault']} faults, {kinds['harmless']} harmless causes, {kinds['event']} past events, {len(knowledge.effects)} effects, "
        f"{len(knowledge.findings)} findings, {len(knowledge.readings)} readings, {sum(1 for _ in all_links(knowledge))} links, "
        f"{len(knowledge.procedures)} procedures, {len(knowledge.repairs)} repairs, {len(knowledge.rules)} rules, "
        f"{len(knowledge.sources)} sources.",
        *(
            f"Expected number of real faults, {words}: {expected_faults(knowledge, why):.2f} (harmless causes and past events left out)."
            for why, words in (("complaint", "on a vehicle with a complaint"), ("routine", "at a routine look"))
        ),
    ]


def summary(reports: Iterable[Report]) -> str:
    """One line: errors, open warnings, explained warnings, by code."""
    found = list(reports)
    errors = [r for r in found if r.severity == "error"]
    warnings = [r for r in found if r.severity == "warning" and not r.explained]
    codes = Counter(r.code for r in [*errors, *warnings])
    told = "; ".join(f"{code} {count}" for code, count in sorted(codes.items()))
    explained = sum(r.explained for r in found)
    return f"{len(errors)} errors, {len(warnings)} warnings, {explained} more explained in place" + (f" ({told})." if told else ".")
