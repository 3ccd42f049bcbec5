"""What a second opinion says: the model behind the page and the JSON document."""

from __future__ import annotations

from pydantic import Field

from diagnose.assessment import Ask, Part, PlanStep


class Other(Part):
    """Something else that would explain what was found."""

    id: str
    name: str
    chance: float
    repair: str


class Overturn(Part):
    """What a result of the cheapest test that could overturn the proposal would do to it."""

    result: str
    chance: float
    chance_then: float = Field(description="chance that the proposed repair removes the cause, after this result")
    verdict_then: str


class CouldOverturn(Part):
    """The cheapest test that could overturn the proposal."""

    id: str
    name: str
    minutes: float
    cost: str
    results: list[Overturn]


class SecondOpinion(Part):
    """supported, premature or unsupported (or `none`: nothing was proposed), with its reasons. Costs in hours of labour worth."""

    format: str = "second opinion 1"
    asked: str = Field(description="the proposal in the words it was made in")
    understood: str = Field(description="what it was taken to mean")
    kind: str = Field(description="repair, waste, harm, leave or none")
    repairs: list[str]
    verdict: str = Field(description="supported, premature, unsupported, or none where nothing was proposed")
    headline: str
    urgency: str
    chance_removes: float = Field(description="chance that it removes the cause of what was found")
    break_even: float | None = Field(description="chance from which doing it now would be the cheapest course")
    cost: str
    hours_now: float = Field(description="expected cost of doing it now and going on from there")
    hours_best: float = Field(description="expected cost of the best course")
    reasons: list[str]
    others: list[Other]
    overturn: CouldOverturn | None
    first: list[PlanStep] = Field(description="what to do instead, or first")
    check_while_open: list[str]
    left_unexplained: list[str]
    drive: list[str]
    cautions: list[str]
    changes: list[str] = Field(description="this answer would change if …")
    ask: Ask | None = Field(default=None, description="the next test worth its price that is beyond the money agreed for tests")
    exact: bool
