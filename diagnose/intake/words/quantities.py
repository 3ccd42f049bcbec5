"""Numbers with units in what is said: figures and number words, and what a loss or a temperature amounts to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.intake.words.tokens import Token

NUMBERS = {
    "half": 0.5, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0, "six": 6.0, "seven": 7.0, "eight": 8.0, "nine": 9.0,
    "ten": 10.0, "twelve": 12.0, "fifteen": 15.0, "twenty": 20.0, "thirty": 30.0, "forty": 40.0, "fifty": 50.0, "sixty": 60.0,
    "hundred": 100.0, "thousand": 1000.0, "couple": 2.0, "few": 3.0, "dozen": 12.0,
}  # fmt: skip
_ARTICLES = ("a", "an", "per", "every", "each", "this", "last")
# spoken unit -> unit as quantities are written
UNITS = {
    "v": "V", "volt": "V", "volts": "V", "vdc": "V", "mv": "mV", "millivolt": "mV", "millivolts": "mV", "psi": "psi", "psig": "psi",
    "pounds": "psi", "lb": "psi", "bar": "bar", "kpa": "kPa", "l": "L", "litre": "L", "litres": "L", "liter": "L", "liters": "L",
    "ltr": "L", "ltrs": "L", "ml": "ml", "pint": "pint", "pints": "pint", "quart": "quart", "quarts": "quart", "qt": "quart",
    "gallon": "gal", "gallons": "gal", "cup": "cup", "cups": "cup", "cupful": "cup", "c": "degC", "degc": "degC", "celsius": "degC",
    "centigrade": "degC", "f": "degF", "degf": "degF", "fahrenheit": "degF", "degrees": "deg", "degree": "deg", "deg": "deg", "°": "deg",
    "mile": "mile", "miles": "mile", "mi": "mile", "km": "km", "kms": "km", "kilometres": "km", "kilometers": "km", "k": "km",
    "minute": "min", "minutes": "min", "min": "min", "mins": "min", "hour": "hour", "hours": "hour", "hr": "hour", "hrs": "hour",
    "day": "day", "days": "day", "week": "week", "weeks": "week", "fortnight": "fortnight",
    "month": "month", "months": "month", "year": "year",
    "years": "year", "yr": "year", "yrs": "year", "rpm": "rpm", "revs": "rpm", "percent": "%", "%": "%", "ppm": "ppm",
}  # fmt: skip
_LITRES = {"L": 1.0, "ml": 0.001, "pint": 0.57, "quart": 0.95, "gal": 4.0, "cup": 0.25}  # rounded: a poured amount is never exact
_KM = {"km": 1.0, "mile": 1.609344}
# What an ordinary vehicle drives, km; an assumption that is shown. Common practice, no source.
_USUAL_KM = {"day": 35.0, "week": 250.0, "fortnight": 500.0, "month": 1000.0}
_MINUTES = {"min": 1.0, "hour": 60.0}


@dataclass(frozen=True)
class Said:
    """A number as said, its unit (empty where none), and its tokens."""

    value: float
    unit: str
    at: tuple[int, int]

    @property
    def written(self) -> str:
        """As a quantity is written in a case."""
        return f"{self.value:g} {self.unit}".strip()


def numbers_in(tokens: Sequence[Token], first: int, last: int) -> list[Said]:
    """Every number in tokens[first:last], with its unit; 'a week' is 1 week only after 'a', 'per' or 'every'."""
    out: list[Said] = []
    i = first
    while i < last:
        value, used = _number(tokens, i, last)
        unit_at = i + used
        if used == 0 and tokens[i].word in _ARTICLES and i + 1 < last and tokens[i + 1].word in UNITS:
            value, used, unit_at = 1.0, 1, i + 1
        if used == 0:
            i += 1
            continue
        while unit_at < last and tokens[unit_at].word in ("of", "a", "an", "hundred", "thousand"):
            value *= {"hundred": 100.0, "thousand": 1000.0}.get(tokens[unit_at].word, 1.0)
            unit_at += 1
        if i > first and tokens[i - 1].word == "minus":
            value = -value
        unit = UNITS.get(tokens[unit_at].word, "") if unit_at < last else ""
        end = unit_at + 1 if unit else i + used
        if unit == "deg" and end < last and UNITS.get(tokens[end].word, "") in ("degC", "degF"):
            unit, end = UNITS[tokens[end].word], end + 1
        out.append(Said(value, "degC" if unit == "deg" and value < 150 else "degF" if unit == "deg" else unit, (i, end)))
        i = end
    return out


def _number(tokens: Sequence[Token], i: int, last: int) -> tuple[float, int]:
    word = tokens[i].word
    match = re.fullmatch(r"([-+−]?\d+(?:[.,]\d+)?)", word)
    if match:
        return float(word.replace("−", "-").replace(",", ".")), 1
    if word in NUMBERS and word not in ("hundred", "thousand"):
        if i + 2 < last and tokens[i + 1].word in ("or", "to") and tokens[i + 2].word in NUMBERS:
            return (NUMBERS[word] + NUMBERS[tokens[i + 2].word]) / 2.0, 3
        return NUMBERS[word], 1
    if word in ("hundred", "thousand") and i > 0 and tokens[i - 1].word in ("a", "every", "per"):
        return NUMBERS[word], 1
    return 0.0, 0


def loss_rate(numbers: Sequence[Said], remark: str = "") -> tuple[str, str] | None:
    """(litres per 1000 km as written, remark) where an amount and a distance or a time are said side by side; else nothing."""
    amounts = [n for n in numbers if n.unit in _LITRES]
    if not amounts:
        return None
    litres = amounts[0].value * _LITRES[amounts[0].unit]
    for other in numbers:
        if other.unit in _KM and other.value > 0:
            return (
                f"{1000.0 * litres / (other.value * _KM[other.unit]):.3g} L/1000km",
                remark or f"{litres:.2g} L in {other.value:g} {other.unit}",
            )
    for other in numbers:
        if other.unit in _USUAL_KM and other.value > 0:
            km = other.value * _USUAL_KM[other.unit]
            return f"{1000.0 * litres / km:.3g} L/1000km", f"taken as {km:g} km in that time; say how far it was driven"
    return None


def minutes_of(number: Said) -> float | None:
    """A time in minutes, or nothing."""
    return number.value * _MINUTES[number.unit] if number.unit in _MINUTES else None


def years_of(number: Said) -> float | None:
    """A time in years, or nothing."""
    per = {"year": 1.0, "month": 1 / 12, "week": 1 / 52, "day": 1 / 365}
    return number.value * per[number.unit] if number.unit in per else None
