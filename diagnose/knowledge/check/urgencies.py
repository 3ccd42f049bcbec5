"""How urgent a case is, is said by rules on the likeliest fault of each urgency: none is forgotten, and none waits for nothing."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES


def check_urgencies(knowledge: Knowledge) -> Iterator[Report]:
    """Urgencies of faults against the rules' `any_fault`."""
    held: dict[str, list[str]] = {}
    for fault in knowledge.faults.values():
        if fault.kind == "fault":
            held.setdefault(fault.urgency, []).append(fault.id)
    read: dict[str, list[str]] = {}
    for rule in knowledge.rules.values():
        for item in rule.when:
            if "any_fault" in item:
                read.setdefault(str(item["any_fault"]), []).append(rule.id)
    for urgency in URGENCIES[1:]:
        if urgency in held and urgency not in read:
            message = f"its urgency is {urgency}, and no rule reads any_fault: {urgency}, so the case never becomes as urgent."
            yield warning(knowledge, "missing_case", held[urgency][0], message, "Write a rule for it.")
        for rule_id in read.get(urgency, ()) if urgency not in held else ():
            message = f"no fault has the urgency {urgency}, so any_fault: {urgency} never holds."
            yield error(knowledge, "unreachable", rule_id, message, "Read an urgency that some fault has.")
