"""Readings in what is said: a number with a unit beside the words for what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.intake.words.match import Tagged, matches_in
from diagnose.intake.words.phrases import Book, pattern
from diagnose.intake.words.quantities import Said, loss_rate, numbers_in, years_of
from diagnose.intake.words.wordlist import words

_HOT = 115.0  # degC shown from which nearly every engine is hot. Common practice, no source; below it, the maker's figure is needed.
_TWO = words("running_temperature freeze_margin cap_holds")
_NOT_COOLANT = words("oil petrol diesel fuel gas adblu")


@dataclass(frozen=True)
class Read:
    """A reading: finding, answer as written, its tokens, and what was done to get it."""

    finding: str
    answer: str
    places: frozenset[int]
    remark: str = ""


def readings_in(tagged: Tagged, book: Book, first: int, clause: int, sentence: int) -> list[Read]:
    """Every reading said in tokens[first:clause]; what needs two figures may reach on to the end of the sentence."""
    numbers = numbers_in(tagged.tokens, first, clause)
    if not numbers:
        return []
    out = []
    for entry in book.measured:
        last = sentence if entry.measured in _TWO else clause
        numbers = numbers_in(tagged.tokens, first, last)
        fitting = [n for n in numbers if n.unit in entry.units or (n.unit == "" and "" in entry.units)]
        near = [m for text in entry.near for m in matches_in(tagged, [pattern(text, entry.measured, "yes", None)], first, last)]
        if not fitting or not near:
            continue
        places = frozenset().union(*(m.places for m in near[:1]))
        read = _worked_out(entry.measured, entry.unit, fitting, numbers)
        if read:
            out.append(Read(entry.measured, read[0], places | _places(fitting), read[1]))
    numbers = numbers_in(tagged.tokens, first, clause)
    lost = loss_rate(numbers) or (loss_rate(numbers_in(tagged.tokens, first, sentence)) if numbers else None)
    if lost and not {t.stem for t in tagged.tokens[first:clause]} & _NOT_COOLANT:
        out.append(Read("loss_rate", lost[0], _places(numbers), lost[1]))
    return out


def _places(numbers: Sequence[Said]) -> frozenset[int]:
    return frozenset(p for n in numbers for p in range(*n.at))


def _celsius(number: Said) -> float:
    return (number.value - 32.0) / 1.8 if number.unit == "degF" else number.value


def _worked_out(finding: str, unit: str, fitting: Sequence[Said], numbers: Sequence[Said]) -> tuple[str, str] | None:
    """The answer as written, and how it was got; nothing where one more figure is needed."""
    if finding == "running_temperature":
        if len(fitting) < 2:
            return None
        shown, nominal = _celsius(fitting[0]), _celsius(fitting[1])
        return f"{shown - nominal:.3g} K", f"{shown:g} °C against {nominal:g} °C"
    if finding == "freeze_margin":
        if len(fitting) < 2:
            return None
        freezes, coldest = _celsius(fitting[0]), _celsius(fitting[1])
        return f"{coldest - 5.0 - freezes:.3g} K", f"freezes at {freezes:g} °C, coldest {coldest:g} °C less 5 K"
    if finding == "cap_holds":
        if len(fitting) < 2 or not fitting[1].value:
            return None
        low, high = sorted(n.value for n in fitting[:2])
        return f"{low / high:.2g}", f"{low:g} of {high:g}"
    if finding == "gauge_hot":
        return ("yes", "") if _celsius(fitting[0]) >= _HOT else None
    if unit == "years":
        years = years_of(fitting[0])
        return (f"{years:.3g} years", "") if years is not None else None
    return fitting[0].written, ""
