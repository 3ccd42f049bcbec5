"""What fired and why: experta keeps no such record, so every right-hand side writes one here."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, order=True)
class Firing:
    """One rule that fired: its id, the facts that it matched (as sorted short texts), and what it concluded."""

    rule: str
    matched: tuple[str, ...]
    concluded: tuple[str, ...] = ()
    because: str = ""
    source: str = ""


@dataclass
class Record:
    """Firings of one run; `listed` is in an order that does not depend on the agenda."""

    firings: set[Firing] = field(default_factory=set)

    def add(self, firing: Firing) -> None:
        """Note a firing; the same one twice counts once."""
        self.firings.add(firing)

    def listed(self) -> tuple[Firing, ...]:
        """All firings, sorted."""
        return tuple(sorted(self.firings))


def told(fact: Any) -> str:
    """A fact as a short text: kind and the values that matter."""
    return str(fact)
