"""Reading what stands under an observation: one quantity, a series of them, or a small table written on one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from diagnose.case.observation import Observation
from diagnose.case.quantity import parse, split
from diagnose.errors import InputError, Problem, did_you_mean

_POINT_UNITS = (
    "°c",
    "c",
    "degc",
    "deg c",
    "celsius",
    "degrees c",
    "º c",
    "ºc",
    "° c",
    "°f",
    "f",
    "degf",
    "deg f",
    "fahrenheit",
    "degrees f",
)
_FAR_K = 45.0  # a bare number beyond this, where a difference in K is asked, is a temperature: no margin is that wide


def single(observation: Observation, unit: str) -> float:
    """The one quantity of an observation in `unit`. Raises InputError for a word or a series."""
    answer = observation.answer
    if isinstance(answer, dict):
        raise InputError(Problem("one quantity is needed here, not a series", allowed=f"Write for example 1 {unit}."))
    return parse(answer, unit)


def series(observation: Observation, unit: str) -> dict[str, float]:
    """Label to quantity in `unit`, labels in lower case with underscores. Raises InputError where it is not a series."""
    return {word(label): parse(value, unit) for label, value in raw_series(observation).items()}


def raw_series(observation: Observation) -> Mapping[str, str | float]:
    """Label to quantity as written. Raises InputError where the observation is not a series."""
    if not isinstance(observation.answer, dict):
        raise InputError(Problem(f"'{observation.answer}' is not a series", allowed="Write it as {label: quantity, label: quantity}."))
    return observation.answer


def named(observation: Observation, units: Mapping[str, str]) -> dict[str, float]:
    """A series whose labels are known and have each their own unit: label to quantity. Raises InputError for another label."""
    out = {}
    for label, value in raw_series(observation).items():
        name = word(label)
        if name not in units:
            raise InputError(
                Problem(f"'{label}' is not known here", allowed=f"{did_you_mean(name, units)} Allowed: {', '.join(units)}.".strip())
            )
        out[name] = parse(value, units[name])
    return out


def word(label: str) -> str:
    """A label as it is compared: lower case, underscores.

    >>> word("Heated rear-window")
    'heated_rear_window'
    """
    return "_".join(re.split(r"[\s_-]+", label.strip().lower()))


def cylinders(observation: Observation, unit: str) -> dict[int, float]:
    """Cylinder number to quantity. Raises InputError where a label is no cylinder number."""
    out = {}
    for label, value in raw_series(observation).items():
        number = re.fullmatch(r"(?:cyl(?:inder)?\.?\s*)?(\d{1,2})", label.strip().lower())
        if not number or not 1 <= int(number[1]) <= 16:
            raise InputError(Problem(f"'{label}' is not a cylinder", allowed="Label the figures with the cylinder's number, 1 to 16."))
        out[int(number[1])] = parse(value, unit)
    return out


def pairs(text: str, left: str, right: str) -> list[tuple[float, float]]:
    """Points written on one line, as '25 C = 2500 ohm, 90 C = 310 ohm'; `left` and `right` are their units. Raises InputError.

    >>> pairs("25 C = 2.5 kohm, 90 C = 310 ohm", "degC", "ohm")
    [(25.0, 2500.0), (90.0, 310.0)]
    """
    out = []
    for point in re.split(r"[;,](?=\s)|;", text):
        first, found, second = point.partition("=")
        if not found:
            raise InputError(
                Problem(f"'{point.strip()}' is not a point of a table", allowed=f"Write for example: 25 {left} = 2500 {right}, …")
            )
        out.append((parse(first.strip(), left), parse(second.strip(), right)))
    return out


def numbers(text: str) -> list[list[int]]:
    """Rows of whole numbers: '1 3 5 / 2 4 6'. Raises InputError.

    >>> numbers("1-3-5 / 2-4-6")
    [[1, 3, 5], [2, 4, 6]]
    """
    rows = [[int(n) for n in re.findall(r"\d+", row)] for row in text.split("/")]
    if not all(rows):
        raise InputError(Problem(f"'{text}' names no cylinders", allowed="Write for example: 1 3 5 / 2 4 6."))
    return rows


def is_point(value: str | float) -> bool:
    """Whether a quantity is a temperature and not a difference: by its unit; a bare number by being beyond 45.

    >>> is_point("98 degC"), is_point("12 K"), is_point(98.0), is_point(-12.0)
    (True, False, True, False)
    """
    if isinstance(value, str):
        number, unit = split(value)
        if unit:
            return unit.strip().lower() in _POINT_UNITS
        value = number
    return abs(value) > _FAR_K


def is_number(value: str | float) -> bool:
    """Whether an answer is a quantity rather than a word: it holds a digit.

    >>> is_number("0.4 V"), is_number("spent"), is_number(3.0)
    (True, False, True)
    """
    return isinstance(value, float) or any(c.isdigit() for c in value)


def unique(notes: Iterable[str]) -> tuple[str, ...]:
    """Notes without repeats, in their order."""
    return tuple(dict.fromkeys(n for n in notes if n))
