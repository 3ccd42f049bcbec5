"""One thing that the check has to say, and where it belongs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from diagnose.knowledge.knowledge import Knowledge

Severity = Literal["error", "warning"]
KINDS = (
    "sources", "chances", "readings", "findings", "effects", "faults", "procedures", "repairs", "rules", "prices", "access", "proposals",
    "logs", "talks",
)  # fmt: skip


@dataclass(frozen=True, order=True)
class Report:
    """An error stops use; a warning wants a look, or a `note:` on the entry that names its code: "[doubled] because …".

    `allowed` says what is allowed or what to do. `explained` holds for a warning whose entry has such a note.
    """

    file: str
    line: int
    id: str
    code: str
    severity: Severity
    message: str
    allowed: str = ""
    explained: bool = False

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.file else ""
        return f"{place}{self.severity} [{self.code}] {self.id}: {self.message}" + (f" {self.allowed}" if self.allowed else "")


def entry_of(knowledge: Knowledge, name: str) -> Any:
    """The entry called `name`, of whatever kind; None where there is none."""
    for kind in KINDS:
        held = getattr(knowledge, kind)
        if name in held:
            return held[name]
    return None


def report(knowledge: Knowledge, severity: Severity, code: str, name: str, message: str, allowed: str = "") -> Report:
    """A report placed at the entry called `name`."""
    file, line = knowledge.where.get(name, ("", 0))
    note = getattr(entry_of(knowledge, name), "note", None) or ""
    return Report(file, line, name, code, severity, message, allowed, severity == "warning" and f"[{code}]" in note)


def error(knowledge: Knowledge, code: str, name: str, message: str, allowed: str = "") -> Report:
    """An error placed at the entry called `name`."""
    return report(knowledge, "error", code, name, message, allowed)


def warning(knowledge: Knowledge, code: str, name: str, message: str, allowed: str = "") -> Report:
    """A warning placed at the entry called `name`."""
    return report(knowledge, "warning", code, name, message, allowed)
