"""Numbers: no certainty, parts that add up, units that are known, limits that a vehicle can reach."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.case import quantity
from diagnose.errors import InputError, did_you_mean
from diagnose.knowledge.check.links import all_links, pushes
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Fault, Finding, Reading

UNITS = {*quantity._CANONICAL, "pH"}  # pH: a number that carries its name in place of a unit


def check_numbers(knowledge: Knowledge) -> Iterator[Report]:
    """Chances, states of a part, units, edges."""
    yield from _certainty(knowledge)
    yield from _parts(knowledge)
    yield from _units(knowledge)


def _certainty(knowledge: Knowledge) -> Iterator[Report]:
    for scale in ("link", "prior"):
        for word, value in knowledge.chances[scale].words.items() if scale in knowledge.chances else ():
            if not 0.0 < value < 1.0:
                message = f"the word '{word}' stands for {value:g}, which is certainty."
                yield error(
                    knowledge, "certainty", scale, message, "Allowed: a number above 0 and below 1; nothing in the trade is certain."
                )
    for scale in ("trust", "said"):
        for word, value in knowledge.chances[scale].words.items() if scale in knowledge.chances else ():
            if not 0.0 <= value <= 1.0:
                yield error(knowledge, "certainty", scale, f"the word '{word}' stands for {value:g}.", "Allowed: from 0 to 1.")
    for name, link in all_links(knowledge):
        for context, push in pushes(link):
            if link.effect and isinstance(push, Mapping):
                yield error(knowledge, "band", name, f"link to {link.to}{context}: an effect has no bands.", "Write one chance.")
            elif isinstance(push, Mapping) and abs(sum(push.values()) - 1.0) < 1e-9:
                message = f"link to {link.to}{context}: its bands add up to exactly 1, so one ordinary reading would rule {name} out."
                yield error(knowledge, "certainty", name, message, "Leave a little for the first band.")


def _parts(knowledge: Knowledge) -> Iterator[Report]:
    parts: dict[str, list[str]] = {}
    for fault in knowledge.faults.values():
        if fault.part:
            parts.setdefault(fault.part, []).append(fault.id)
    for part, states in sorted(parts.items()):
        if len(states) == 1:
            message = f"part '{part}' has this one state only."
            hint = did_you_mean(part, [p for p in parts if p != part])
            yield warning(knowledge, "one_state", states[0], message, hint or "Take part: away, or give it its other states.")
        for why in ("complaint", "routine"):
            total = sum(_highest(knowledge.faults[s], why) for s in states)
            if total >= 1.0:
                message = f"the states of part '{part}' add up to as much as {total:.2f} ({why}); none is left for a sound one."
                yield error(knowledge, "sum", states[0], message, "Lower the priors.")


def _highest(fault: Fault, why: str) -> float:
    """The highest prior in any context."""
    return max(float(getattr(p, why)) for p in (fault.prior, *fault.prior_in_context))


def _units(knowledge: Knowledge) -> Iterator[Report]:
    entries: list[Finding | Reading] = [*knowledge.findings.values(), *knowledge.readings.values()]
    for entry in entries:
        if entry.unit is not None and entry.unit not in UNITS:
            allowed = f"{did_you_mean(entry.unit, UNITS)} Allowed: {', '.join(u for u in UNITS if u)}.".strip()
            yield error(knowledge, "unit", entry.id, f"'{entry.unit}' is not a unit known here.", allowed)
    for finding in knowledge.findings.values():
        if finding.unit is not None and not finding.edges and not _fed(knowledge, finding.id):
            message = f"it has the unit {finding.unit} but no edges, so a number cannot be judged."
            yield warning(knowledge, "unit", finding.id, message, "Give edges and accuracy, or take the unit away.")
        for edge in finding.edges:
            try:
                quantity.parse(edge.at, finding.unit or "")
            except InputError as why:
                yield error(knowledge, "impossible", finding.id, f"edge: {why}")


def _fed(knowledge: Knowledge, finding: str) -> bool:
    return any(finding in (reading.finding, *reading.feeds.values()) for reading in knowledge.readings.values())
