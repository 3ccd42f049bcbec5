"""The case: vehicle, complaint, observations and what was done, in time. Order does not matter within an epoch."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from diagnose.case.fields import Strict, Word, YesNo
from diagnose.case.observation import Observation
from diagnose.case.vehicle import Vehicle


class Done(Strict):
    """Something done to the vehicle: a repair of the knowledge by id, or in free words. It starts a new epoch."""

    repair: str | None = None
    what: str | None = None
    on: dt.date | None = None
    found: Annotated[tuple[str, ...], Field(description="faults that were then seen to be there, by id: what was really wrong")] = ()
    note: str | None = None


class Case(Strict):
    """All that is known about one vehicle's trouble. Holds every date itself: nothing reads a clock."""

    title: str | None = None
    invented: Annotated[YesNo, Field(description="yes where the vehicle and its story are made up")] = None
    why_here: Annotated[
        Literal["complaint", "routine", "second_opinion"],
        Word,
        Field(description="why the vehicle is looked at; changes what is to be expected"),
    ] = "complaint"
    complaint: Annotated[str | None, Field(description="what was said, in the customer's words; kept, not read")] = None
    proposal: Annotated[str | None, Field(description="what somebody proposes to do, such as: head gasket; for a second opinion")] = None
    vehicle: Vehicle = Field(default_factory=Vehicle)
    observations: tuple[Observation, ...] = ()
    done: tuple[Done, ...] = ()
    expect: Annotated[dict[str, Any] | None, Field(description="what the worked case asserts; not read when assessing")] = None

    @field_validator("vehicle", mode="before")
    @classmethod
    def _no_vehicle(cls, value: Any) -> Any:
        return {} if value is None else value

    @field_validator("observations", mode="before")
    @classmethod
    def _listed(cls, value: Any) -> Any:
        if value is None:
            return ()
        if isinstance(value, dict):
            return tuple({"of": key, "answer": answer} for key, answer in value.items())
        return value

    @field_validator("done", mode="before")
    @classmethod
    def _done(cls, value: Any) -> Any:
        return () if value is None else value
