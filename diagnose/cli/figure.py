"""How a derivation's result is shown at the shell: as lines, or as JSON."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Annotated, Any

import typer

from diagnose.derive.measure import CannotJudge, Measure
from diagnose.errors import DiagnoseError, InputError, Problem

Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]
_FIT = "How well the readings fit each explanation, the best at 1.00. Not the chance of a fault."


@contextmanager
def judged() -> Iterator[None]:
    """Turn a derivation's refusal into an error for the person. Raises DiagnoseError."""
    try:
        yield
    except CannotJudge as refusal:
        raise DiagnoseError(f"Cannot judge: {refusal}.") from refusal


def quantity(text: str | None, unit: str) -> float | None:
    """`text` as a number in the canonical `unit`; None stays None. Raises InputError."""
    from diagnose.case.quantity import parse  # lazily: the units library is slow to load

    return None if text is None else parse(text, unit)


def needed(text: str, unit: str) -> float:
    """As `quantity`, for what must be given. Raises InputError."""
    from diagnose.case.quantity import parse

    return parse(text, unit)


def pairs(texts: Sequence[str] | None, unit: str, option: str) -> dict[str, float]:
    """Repeated `NAME=QUANTITY` as a mapping. Raises InputError.

    >>> pairs(["2=6.2"], "bar", "--wet")
    {'2': 6.2}
    """
    result: dict[str, float] = {}
    for text in texts or ():
        name, sign, value = text.partition("=")
        if not sign or not name.strip():
            raise InputError(Problem(f"{option} {text!r} is not a name and a reading", allowed=f"Write {option} NAME=READING."))
        if name.strip() in result:
            raise InputError(Problem(f"{option} gives {name.strip()!r} twice", allowed="Give each name once."))
        result[name.strip()] = needed(value, unit)
    return result


def cylinders(values: Mapping[str, float], option: str) -> dict[int, float]:
    """Names as cylinder numbers. Raises InputError.

    >>> cylinders({"2": 6.2}, "--wet")
    {2: 6.2}
    """
    try:
        return {int(name): value for name, value in values.items()}
    except ValueError:
        raise InputError(Problem(f"{option} needs cylinder numbers", allowed=f"Write {option} 2=READING.")) from None


def show(result: Any, as_json: bool) -> None:
    """Print a derivation's dataclass or Measure."""
    if as_json:
        typer.echo(json.dumps(_plain(result), ensure_ascii=False, indent=2))
        return
    if isinstance(result, Measure):
        typer.echo(_measure(result))
        return
    for name, value in _items(result):
        _lines(name, value)


# How the names of the figures are said; chances are printed in percent.
_SAID = {
    "passes": "chance that it holds at the cap's rating",
    "capped": "chance that the cap opens first",
    "holds": "chance that it holds",
    "vacuum": "chance that the vacuum valve is in order",
    "sound": "chance that all that was tested is in order",
    "even": "chance that the cylinders are even enough",
    "above_limit": "chance that the lowest is above the maker's limit",
    "low": "chance that a cylinder reads low",
    "over": "chance that it is over the limit",
    "opens_hot": "chance that it leaks more hot than cold",
    "circuits": "chance that it adds voltage",
    "block_rise": "chance that the ground strap loses too much",
    "patches": "chance of a cold patch",
    "would_set": "chance that this sets the code",
    "gas": "chance of this reading if combustion gas enters",
    "no_gas": "chance of this reading if none does",
    "ratio": "so many times likelier with gas than without (1 says nothing)",
    "expected_co2": "CO2 of this exhaust, vol %",
    "first_clear_minutes": "first clear after minutes",
    "pairs": "neighbours both low",
    "lost_ml": "coolant lost",
    "also_sets": "also set by",
}
_CHANCES = {name for name, words in _SAID.items() if words.startswith("chance")}


def _lines(name: str, value: Any) -> None:
    label = _SAID.get(name, name.replace("_", " "))
    if value is None or value == () or value == {}:
        return
    if label == "notes":
        for note in value:
            typer.echo(f"- {note}")
    elif isinstance(value, Mapping):
        typer.echo(f"{label}:")
        if label == "likelihood" and abs(sum(value.values()) - 1.0) > 1e-6:
            typer.echo(f"  ({_FIT})")
        whole = label == "likelihood" and abs(sum(value.values()) - 1.0) <= 1e-6
        for key, item in value.items():
            typer.echo(f"  {key}: {_percent(item) if whole or name in _CHANCES else _word(item)}")
    else:
        typer.echo(f"{label}: {_percent(value) if name in _CHANCES else _word(value)}")


def _items(result: Any) -> list[tuple[str, Any]]:
    """Fields of a derivation's dataclass, and what it computes of them, in order; notes last."""
    computed = [name for name, kind in vars(type(result)).items() if isinstance(kind, property)]
    names = [f.name for f in dataclasses.fields(result) if f.name != "notes"] + computed
    names += ["notes"] if hasattr(result, "notes") else []
    return [(name, getattr(result, name)) for name in names]


def _percent(chance: float) -> str:
    """A chance in whole percent, never said as certain.

    >>> _percent(0.9999), _percent(0.42), _percent(0.0)
    ('over 99 %', '42 %', 'under 1 %')
    """
    return "over 99 %" if chance > 0.99 else "under 1 %" if chance < 0.01 else f"{100 * chance:.0f} %"


def _word(value: Any) -> str:
    if isinstance(value, Measure):
        return _measure(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.2f}"
    if isinstance(value, tuple):
        return ", ".join("-".join(map(str, v)) if isinstance(v, tuple) else str(v) for v in value)
    return str(value)


def _measure(m: Measure) -> str:
    how = "; ".join(part for part in (m.formula, m.source) if part)
    value = 0.0 if abs(m.value) < 1e-9 else m.value
    return f"{value:.3g} ± {m.sd:.2g} {m.unit}".rstrip() + (f" ({how})" if how else "")


def _plain(value: Any) -> Any:
    """Dataclasses as objects, tuples as lists, numbers rounded so that the text is the same everywhere."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {name: _plain(item) for name, item in _items(value)}
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(v) for v in value]
    return round(value, 6) if isinstance(value, float) else value
