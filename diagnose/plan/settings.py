"""What the person at the vehicle has and pays: tools, skill, a helper, the price of an hour, what was agreed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from diagnose.case.fields import Strict, Word

Skill = Annotated[Literal["home", "workshop", "specialist"], Word]
SKILLS = ("home", "workshop", "specialist")


def _steps(value: Any) -> Any:
    return (value,) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


class Settings(Strict):
    """Defaults say: a workshop's skill, every tool, a helper at hand, no price (costs are then given in hours).

    Prices are in the money of `labour_rate`; without one, in hours' pay.
    """

    labour_rate: Annotated[float | None, Field(gt=0, allow_inf_nan=False, description="price of an hour")] = None
    currency: str = ""
    parts_rate: Annotated[
        float | None,
        Field(
            gt=0,
            allow_inf_nan=False,
            description="price here of parts that the knowledge counts as one hour's worth; left out: labour_rate",
        ),
    ] = None
    prices: Annotated[
        Mapping[str, Annotated[float, Field(ge=0, allow_inf_nan=False)]],
        Field(description="own price, all told, of a procedure or repair by id"),
    ] = Field(default_factory=dict)
    tools: Annotated[tuple[str, ...] | None, Field(description="tools at hand; left out: every tool")] = None
    skill: Skill = "workshop"
    helper: Annotated[Literal["yes", "no"], Word] = "yes"
    budget: Annotated[
        tuple[Annotated[float, Field(ge=0, allow_inf_nan=False)], ...] | None,
        BeforeValidator(_steps),
        Field(description="what was agreed for tests, one amount for each time that it was asked for; left out: no limit"),
    ] = None
    spent: Annotated[float, Field(ge=0, allow_inf_nan=False, description="what of it the tests so far have used up")] = 0.0
    refused: Annotated[tuple[str, ...], Field(description="procedures and repairs that were refused, by id")] = ()

    @property
    def parts_factor(self) -> float:
        """Hours of labour here that buy the parts that the knowledge counts as one hour's worth."""
        return self.parts_rate / self.labour_rate if self.parts_rate and self.labour_rate else 1.0

    @property
    def agreed(self) -> float | None:
        """All that was agreed for tests so far; None: no limit."""
        return None if self.budget is None else sum(self.budget)

    @property
    def left(self) -> float | None:
        """Hours' pay that are left of what was agreed for tests; None: no limit."""
        return None if self.agreed is None else max(0.0, self.agreed - self.spent) / (self.labour_rate or 1.0)


def cost_word(hours: float, settings: Settings) -> str:
    """Hours of labour worth as money where a rate is set.

    >>> cost_word(0.5, Settings(labour_rate=80, currency="EUR")), cost_word(0.5, Settings())
    ('40 EUR', "0.5 hours' pay")
    """
    if hours == 0:
        return "nothing"
    if settings.labour_rate:
        return f"{hours * settings.labour_rate:.0f} {settings.currency}".strip()
    return f"{hours:.2g} hours' pay"
