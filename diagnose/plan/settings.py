"""What the person at the vehicle has and pays: tools, skill, a helper, the price of an hour, what was agreed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from diagnose.case.fields import Strict, Word

Skill = Annotated[Literal["home", "workshop", "specialist"], Word]
SKILLS = ("home", "workshop", "specialist")


class Settings(Strict):
    """Defaults say: a workshop's skill, every tool, a helper at hand, no price (costs are then given in hours)."""

    labour_rate: Annotated[float | None, Field(gt=0, description="price of an hour")] = None
    currency: str = ""
    parts_rate: Annotated[
        float | None, Field(gt=0, description="price here of parts that the knowledge counts as one hour's worth; left out: labour_rate")
    ] = None
    prices: Annotated[
        Mapping[str, Annotated[float, Field(ge=0)]], Field(description="own price, all told, of a procedure or repair by id")
    ] = Field(default_factory=dict)
    tools: Annotated[tuple[str, ...] | None, Field(description="tools at hand; left out: every tool")] = None
    skill: Skill = "workshop"
    helper: Annotated[Literal["yes", "no"], Word] = "yes"
    budget: Annotated[float | None, Field(ge=0, description="hours' pay agreed for tests so far; left out: no limit")] = None
    refused: Annotated[tuple[str, ...], Field(description="procedures and repairs that were refused, by id")] = ()

    @property
    def parts_factor(self) -> float:
        """Hours of labour here that buy the parts that the knowledge counts as one hour's worth."""
        return self.parts_rate / self.labour_rate if self.parts_rate and self.labour_rate else 1.0
