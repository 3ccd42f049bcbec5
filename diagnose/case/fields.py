"""Building blocks of the case models: quantities with a unit, choices, yes/no, and a table of what each field allows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict

from diagnose.case.quantity import parse
from diagnose.errors import InputError

UNKNOWN_WORDS = ("unknown", "not known", "don't know", "dont know", "?", "")


@dataclass(frozen=True)
class Unit:
    """Canonical unit of a quantity field; the stored number is in it."""

    name: str


def _quantity(unit: str) -> BeforeValidator:
    def read(value: Any) -> Any:
        if value is None or (isinstance(value, str) and value.strip().lower() in UNKNOWN_WORDS):
            return None
        if not isinstance(value, (str, int, float)) or isinstance(value, bool):
            raise ValueError(f"a number with a unit is needed, such as 1 {unit}")
        try:
            return parse(value, unit)
        except InputError as why:
            raise ValueError(str(why)) from None

    return BeforeValidator(read)


def _word(value: Any) -> Any:
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value).strip().lower().replace(" ", "_").replace("-", "_")
    if text in ("true", "y"):
        return "yes"
    if text in ("false", "n", "none") and text != "none":
        return "no"
    return None if text.replace("_", " ") in UNKNOWN_WORDS else text


Word = BeforeValidator(_word)
DegC = Annotated[float | None, _quantity("degC"), Unit("degC")]
Bar = Annotated[float | None, _quantity("bar"), Unit("bar")]
Metres = Annotated[float | None, _quantity("m"), Unit("m")]
Km = Annotated[float | None, _quantity("km"), Unit("km")]
Litres = Annotated[float | None, _quantity("L"), Unit("L")]
Minutes = Annotated[float | None, _quantity("min"), Unit("min")]
Rpm = Annotated[float | None, _quantity("rpm"), Unit("rpm")]
Days = Annotated[float | None, _quantity("days"), Unit("days")]
Years = Annotated[float | None, _quantity("years"), Unit("years")]
Kelvin = Annotated[float | None, _quantity("K"), Unit("K")]
YesNo = Annotated[Literal["yes", "no"] | None, Word]


class Strict(BaseModel):
    """No unknown keys, no change after reading."""

    # built when first used: most runs read the knowledge ready-made and never validate an entry of it
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


@dataclass(frozen=True)
class Allowed:
    """What a field takes: a choice of words, or a quantity in `unit`, or free text (both empty)."""

    words: tuple[str, ...] = ()
    unit: str = ""

    def __str__(self) -> str:
        return "one of: " + ", ".join(self.words) if self.words else f"a quantity in {self.unit}" if self.unit else "text"


def _parts(annotation: Any) -> list[Any]:
    found: list[Any] = []
    for part in get_args(annotation):
        found.extend(_parts(part) if get_origin(part) is not None and get_origin(part) is not Literal else [part])
    return found or [annotation]


def allowed_of(model: type[BaseModel]) -> dict[str, Allowed]:
    """What each field of `model` allows, by field name."""
    out: dict[str, Allowed] = {}
    for name, info in model.model_fields.items():
        unit = next((m.name for m in info.metadata if isinstance(m, Unit)), "")
        words: tuple[str, ...] = ()
        for part in [info.annotation, *_parts(info.annotation)]:
            if get_origin(part) is Literal:
                words = tuple(str(w) for w in get_args(part))
            for extra in getattr(part, "__metadata__", ()):
                if isinstance(extra, Unit):
                    unit = extra.name
        out[name] = Allowed(words, unit)
    return out
