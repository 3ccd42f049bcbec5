"""One thing somebody saw, smelt, heard or measured, with its conditions. Only people, instruments and logs make observations."""

from __future__ import annotations

import datetime as dt
import math
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator, model_validator

from diagnose.case.fields import UNKNOWN_WORDS, Bar, Days, DegC, Km, Litres, Minutes, Rpm, Strict, Word, YesNo

ENGINE_STATES = ("cold", "warming", "warm", "loaded", "hot_off", "opened_running", "cranking")
SILENT = ("unknown", "not_looked_at")  # answers that carry nothing
_ANSWERS = {
    "y": "yes", "true": "yes", "present": "yes", "seen": "yes", "n": "no", "false": "no", "absent": "no", "maybe": "unsure",
    "perhaps": "unsure", "not sure": "unsure", "not looked": "not_looked_at", "not looked at": "not_looked_at",
    "not checked": "not_looked_at", "can't do that": "not_looked_at", "cannot": "not_looked_at", "skipped": "not_looked_at",
}  # fmt: skip


class Conditions(Strict):
    """The circumstances of an observation; each is optional, and unknown where left out."""

    engine: Annotated[
        Literal["cold", "warming", "warm", "loaded", "hot_off", "opened_running", "cranking"] | None,
        Word,
        Field(description="engine at that moment; opened_running: opened cold, running, cap off; hot_off: switched off hot"),
    ] = None
    ambient: DegC = None
    damp_air: Annotated[YesNo, Field(description="rain, fog or damp air")] = None
    minutes_since_start: Minutes = None
    minutes_since_stop: Minutes = None
    rpm: Rpm = None
    sample_temperature: Annotated[DegC, Field(description="temperature of the coolant sample or engine part measured")] = None
    instrument: Annotated[str | None, Word, Field(description="what it was measured with")] = None
    scale: Annotated[Literal["ethylene", "propylene"] | None, Word, Field(description="scale read on a float tester or refractometer")] = (
        None
    )
    compensated: Annotated[YesNo, Field(description="instrument corrects for temperature itself")] = None
    after_refill: Annotated[YesNo, Field(description="within a few days after the system was opened and refilled")] = None
    days_since_work: Days = None
    blank_done: Annotated[YesNo, Field(description="the tester was first tried on clean air")] = None
    liquid_carried_over: Annotated[YesNo, Field(description="liquid coolant got into the tester")] = None
    level_ground: YesNo = None
    loads_on: Annotated[YesNo, Field(description="electrical consumers switched on")] = None
    block_voltage: Annotated[str | None, Field(description="block to battery negative at the same time, e.g. 0.02 V")] = None
    minutes: Annotated[Minutes, Field(description="how long the test lasted")] = None
    temperature_change: Annotated[str | None, Field(description="change of the engine's temperature during the test, e.g. -3 K")] = None
    gas_volume: Annotated[Litres, Field(description="air space in the system")] = None
    over_distance: Annotated[Km, Field(description="distance over which coolant was lost")] = None
    start_pressure: Annotated[Bar, Field(description="pressure at which a pressure test began")] = None
    limit: Annotated[str | None, Field(description="the maker's or the instrument's limit, e.g. 9 bar or 20 %")] = None
    wet: Annotated[YesNo, Field(description="compression read again with a spoon of oil in the cylinder")] = None
    heard: Annotated[str | None, Field(description="where air was heard: coolant, next cylinder, crankcase, intake, exhaust")] = None
    banks: Annotated[str | None, Field(description="cylinders that share a head gasket, in their order, e.g. 1 3 5 / 2 4 6")] = None
    table: Annotated[str | None, Field(description="two points of the maker's table, e.g. 25 C = 2500 ohm, 90 C = 310 ohm")] = None
    usual: Annotated[DegC, Field(description="what this engine usually shows when all is well")] = None
    surface: Annotated[str | None, Word, Field(description="what an infrared thermometer looked at: rubber, tape, bare aluminium …")] = None
    ac_voltage: Annotated[str | None, Field(description="alternating voltage at the same points, e.g. 0.05 V")] = None
    cylinder: str | None = None
    times: Annotated[int | None, Field(ge=1, le=1000, description="how many times it was seen or tried")] = None
    by: Annotated[str | None, Field(description="who says so: self, customer, workshop …")] = None
    on: Annotated[dt.date | None, Field(description="day, as 2026-11-25")] = None
    at: Annotated[str | None, Field(description="time of day, as 14:30")] = None
    note: str | None = None

    @field_validator("over_distance", "gas_volume")
    @classmethod
    def _positive(cls, value: float | None) -> float | None:
        if value is not None and value <= 0:
            raise ValueError("must be more than nothing")
        return value


class Observation(Conditions):
    """`of` names a finding or a reading; `answer` is a word (yes, no, unsure, unknown, not_looked_at, a band), a quantity
    as written, or a series: label -> quantity as written (cylinders, minutes, load steps)."""

    of: str
    answer: str | float | dict[str, str | float]

    @model_validator(mode="before")
    @classmethod
    def _shape(cls, raw: Any) -> Any:
        if not isinstance(raw, dict):
            raise ValueError("an observation is written as 'name: answer', with its conditions below")
        out = {k: v for k, v in raw.items() if k in cls.model_fields}
        rest = {k: v for k, v in raw.items() if k not in cls.model_fields}
        if "of" in out:
            if rest:
                raise ValueError(f"'{next(iter(rest))}' is not a condition; allowed: {', '.join(sorted(Conditions.model_fields))}")
        elif len(rest) == 1:
            out["of"], out["answer"] = next(iter(rest.items()))
        elif not rest:
            raise ValueError("names no finding or reading: write 'name: answer'")
        else:
            names = ", ".join(rest)
            raise ValueError(f"names more than one thing ({names}); allowed conditions: {', '.join(sorted(Conditions.model_fields))}")
        out["answer"] = _answer(out.get("answer"))
        return out


def _answer(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "unknown"
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise ValueError("the answer is not a usable number")
        return float(value)
    if isinstance(value, list):
        return {str(i): _item(v) for i, v in enumerate(value, start=1)}
    if isinstance(value, dict):
        if not value:
            raise ValueError("the series is empty")
        return {str(k): _item(v) for k, v in value.items()}
    text = str(value).strip()
    low = text.lower().replace("_", " ")
    if low in UNKNOWN_WORDS:
        return "unknown"
    return _ANSWERS.get(low, low.replace(" ", "_") if low.replace(" ", "").isalpha() else text)


def _item(value: Any) -> Any:
    if isinstance(value, (int, float, str)) and not isinstance(value, bool):
        return float(value) if isinstance(value, int) else value
    raise ValueError("each item of a series is one quantity")
