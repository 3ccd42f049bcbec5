"""Everything the trade knows, as read from knowledge/: entries by kind and id, and where each stands in its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.knowledge.schema import (
    Access,
    Effect,
    Fault,
    Finding,
    Link,
    LogPattern,
    Price,
    Procedure,
    Proposed,
    Reading,
    Repair,
    Rule,
    Scale,
    Source,
    Talk,
)

BUILT_IN_SOURCES = ("common_practice", "estimate")


@dataclass
class Knowledge:
    """Entries in id order within each kind."""

    sources: Mapping[str, Source] = field(default_factory=dict)
    chances: Mapping[str, Scale] = field(default_factory=dict)
    readings: Mapping[str, Reading] = field(default_factory=dict)
    findings: Mapping[str, Finding] = field(default_factory=dict)
    effects: Mapping[str, Effect] = field(default_factory=dict)
    faults: Mapping[str, Fault] = field(default_factory=dict)
    procedures: Mapping[str, Procedure] = field(default_factory=dict)
    repairs: Mapping[str, Repair] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    prices: Mapping[str, Price] = field(default_factory=dict)
    access: Mapping[str, Access] = field(default_factory=dict)
    proposals: Mapping[str, Proposed] = field(default_factory=dict)
    logs: Mapping[str, LogPattern] = field(default_factory=dict)
    talks: Mapping[str, Talk] = field(default_factory=dict)
    where: dict[str, tuple[str, int]] = field(default_factory=dict)

    def observable(self) -> list[str]:
        """Names that an observation may carry: findings and readings, sorted."""
        return sorted([*self.findings, *self.readings])

    def causal(self, name: str) -> Fault | Effect:
        """The fault, harmless cause, event or effect called `name`."""
        return self.faults[name] if name in self.faults else self.effects[name]

    def links_from(self, name: str) -> tuple[Link, ...]:
        """All links that leave a fault or effect."""
        entry = self.causal(name)
        return entry.links if isinstance(entry, Fault) else entry.leads_to + entry.shows

    def name_of(self, name: str) -> str:
        """The words for an id of any kind (the id itself where there are none)."""
        for kind in (self.faults, self.effects, self.findings, self.procedures, self.repairs, self.readings):
            if name in kind:
                return str(kind[name].name)
        return name.replace("_", " ")

    def procedures_for(self, finding: str) -> list[Procedure]:
        """Procedures that can give a finding, by id."""
        return [p for p in self.procedures.values() if finding in p.gives]
