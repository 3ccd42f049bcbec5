"""Trouble codes that concern cooling: what the monitor really tests, what else sets it, and the thermostat code's threshold."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.derive.codes_names import NAMES
from diagnose.derive.codes_stories import STORIES
from diagnose.derive.measure import CannotJudge, Measure, below

THERMOSTAT_MARGIN_K = 20.0 / 1.8  # 20 °F, 13 CCR 1968.2 (e)(10.2.1)(A)(ii)
SOURCE = "SAE J2012 / ISO 15031-6 names; meaning: common practice"
_FORM = re.compile(r"[PCBU][0-3][0-9A-F]{3}")


@dataclass(frozen=True)
class Code:
    """A code: `name`, the `part` concerned, what the monitor `tests`, what `also_sets` it, whether it is a `coolant` matter."""

    code: str
    name: str
    part: str
    tests: str
    also_sets: tuple[str, ...]
    coolant: bool
    source: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class WarmUp:
    """`threshold` degC of the thermostat code, `would_set`: chance that the warm-up stayed below it."""

    threshold: Measure
    would_set: float
    notes: tuple[str, ...]


def lookup(code: str) -> Code:
    """What a code means here; spaces and case do not matter. Raises CannotJudge for no code, a maker's own, or one not held.

    >>> lookup("p0128").part, lookup("P0298").coolant, lookup("P0218").part
    ('thermostat', False, 'transmission')
    """
    text = re.sub(r"[\s-]", "", code).upper()
    if not _FORM.fullmatch(text):
        raise CannotJudge(f"{code!r} is not a trouble code: a letter P, C, B or U and four digits, like P0128")
    own = text[1] == "1" or (text[1] == "3" and text[2] < "4") if text[0] == "P" else text[1] in "12"
    if own:
        raise CannotJudge(f"{text} is the maker's own code: its meaning is in the vehicle's manual, not in SAE J2012")
    if text not in NAMES:
        raise CannotJudge(f"{text} is not held here: it is not among the codes that concern cooling")
    name, key, status = NAMES[text]
    story = STORIES[key]
    notes = ["A code is where to look, not what to replace. Read the freeze frame before clearing.", *story.notes]
    if status == "from_memory":
        notes.append("The name of this code is from memory.")
    return Code(text, name, story.part, story.tests, story.also_sets, story.coolant, SOURCE, tuple(notes))


def held() -> tuple[str, ...]:
    """All codes that `lookup` knows, in order.

    >>> "P0217" in held()
    True
    """
    return tuple(sorted(NAMES))


def thermostat_threshold(nominal_c: float) -> Measure:
    """Temperature (degC) that a warm-up must reach or the thermostat code sets: nominal (60 to 115 degC) less 20 °F.

    The rule allows a lower one with approval, so the spread is 3 K (estimate). Source: 13 CCR 1968.2 (e)(10.2.1)(A)(ii),
    one jurisdiction. Raises CannotJudge.

    >>> round(thermostat_threshold(88).value, 1)
    76.9
    """
    if not 60.0 <= nominal_c <= 115.0:
        raise CannotJudge("a thermostat's nominal temperature is 60 to 115 °C")
    value = nominal_c - THERMOSTAT_MARGIN_K
    return Measure(value, 3.0, "°C", "nominal less 11.1 K", "13 CCR 1968.2 (e)(10.2.1)(A)(ii)")


def warm_up(highest_c: float, nominal_c: float, *, sd: float = 2.0) -> WarmUp:
    """Would this warm-up set the thermostat code: highest temperature reached (degC) against the threshold. Raises CannotJudge.

    >>> warm_up(70, 88).would_set > 0.9, warm_up(86, 88).would_set < 0.1
    (True, True)
    """
    if not -40.0 <= highest_c <= 150.0:
        raise CannotJudge("a highest temperature of -40 to 150 °C can be judged")
    threshold = thermostat_threshold(nominal_c)
    chance = below(threshold.value, highest_c, (sd * sd + threshold.sd**2) ** 0.5)
    notes = (
        "It needs a long enough drive: the rule is not reached within the maker's time, not never reached.",
        *STORIES["thermostat"].notes,
    )
    return WarmUp(threshold, chance, notes)
