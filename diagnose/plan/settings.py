"""What the person at the vehicle has and pays: tools, skill, a helper, the price of an hour."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.case.fields import Strict, Word

Skill = Annotated[Literal["home", "workshop", "specialist"], Word]
SKILLS = ("home", "workshop", "specialist")


class Settings(Strict):
    """Defaults say: a workshop's skill, every tool, a helper at hand, no price (costs are then given in hours)."""

    labour_rate: Annotated[float | None, Field(gt=0, description="price of an hour")] = None
    currency: str = ""
    tools: Annotated[tuple[str, ...] | None, Field(description="tools at hand; left out: every tool")] = None
    skill: Skill = "workshop"
    helper: Annotated[Literal["yes", "no"], Word] = "yes"
