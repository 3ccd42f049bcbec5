"""What a model has against some data, said for people: the field, what was wrong, what is allowed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel, ValidationError

from diagnose.case.fields import Allowed, allowed_of
from diagnose.case.quantity import parse
from diagnose.errors import InputError, Problem, did_you_mean
from diagnose.yamlfile import Document, Path_


def spelled(allowed: Allowed, optional: bool = True) -> str:
    """What a field takes, as a sentence."""
    if allowed.words:
        return f"Allowed: {', '.join([*allowed.words, *(['unknown'] if optional else [])])}."
    if allowed.unit:
        return f"Allowed: a number with a unit, such as 1 {allowed.unit}; or unknown."
    return "Allowed: text on one line."


def shown(value: Any) -> str:
    """A value for a message: short, on one line."""
    text = " ".join(str(value).split())
    return text if len(text) <= 60 else text[:57] + "..."


def unknown_field(word: str, known: list[str], what: str) -> tuple[str, str]:
    """Message and what is allowed, for a key that is not known."""
    hint = did_you_mean(word, known)
    return f"'{shown(word)}' is not {what}", hint or f"Allowed: {', '.join(known)}."


def complaints(
    why: ValidationError, model: type[BaseModel], raw: dict[str, Any], document: Document, path: Path_, what: str
) -> Iterator[Problem]:
    """One problem for each thing that pydantic found in `raw`, read from `path` of the document."""
    allowed = allowed_of(model)
    for error in why.errors(include_url=False, include_context=False):
        place = tuple(p for p in error["loc"] if isinstance(p, (str, int)))
        name = str(place[0]) if place else ""
        value = raw.get(name) if name else None
        at = (*path, *place[:1])
        if error["type"] == "extra_forbidden":
            yield document.problem(at, *unknown_field(name, sorted(model.model_fields), what))
        elif name in allowed:
            optional = model.model_fields[name].default is None
            yield from _field(error["type"], str(error["msg"]), name, value, allowed[name], optional, document, at)
        else:
            about = name or str(raw.get("of", ""))
            yield document.problem(at, f"{about + ': ' if about else ''}{_clean(str(error['msg']))}")


def _field(
    kind: str, message: str, name: str, value: Any, allowed: Allowed, optional: bool, document: Document, at: Path_
) -> Iterator[Problem]:
    if allowed.words:
        hint = did_you_mean(str(value), allowed.words)
        yield document.problem(at, f"{name}: '{shown(value)}' is not allowed here", f"{hint} {spelled(allowed, optional)}".strip())
    elif allowed.unit:
        yield from (document.problem(at, f"{name}: {p.message}", p.allowed) for p in _quantity(value, allowed, message))
    elif kind.startswith("date"):
        yield document.problem(at, f"{name}: '{shown(value)}' is not a day", "Write it as 2026-11-25.")
    elif name == "times":
        yield document.problem(at, f"times: '{shown(value)}' is not a count", "Allowed: a whole number from 1 to 1000.")
    elif kind == "string_type":
        yield document.problem(at, f"{name}: text is needed here", spelled(allowed))
    else:
        yield document.problem(at, f"{name}: {_clean(message)}")


def _quantity(value: Any, allowed: Allowed, message: str) -> Iterator[Problem]:
    if not isinstance(value, (str, int, float)):
        yield Problem("one number is needed here", allowed=spelled(allowed))
        return
    try:
        parse(value, allowed.unit)
    except InputError as why:
        yield from why.problems
    else:
        yield Problem(_clean(message), allowed=spelled(allowed))


def _clean(message: str) -> str:
    return message.removeprefix("Value error, ").removeprefix("Assertion failed, ")
