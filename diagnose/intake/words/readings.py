"""Readings in what is said: a number with a unit beside the words for what was measured."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnose.intake.words.match import Tagged, matches_in
from diagnose.intake.words.phrases import Book, pattern
from diagnose.intake.words.quantities import Said, loss_rate, numbers_in, years_of
from diagnose.intake.words.wordlist import words

_HOT = 115.0  # degC shown from which nearly every engine is hot. Common practice, no source; below it, the maker's figure is needed.
_TWO = words("running_temperature freeze_margin cap_holds cap_mark opening_temperature compression leakage")
_TOP_UP = 0.5  # L poured in at a time where no amount is said; an assumption that is shown. Common practice, no source.
_SAME_CAP = 0.1  # bar: stamped and asked for count as equal within this
_HYDROCARBONS = (20.0, 100.0)  # ppm over the neck: none below, clear above. Estimate; room air itself shows a few.
_LOW_COMPRESSION = 0.8  # of the best cylinder. Common practice, no source.
_HIGH_LEAKAGE = 20.0  # per cent of leakage from which a cylinder counts as bad. Common practice, no source.
_BOOK = words("book manual handbook spec should normally usually meant supposed asks")
_ASKED_FOR = defaultdict(lambda: _BOOK, opening_temperature=_BOOK | words("stamped marked rated"))
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
        read = _worked_out(tagged, entry.measured, entry.unit, fitting)
        if read:
            out.append(Read(entry.measured, read[0], places | _places(fitting), read[1]))
    numbers = numbers_in(tagged.tokens, first, clause)
    lost = loss_rate(numbers) or (loss_rate(numbers_in(tagged.tokens, first, sentence)) if numbers else None)
    lost = lost or _topped_up_every(tagged, numbers, first, clause)
    if lost and not {t.stem for t in tagged.tokens[first:clause]} & _NOT_COOLANT:
        out.append(Read("loss_rate", lost[0], _places(numbers), lost[1]))
    return out


def _places(numbers: Sequence[Said]) -> frozenset[int]:
    return frozenset(p for n in numbers for p in range(*n.at))


def _celsius(number: Said) -> float:
    return (number.value - 32.0) / 1.8 if number.unit == "degF" else number.value


def _worked_out(tagged: Tagged, finding: str, unit: str, fitting: Sequence[Said]) -> tuple[str, str] | None:
    """The answer as written, and how it was got; nothing where one more figure is needed."""
    if finding in _PAIRS:
        if len(fitting) < 2:
            return None
        first, second = fitting[:2]
        before = {t.word for t in tagged.tokens[max(0, first.at[0] - 4) : first.at[0]]}
        if before & _ASKED_FOR[finding] and finding in ("running_temperature", "opening_temperature", "cap_mark"):
            first, second = second, first  # "the book says 88, it opened at 102"
        return _PAIRS[finding](first, second)
    if finding in ("compression", "leakage"):
        return _across(finding, [n.value for n in fitting])
    if finding == "neck_analyser":
        low, high = _HYDROCARBONS
        ppm = fitting[0].value
        return ("none" if ppm < low else "clear" if ppm > high else "trace", f"{ppm:g} ppm")
    if finding == "gauge_hot":
        return ("yes", "") if _celsius(fitting[0]) >= _HOT else None
    if unit == "years":
        years = years_of(fitting[0])
        return (f"{years:.3g} years", "") if years is not None else None
    if unit == "vol %":
        return f"{fitting[0].value:g} vol %", ""
    return fitting[0].written, ""


def _topped_up_every(tagged: Tagged, numbers: Sequence[Said], first: int, last: int) -> tuple[str, str] | None:
    """'Topping up every 500 miles', with no amount: half a litre each time, and said so."""
    for number in numbers:
        before = tagged.tokens[number.at[0] - 1].word if number.at[0] > first else ""
        if (
            before in ("every", "each")
            and tagged.tokens[number.at[0]].word[0].isdigit()
            and any(first <= a < last for a, _ in tagged.slot("<top_up>"))
        ):
            return loss_rate([Said(_TOP_UP, "L", number.at), number], f"half a litre each time is assumed, in {number.written}")
    return None


def _warmer(shown: Said, nominal: Said) -> tuple[str, str]:
    warm, usual = _celsius(shown), _celsius(nominal)
    return f"{warm - usual:.3g} K", f"{warm:g} °C against {usual:g} °C"


def _frost(freezes: Said, coldest: Said) -> tuple[str, str]:
    ice, air = _celsius(freezes), _celsius(coldest)
    return f"{air - 5.0 - ice:.3g} K", f"freezes at {ice:g} °C, coldest {air:g} °C less 5 K"


def _share(one: Said, other: Said) -> tuple[str, str] | None:
    low, high = sorted((one.value, other.value))
    return (f"{low / high:.2g}", f"{low:g} of {high:g}") if high > 0 else None


def _cap(stamped: Said, asked: Said) -> tuple[str, str]:
    bars = [n.value * (0.0689476 if "psi" in (stamped.unit, asked.unit) else 0.01 if n.value > 20 else 1.0) for n in (stamped, asked)]
    if max(bars) > 3:  # neither bar nor said to be psi, but of that size
        bars = [b * 0.0689476 for b in bars]
    word = "right" if abs(bars[0] - bars[1]) <= _SAME_CAP else "lower" if bars[0] < bars[1] else "higher"
    return word, f"{stamped.value:g} against {asked.value:g}"


_PAIRS: dict[str, Callable[[Said, Said], tuple[str, str] | None]] = {
    "running_temperature": _warmer,
    "opening_temperature": _warmer,
    "freeze_margin": _frost,
    "cap_holds": _share,
    "cap_mark": _cap,
}


def _across(finding: str, values: Sequence[float]) -> tuple[str, str] | None:
    """One reading a cylinder, in order, to a band; nothing below three cylinders."""
    if len(values) < 3 or min(values) < 0 or (finding == "compression" and max(values) < 5):
        return None
    bad = [i for i, v in enumerate(values) if (v > _HIGH_LEAKAGE if finding == "leakage" else v < _LOW_COMPRESSION * max(values))]
    side = "high" if finding == "leakage" else "low"
    if not bad:
        return "even", ""
    if len(bad) == 1:
        return f"one_{side}", ""
    return (f"two_adjacent_{side}", "") if len(bad) == 2 and bad[1] == bad[0] + 1 else None
