"""JSON schemas for editors and for programs that read the answers."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, TypeAdapter

from diagnose.case.case import Case, Done
from diagnose.case.fields import allowed_of
from diagnose.case.observation import Conditions
from diagnose.case.vehicle import Vehicle
from diagnose.intake.blank import answers
from diagnose.knowledge.knowledge import Knowledge

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_WRITTEN: dict[str, Any] = {"type": ["string", "number", "null"]}


def case_schema(knowledge: Knowledge) -> dict[str, Any]:
    """A case as it is written by hand: quantities with their units, observations as 'name: answer'."""
    observed: dict[str, Any] = {name: {"description": f"{f.name}; {answers(f)}"} for name, f in knowledge.findings.items()}
    observed.update({name: {"description": f"{r.name}; in {r.unit}"} for name, r in knowledge.readings.items()})
    item = {
        "type": "object",
        "properties": {"of": {"type": "string"}, "answer": {}, **_fields(Conditions), **observed},
        "additionalProperties": {"description": "another name of a finding"},
    }
    done = {"anyOf": [{"type": "string"}, {"type": "object", "properties": _fields(Done), "additionalProperties": False}]}
    top = _fields(Case)
    top["vehicle"] = {"type": ["object", "null"], "properties": _fields(Vehicle), "additionalProperties": False}
    top["observations"] = {"anyOf": [{"type": "array", "items": item}, {"type": "object"}, {"type": "null"}]}
    top["done"] = {"anyOf": [{"type": "array", "items": done}, {"type": "null"}]}
    top["expect"] = {"type": ["object", "null"]}
    return {"$schema": DRAFT, "title": "case", "type": "object", "properties": top, "additionalProperties": False}


def _fields(model: type[BaseModel]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, allowed in allowed_of(model).items():
        entry: dict[str, Any] = {"enum": [*allowed.words, "unknown", None]} if allowed.words else dict(_WRITTEN)
        said = model.model_fields[name].description
        unit = f"a quantity, such as 1 {allowed.unit}" if allowed.unit else ""
        if said or unit:
            entry["description"] = "; ".join(part for part in (said, unit) if part)
        out[name] = entry
    return out


def model_schema(model: Any) -> dict[str, Any]:
    """The schema of what a model prints."""
    return {"$schema": DRAFT, **TypeAdapter(model).json_schema(mode="serialization")}
