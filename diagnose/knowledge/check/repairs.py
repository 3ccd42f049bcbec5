"""Faults and repairs name each other."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error
from diagnose.knowledge.knowledge import Knowledge


def check_repairs(knowledge: Knowledge) -> Iterator[Report]:
    """Both directions, and repairs of what cannot be repaired."""
    for fault in knowledge.faults.values():
        for name in fault.repair:
            repair = knowledge.repairs.get(name)
            if repair and fault.id not in repair.removes:
                message = f"it names the repair {name}, which does not remove it."
                yield error(knowledge, "repair", fault.id, message, f"Add {fault.id} to removes: of {name}.")
    for repair in knowledge.repairs.values():
        for name in repair.removes:
            removed = knowledge.faults.get(name)
            if removed and removed.kind != "fault":
                message = f"it removes {name}, which is {'a past event' if removed.kind == 'event' else 'harmless'}."
                yield error(knowledge, "repair", repair.id, message, "Only a fault is removed by a repair.")
            elif removed and repair.id not in removed.repair:
                message = f"it removes {name}, which does not name it."
                yield error(knowledge, "repair", repair.id, message, f"Add {repair.id} to repair: of {name}.")
