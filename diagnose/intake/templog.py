"""A temperature log named in a case: read here, so that the case holds plain observations and `assess` opens no file.

`- temperature_log: drive.csv` becomes one observation for each finding that the log can speak of (knowledge/logs.yaml), with what
it was read from in its note. Where temperature alone cannot tell, the finding is `unknown`, and the note says why.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.case.observation import SILENT
from diagnose.errors import InputError, Problem

if TYPE_CHECKING:
    from diagnose.derive.trace.verdict import Verdict
    from diagnose.knowledge.knowledge import Knowledge
    from diagnose.yamlfile import Document

KEY = "temperature_log"
TOLD_FIGURES = 6  # how many of the log's figures the note repeats; `diagnose trace` tells all


def expand(document: Document, knowledge: Knowledge) -> None:
    """Replace each log in the document's observations, in place. Raises InputError for a log that cannot be read or judged."""
    data = document.data
    listed = data.get("observations") if isinstance(data, dict) else None
    if isinstance(listed, dict) and KEY in listed:
        listed = data["observations"] = [{k: v} for k, v in listed.items()]
    if not isinstance(listed, list):
        return
    further: list[dict[str, Any]] = []
    problems: list[Problem] = []
    for i, item in enumerate(listed):
        if isinstance(item, dict) and KEY in item:
            if str(item[KEY]).strip().lower().replace(" ", "_") in (*SILENT, "", "none"):
                listed[i] = dict.fromkeys(list(answers((), knowledge))[:1], SILENT[0])  # no log: nothing is said
                continue
            try:
                first, *rest = observations(_path(document, item[KEY]), item, data.get("vehicle"), knowledge)
                listed[i] = first
                further += rest
            except InputError as why:
                problems += [document.problem(("observations", i), f"{KEY}: {p.message}", p.allowed) for p in why.problems]
    if problems:
        raise InputError(*problems)
    listed += further


def _path(document: Document, name: Any) -> Path:
    """A log lies where its name says, seen from the case file."""
    if not isinstance(name, str) or not name.strip():
        raise InputError(Problem("names no file", allowed=f"Write '{KEY}: drive.csv', the file lying beside the case."))
    return Path(document.file).parent / name.strip()


def observations(path: Path, item: Mapping[str, Any], vehicle: Any, knowledge: Knowledge) -> list[dict[str, Any]]:
    """What the longest trip of a log says, as observations. `item`: the case's entry (`stood`: the engine had stood for hours)."""
    verdict = _judged(path, _nominal(vehicle), {"yes": True, "no": False}.get(str(item.get("stood"))))
    kept = {k: v for k, v in item.items() if k not in (KEY, "stood")}
    shared = {"engine": "loaded", "instrument": "log", **kept, "note": _note(path, verdict)}
    return [{name: answer, **shared} for name, answer in answers(verdict.possible or tuple(verdict.likelihood), knowledge).items()]


def answers(possible: Sequence[str], knowledge: Knowledge) -> dict[str, str]:
    """Answer to each finding that logs speak of, from the patterns that are still possible."""
    shows = {entry.pattern: entry.shows for entry in knowledge.logs.values()}
    out = {}
    for name in sorted({finding for said in shows.values() for finding in said}):
        said = {shows.get(pattern, {}).get(name, "no") for pattern in possible}
        out[name] = said.pop() if len(said) == 1 else "unknown"
    return out


def _nominal(vehicle: Any) -> float | None:
    from diagnose.case.quantity import parse

    stamped = vehicle.get("thermostat_opens") if isinstance(vehicle, dict) else None
    try:
        return parse(stamped, "degC") if stamped is not None else None
    except InputError:
        return None  # said where the vehicle is read


def _judged(path: Path, nominal: float | None, stood: bool | None) -> Verdict:
    from diagnose.derive.measure import CannotJudge
    from diagnose.derive.trace.reader import open_log
    from diagnose.derive.trace.verdict import judge

    best: Verdict | None = None
    longest = 0.0
    try:
        with path.open(encoding="utf-8-sig", errors="replace", newline="") as lines:
            for number, trip in enumerate(open_log(lines).trips()):
                lasted = float(trip.seconds[-1] - trip.seconds[0]) if len(trip.seconds) else 0.0
                if lasted > longest:
                    best, longest = judge(trip, nominal, stood if number == 0 else None), lasted
    except OSError as why:
        raise InputError(
            Problem(f"{path.name} cannot be read: {why.strerror or why}", allowed="The path is seen from the case file.")
        ) from None
    except CannotJudge as why:
        raise InputError(Problem(str(why))) from None
    if best is None:
        raise InputError(Problem(f"{path.name} holds no drive that could be read"))
    return best


def _note(path: Path, verdict: Verdict) -> str:
    from diagnose.derive.trace.verdict import words

    figures = "; ".join(f.told() for f in verdict.figures[:TOLD_FIGURES])
    return " ".join(f"Log {path.name}: {words(verdict)} Read from it: {figures}.".split())
