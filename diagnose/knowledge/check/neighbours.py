"""The nearest look-alikes: named from both sides, and not by a fault about itself."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge

FULL = 6  # an entry that names this many look-alikes need not name one more


def check_neighbours(knowledge: Knowledge) -> Iterator[Report]:
    """`nearest` lists."""
    for fault in knowledge.faults.values():
        if fault.id in fault.nearest:
            yield error(knowledge, "nearest", fault.id, "it names itself in nearest.", "Name what it is mistaken for.")
        if fault.kind == "fault" and not fault.nearest:
            yield warning(knowledge, "nearest", fault.id, "it names nothing that looks like it.", "Name at least one in nearest.")
        first = knowledge.faults.get(fault.nearest[0]) if fault.nearest else None
        if first and first.kind != "event" and fault.kind != "event" and fault.id not in first.nearest and len(first.nearest) < FULL:
            message = f"it is mistaken first of all for {first.id}, whose nearest: does not name it."
            yield warning(knowledge, "one_sided", fault.id, message, f"Add {fault.id} to nearest: of {first.id}.")
