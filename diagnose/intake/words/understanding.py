"""What was made of somebody's words: shown for correction before anything is concluded."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from diagnose.case.observation import Observation


@dataclass(frozen=True)
class Heard:
    """One observation with the words it was taken from, and what was done to them (spelling read, an assumption made)."""

    observation: Observation
    words: str
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Understanding:
    """Everything that was made of a text.

    `heard`: observations in the order in which they were said. `conditions`: circumstances that hold for the whole text.
    `not_understood`: words about the vehicle that nothing was made of. `not_about_cooling`: words about something else.
    `spelling`: what was read differently from what was written.
    """

    heard: tuple[Heard, ...] = ()
    conditions: dict[str, Any] = field(default_factory=dict)
    not_understood: tuple[str, ...] = ()
    not_about_cooling: tuple[str, ...] = ()
    spelling: dict[str, str] = field(default_factory=dict)

    @property
    def observations(self) -> tuple[Observation, ...]:
        """The observations alone, as a case takes them."""
        return tuple(h.observation for h in self.heard)
