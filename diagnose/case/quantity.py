"""Quantities as people write them: `0.55 V`, `13 psi`, `-34 °F`, `1.1 bar`, `265F`."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING

from diagnose.errors import InputError, Problem

if TYPE_CHECKING:
    import pint

_SHAPE = re.compile(r"\s*([-+−–]?\s*(?:\d[\d ]*(?:[.,]\d+)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
# How people write units, to how the units library spells them. Temperatures differ between a point and a difference.
_SPELLINGS = {
    "°c": "degC", "c": "degC", "degc": "degC", "deg c": "degC", "celsius": "degC", "degrees c": "degC", "º c": "degC", "ºc": "degC",
    "° c": "degC", "°f": "degF", "f": "degF", "degf": "degF", "deg f": "degF", "fahrenheit": "degF", "degrees f": "degF",
    "° f": "degF", "ºf": "degF", "k": "kelvin", "%": "percent", "vol %": "percent", "vol%": "percent", "% vol": "percent",
    "percent": "percent", "pct": "percent", "min": "minute", "mins": "minute", "minutes": "minute", "minute": "minute",
    "s": "second", "sec": "second", "h": "hour", "hr": "hour", "hours": "hour", "l": "litre", "ltr": "litre", "litres": "litre",
    "liters": "litre", "ml": "millilitre", "qt": "quart", "quarts": "quart", "gal": "gallon", "pint": "pint", "pints": "pint",
    "kg/cm2": "kilogram_force/centimetre**2", "kgf/cm2": "kilogram_force/centimetre**2", "kpa": "kilopascal", "mv": "millivolt",
    "volt": "volt", "volts": "volt", "v": "volt", "vdc": "volt", "v dc": "volt", "ohm": "ohm", "ohms": "ohm", "Ω": "ohm", "ω": "ohm",
    "kohm": "kiloohm", "kΩ": "kiloohm", "kω": "kiloohm", "k ohm": "kiloohm", "miles": "mile", "mi": "mile", "km": "kilometre",
    "ft": "foot", "feet": "foot", "m": "metre", "yr": "year", "yrs": "year", "years": "year", "months": "month", "days": "day",
    "psi": "psi", "psig": "psi", "bar": "bar", "l/1000km": "litre/(1000*kilometre)", "l/1000 km": "litre/(1000*kilometre)",
    "sg": "dimensionless", "mm": "millimetre", "a": "ampere", "amps": "ampere", "rpm": "rpm", "1/min": "rpm",
    "kg/m3": "kilogram/metre**3", "g/cm3": "gram/centimetre**3", "": "",
}  # fmt: skip
_CANONICAL = {
    "degC": "degC", "K": "kelvin", "bar": "bar", "V": "volt", "ohm": "ohm", "L": "litre", "km": "kilometre", "min": "minute",
    "mm": "millimetre", "m": "metre", "vol %": "percent", "%": "percent", "L/1000km": "litre/(1000*kilometre)", "years": "year",
    "A": "ampere", "rpm": "rpm", "bar per 10 min": "bar", "share": "dimensionless", "SG": "dimensionless", "days": "day",
    "": "dimensionless",
    "ppm": "ppm", "g": "gram", "km/h": "kilometre/hour",
}  # fmt: skip
# What no vehicle can show, in the canonical unit: a slip of the pen, not a finding.
_POSSIBLE = {
    "degC": (-90.0, 1300.0), "K": (-300.0, 1000.0), "bar": (-1.1, 60.0), "V": (-60.0, 60.0), "ohm": (0.0, 1e9), "L": (0.0, 200.0),
    "km": (0.0, 3e6), "min": (0.0, 5e6), "vol %": (0.0, 100.0), "%": (-100.0, 100.0), "L/1000km": (0.0, 100.0), "years": (0.0, 100.0),
    "m": (-500.0, 6000.0), "rpm": (0.0, 12000.0), "A": (-2000.0, 2000.0), "share": (0.0, 3.0), "SG": (0.5, 1.5),
    "days": (0.0, 40000.0), "bar per 10 min": (0.0, 10.0),
}  # fmt: skip


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    import pint  # lazily: 130 to 250 ms, and a case written in canonical units never needs it

    return pint.UnitRegistry(cache_folder=":auto:")


def split(text: str) -> tuple[float, str]:
    """Number and unit word of a quantity. Raises InputError where there is no number.

    >>> split("-34 °F"), split("0,55V")
    ((-34.0, '°F'), (0.55, 'V'))
    """
    match = _SHAPE.fullmatch(text)
    if not match:
        raise InputError(Problem(f"'{text}' is not a number with a unit", allowed="Write for example 0.55 V, 13 psi or -34 °F."))
    number = match[1].replace("−", "-").replace("–", "-").replace(" ", "").replace(",", ".")
    return float(number), match[2]


def parse(text: str | float | int, unit: str) -> float:
    """The value of `text` in the canonical `unit`; a bare number is taken to be in that unit already.

    Raises InputError for what is not a number, not finite, of another kind of unit, or impossible on a vehicle.

    >>> parse("0.55 V", "V"), parse("250 mV", "V")
    (0.55, 0.25)
    """
    number, word = (float(text), "") if isinstance(text, (int, float)) and not isinstance(text, bool) else split(str(text))
    if not math.isfinite(number):
        raise InputError(Problem(f"'{text}' is not a usable number", allowed="A finite number with a unit is needed."))
    value = number if word in ("", unit) else _convert(number, word, unit, str(text))
    low, high = _POSSIBLE.get(unit, (-math.inf, math.inf))
    if not low <= value <= high:
        shown = unit or "(no unit)"
        raise InputError(Problem(f"'{text}' is impossible", allowed=f"From {low:g} to {high:g} {shown} is allowed."))
    return value


def _convert(number: float, word: str, unit: str, text: str) -> float:
    wanted = _CANONICAL.get(unit, unit)
    if wanted == "bar":  # a pressure test is told as what was lost in its usual ten minutes
        word = re.sub(r"\s*(?:per|/|in)\s*(?:10|ten)\s*min(?:utes)?$", "", word)
    spelled = _SPELLINGS.get(word.strip().lower(), _SPELLINGS.get(word.strip(), word.strip()))
    if wanted == "kelvin" and spelled in ("degC", "degF"):  # a difference, not a point on the scale
        return number if spelled == "degC" else number / 1.8
    if spelled == "percent" and unit == "share":
        return number / 100.0
    import pint

    registry = _registry()
    try:
        return float(registry.Quantity(number, spelled).to(wanted).magnitude)
    except (pint.DimensionalityError, pint.OffsetUnitCalculusError):  # first: it is a TypeError, too
        raise InputError(Problem(f"'{text}' has the wrong kind of unit", allowed=f"Here {unit} or a unit like it is needed.")) from None
    except (pint.UndefinedUnitError, AttributeError, TypeError, ValueError):
        raise InputError(Problem(f"'{word}' in '{text}' is not a unit known here", allowed=f"Use {unit} or a unit like it.")) from None
    except Exception as why:  # the library's parser raises what its tokenizer raises; any of it means: not a unit
        raise InputError(Problem(f"'{word}' in '{text}' is not a unit ({type(why).__name__})", allowed=f"Use {unit}.")) from None
