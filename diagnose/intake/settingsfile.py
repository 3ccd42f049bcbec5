"""What this person has and pays, from a settings file in the platform's usual place, with options put over it."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from diagnose.errors import InputError, Problem, did_you_mean
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import SKILLS, Settings
from diagnose.yamlfile import Document, read

FIELDS = tuple(Settings.model_fields)
# The words of other people for the same thing.
ALSO = {"rate": "labour_rate", "labor_rate": "labour_rate", "hourly_rate": "labour_rate", "price": "prices", "agreed": "budget"}
_ALLOWED = {
    "labour_rate": "the price of an hour, more than 0",
    "currency": "a word, such as EUR",
    "parts_rate": "a price, more than 0",
    "prices": "lines of 'id: price' for procedures and repairs, prices not below 0",
    "tools": "a list of tools",
    "skill": ", ".join(SKILLS),
    "helper": "yes, no",
    "budget": "an amount, or a list of amounts agreed one after another, none below 0",
    "spent": "an amount, not below 0",
    "refused": "a list of ids of procedures and repairs",
}


def place() -> Path:
    """Where the settings file lies: `DIAGNOSE_SETTINGS`, else the platform's place for settings (under ~/.config on Linux)."""
    named = os.environ.get("DIAGNOSE_SETTINGS")
    if named:
        return Path(named)
    import platformdirs

    return Path(platformdirs.user_config_path("diagnose")) / "settings.yaml"


def owned(knowledge: Knowledge, given: Mapping[str, Any], path: Path | None = None) -> Settings:
    """Settings from the file, where there is one, with what was `given` on the command line put over them.

    `path`: a file that must be there; left out, the usual place is looked at. Raises InputError for a file or a value that cannot be
    used, with file and line or the option's name.
    """
    reader = _Reader(knowledge)
    where = path or place()
    found = reader.file(read(where)) if path or where.is_file() else {}
    found.update(reader.options(given))
    if reader.problems:
        raise InputError(*reader.problems)
    return Settings.model_validate(found)


@dataclass(frozen=True)
class _At:
    """Where a value stands: in a file, or behind an option."""

    document: Document | None
    field: str

    def problem(self, message: str, allowed: str, *path: str | int) -> Problem:
        if self.document is None:
            return Problem(f"--{option_of(self.field)}: {message}", allowed=allowed)
        return self.document.problem((self.field, *path), f"{self.field}: {message}", allowed)


def option_of(field: str) -> str:
    """The option that goes with a setting.

    >>> option_of("labour_rate"), option_of("prices")
    ('labour-rate', 'price')
    """
    return "price" if field == "prices" else field.replace("_", "-")


class _Reader:
    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.problems: list[Problem] = []

    def file(self, document: Document) -> dict[str, Any]:
        if document.data is None:
            return {}
        if not isinstance(document.data, dict):
            raise InputError(document.problem((), "is not lines of 'field: value'", f"Fields: {', '.join(FIELDS)}."))
        out: dict[str, Any] = {}
        for key, value in document.data.items():
            if key not in FIELDS:
                near = f"Did you mean {ALSO[key]}?" if key in ALSO else did_you_mean(key, FIELDS)
                hint = f"{near} Allowed: {', '.join(FIELDS)}.".strip()
                self.problems.append(document.problem((key,), f"'{key}' is not a setting", hint))
            elif value is not None:
                self._take(out, _At(document, key), value)
        return out

    def options(self, given: Mapping[str, Any]) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for field, value in given.items():
            if value is not None:
                self._take(out, _At(None, field), value)
        return out

    def _take(self, out: dict[str, Any], at: _At, value: Any) -> None:
        field = at.field
        if field == "tools":
            value = self._known(at, value, sorted({t for p in self.knowledge.procedures.values() for t in p.tools}), "a tool")
        elif field == "refused":
            value = self._known(at, value, self._priced(), "a procedure or repair")
        elif field == "prices":
            value = self._prices(at, value)
        elif field == "budget" and isinstance(value, str):
            value = [_number(w) for w in value.split(",")]
        if field == "skill" and isinstance(value, str):
            value = value.strip().lower()
        try:
            Settings.model_validate({field: value})
        except ValidationError as why:
            inner = [tuple(p for p in e["loc"][1:] if isinstance(p, (str, int))) for e in why.errors()]
            self.problems.append(at.problem(_said(field, value), f"Allowed: {_ALLOWED[field]}.", *inner[0]))
            return
        out[field] = value

    def _priced(self) -> list[str]:
        return sorted([*self.knowledge.procedures, *self.knowledge.repairs])

    def _known(self, at: _At, raw: Any, known: list[str], what: str) -> list[str]:
        words = raw.split(",") if isinstance(raw, str) else raw if isinstance(raw, (list, tuple)) else [raw]
        out = []
        for i, word in enumerate(words):
            name = _id(word)
            if name and name not in known:
                self.problems.append(at.problem(f"'{word}' is not {what} known here", _near(name, known), i))
            elif name:
                out.append(name)
        return list(dict.fromkeys(out))

    def _prices(self, at: _At, raw: Any) -> Any:
        pairs: Iterable[tuple[str, Any]]
        if isinstance(raw, dict):
            pairs = raw.items()
        elif isinstance(raw, (list, tuple)) and all(isinstance(w, str) and "=" in w for w in raw):
            pairs = [(w.split("=", 1)[0], _number(w.split("=", 1)[1])) for w in raw]
        else:
            return raw
        out = {}
        for word, price in pairs:
            if _id(word) not in self._priced():
                self.problems.append(
                    at.problem(f"'{word}' is not a procedure or repair known here", _near(_id(word), self._priced()), word)
                )
            else:
                out[_id(word)] = price
        return out


def _id(word: Any) -> str:
    return str(word).strip().lower().replace(" ", "_").replace("-", "_")


def _number(word: str) -> Any:
    try:
        return float(word)
    except ValueError:
        return word


def _near(name: str, known: list[str]) -> str:
    few = f"Allowed: {', '.join(known)}." if len(known) < 60 else "'diagnose knowledge show NAME' finds ids."
    return did_you_mean(name, known) or few


def _said(field: str, value: Any) -> str:
    if field in ("labour_rate", "parts_rate"):
        return f"{value:g} is not a price" if isinstance(value, float) else f"{value} is not a price"
    shown = ", ".join(f"{k}={v}" for k, v in value.items()) if isinstance(value, dict) else value
    return f"'{', '.join(map(str, shown)) if isinstance(shown, list) else shown}' cannot be used"
