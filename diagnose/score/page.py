"""The document as a page for a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.score.marks import BAD, MEASURES
from diagnose.score.page_beyond import alternatives, coverage, robustness, sensitivity, simulated
from diagnose.score.table import NOTHING, bounds, count, rows, said, title

SETS = {
    "aside": (
        "Set aside",
        "Written without sight of the knowledge, and not looked at while it was adjusted: the measure. Only counts are shown.",
    ),
    "open": ("Open", "May be studied, so their score flatters."),
}

PLACES = {"1": "first", "2": "second", "3": "third", "4 to 10": "fourth to tenth"}


def page(document: Mapping[str, Any], width: int) -> str:
    """The whole page, no line wider than `width` (but for ids that are longer)."""
    size = document["knowledge"]
    lines = said(
        f"{document['cases']} worked cases in {document['seconds']:.0f} s, on {size['faults']} faults, {size['harmless']} harmless "
        f"causes, {size['effects']} effects, {size['findings']} findings and {size['rules']} rules. Intervals are 95 %.",
        width,
    )
    if document["asserting_nothing"]:
        lines += said(f"{document['asserting_nothing']} case(s) expect nothing and are not scored.", width)
    for which, kinds in document["worked"].items():
        lines += _worked(which, kinds, width)
    lines += _failing(document, width)
    if document["confusion"]:
        lines += title("Taken for something else (open cases)")
        lines += mixed(document["confusion"], width)
    for name, part in (
        ("alternatives", alternatives),
        ("robustness", robustness),
        ("coverage", coverage),
        ("sensitivity", sensitivity),
        ("simulated", simulated),
    ):
        if document[name] is not None:
            lines += part(document[name], width)
    lines += _left_out(document, width)
    return "\n".join(lines) + "\n"


def _worked(which: str, kinds: Mapping[str, Any], width: int) -> list[str]:
    name, what = SETS[which]
    whole = kinds["all"]
    lines = title(f"{name}: {whole['cases']} cases")
    lines += said(what, width)
    if whole["known_misses"]:
        lines += said(f"Already known and written in the case as honest misses: {whole['known_misses']}. They count as misses.", width)
    table: list[tuple[str, Sequence[str]]] = [("cases", [str(k["cases"]) for k in kinds.values()])]
    for part in (False, True):
        if part:
            table += [("", [""] * len(kinds)), ("should be none:", [""] * len(kinds))]
        for measure, words in MEASURES.items():
            if (measure in BAD) == part and measure in whole["measures"]:
                row = [k["measures"].get(measure) for k in kinds.values()]
                table += [(words, [count(m) for m in row]), ("", [bounds(m) for m in row])]
    row = [k["all_met"] for k in kinds.values()]
    table += [("all as it should be", [count(m) for m in row]), ("", [bounds(m) for m in row])]
    table.append(("Brier, truth is there", [_mean(k["brier_event"]) for k in kinds.values()]))
    table.append(("", [_range(k["brier_event"]) for k in kinds.values()]))
    table.append(("Brier, what explains it", [_mean(k["brier_classes"]) for k in kinds.values()]))
    table.append(("", [_range(k["brier_classes"]) for k in kinds.values()]))
    lines += rows("", list(kinds), table)
    places = ", ".join(f"{PLACES.get(word, word)} {n}" for word, n in whole["place_of_truth"].items() if n)
    return lines + said(f"Where the truth stands in the list: {places}.", width)


def _mean(value: Mapping[str, Any]) -> str:
    return NOTHING if value["mean"] is None else f"{value['mean']:.3f}"


def _range(value: Mapping[str, Any]) -> str:
    return "" if value["mean"] is None else f"{value['low']:.2f}–{value['high']:.2f}"


def _failing(document: Mapping[str, Any], width: int) -> list[str]:
    if "failing_open" not in document:
        return []
    lines = title("Open cases that do not come out as written")
    for row in document["failing_open"]:
        what = ", ".join(MEASURES[name] + ("" if name in BAD else ": no") for name in row["not_met"])
        lines += [row["case"], *said(f"{what}{' (known miss)' if row['known_miss'] else ''}", width, "    ")]
    return lines + ([] if document["failing_open"] else ["none"])


def mixed(pairs: Sequence[Mapping[str, Any]], width: int) -> list[str]:
    """Truth, and what was told instead."""
    return [line for p in pairs for line in said(f"{p['times']:>4}  {p['truth']} → {p['told']}", width)]


def _left_out(document: Mapping[str, Any], width: int) -> list[str]:
    ways = {
        "alternatives": "next tests, plainer methods and noise (leave out --quick)",
        "coverage": "coverage of rules and links (--coverage)",
        "sensitivity": "the numbers that matter most (--sensitivity)",
        "simulated": "calibration on simulated cases (--simulated 10000)",
    }
    missing = [words for name, words in ways.items() if document[name] is None]
    return ["", *said(f"Not measured in this run: {'; '.join(missing)}.", width)] if missing else []
