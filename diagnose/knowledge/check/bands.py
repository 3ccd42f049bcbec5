"""Bands: their names in links, their sums, the bands that nothing brings about, and the limits between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from diagnose.errors import did_you_mean
from diagnose.knowledge.check.links import all_links, pushes
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Push

# who says it, in what words, about which finding, the chance
Pushed = tuple[str, str, Finding, Push]


def check_bands(knowledge: Knowledge) -> Iterator[Report]:
    """Everything about the bands of findings."""
    reached: dict[str, set[str]] = {}
    for who, how, finding, push in _pushed(knowledge):
        reached.setdefault(finding.id, set()).update(push if isinstance(push, Mapping) else finding.levels[-1:])
        yield from _one(knowledge, who, how, finding, push)
    for finding in knowledge.findings.values():
        for band in finding.bands[1:]:
            if band not in reached.get(finding.id, ()):
                advice = "Add it to a link, or take the band away."
                yield warning(knowledge, "missing_case", finding.id, f"nothing ever brings about its band '{band}'.", advice)
        yield from _limits(knowledge, finding)


def _pushed(knowledge: Knowledge) -> Iterator[Pushed]:
    for name, link in all_links(knowledge):
        if link.effect and isinstance(link.chance, Mapping):
            continue  # told by _one of its own finding; effects have no bands
        finding = knowledge.findings.get(link.finding or "")
        for context, push in pushes(link) if finding else ():
            assert finding is not None
            yield name, f"link to {finding.id}{context}", finding, push
    for finding in knowledge.findings.values():
        yield finding.id, "misread", finding, finding.misread
        for number, variant in enumerate(finding.misread_in_context, start=1):
            yield finding.id, f"misread_in_context {number}", finding, variant.misread
    for procedure in knowledge.procedures.values():
        for name, push in procedure.misled.shows.items() if procedure.misled else ():
            if name in knowledge.findings:
                yield procedure.id, f"misled: {name}", knowledge.findings[name], push


def _one(knowledge: Knowledge, who: str, how: str, finding: Finding, push: Push) -> Iterator[Report]:
    if not isinstance(push, Mapping):
        return
    if not finding.bands and set(push) != {"present"}:
        yield error(knowledge, "band", who, f"{how}: {finding.id} is answered yes or no and has no bands.", "Write one chance.")
        return
    for band in push:
        if band not in finding.levels:
            hint = did_you_mean(band, finding.bands) or ""
            allowed = f"{hint} Allowed: {', '.join(finding.bands[1:])}.".strip()
            yield error(knowledge, "band", who, f"{how}: '{band}' is not a band of {finding.id}.", allowed)
        elif band == finding.levels[0]:
            message = f"{how}: '{band}' is what {finding.id} shows when nothing is wrong; a chance of it is never used."
            yield error(knowledge, "first_band", who, message, f"Give chances of {', '.join(finding.levels[1:])} only.")
    if sum(push.values()) > 1.0 + 1e-9:
        message = f"{how}: its chances add up to {sum(push.values()):.2f}, above 1."
        yield error(knowledge, "sum", who, message, "Lower them; what is left goes to the first band.")


def _limits(knowledge: Knowledge, finding: Finding) -> Iterator[Report]:
    for lower, upper in pairwise(finding.edges):
        if upper.at == lower.at:
            message = f"edges: nothing lies between {lower.at:g} and {upper.at:g} {finding.unit}."
            yield error(knowledge, "empty_band", finding.id, message, "Move an edge or drop the band.")
        elif lower.spread + upper.spread > upper.at - lower.at:
            message = f"edges: {lower.at:g} ± {lower.spread:g} and {upper.at:g} ± {upper.spread:g} {finding.unit} run into each other."
            yield warning(knowledge, "overlap", finding.id, message, "Narrow the spreads or move the edges apart.")
    if finding.edges and not finding.along and knowledge.findings and len(finding.bands) > 2 and _looks_two_sided(finding):
        message = f"the number runs through the bands as {', '.join(finding.bands)}, yet the first is named as the middle one."
        yield warning(knowledge, "along", finding.id, message, "Give along: the bands from low to high.")


def _looks_two_sided(finding: Finding) -> bool:
    low = [b for b in finding.bands if b.split("_")[0] in ("low", "weak", "below", "under", "too")]
    high = [b for b in finding.bands if b.split("_")[0] in ("high", "strong", "above", "over")]
    return bool(low and high and finding.bands[0] not in low + high)
