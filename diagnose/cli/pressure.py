"""`pressure`: a pressure test, a cap's own test, what heat alone makes, and a record from a cold start."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.figure import Json, judged, needed, quantity, show

if TYPE_CHECKING:
    from diagnose.derive.glycol import Glycol
    from diagnose.derive.heating import Sample

app = typer.Typer(no_args_is_help=True, help="Pressure test, cap test, and pressure from a cold start, read as figures.")

Coolant = Annotated[str, typer.Option(help="Coolant in the system, such as '6 L'.")]
Gas = Annotated[str | None, typer.Option(help="Gas above the liquid, the tester's hose included, such as '1 L'.")]
CapRating = Annotated[str | None, typer.Option(help="Rating stamped on the cap, such as '1.1 bar' or '15 psi'.")]
Mix = Annotated[str, typer.Option(help="Glycol by volume, such as '50 %'; 0 to 60 %.")]
GlycolKind = Annotated[str, typer.Option(help="eg (ethylene) or pg (propylene).")]


@app.command("test")
def leak_test(
    start: Annotated[str, typer.Option(help="Pressure at the start, such as '15 psi'.")],
    end: Annotated[str, typer.Option(help="Pressure at the end.")],
    time: Annotated[str, typer.Option(help="How long, such as '15 min'.")],
    start_temp: Annotated[str, typer.Option(help="Coolant temperature at the start, such as '22 C'.")],
    end_temp: Annotated[str, typer.Option(help="Coolant temperature at the end.")],
    coolant: Coolant = "6 L",
    gas: Gas = None,
    cap: CapRating = None,
    mix: Mix = "50 %",
    glycol: GlycolKind = "eg",
    as_json: Json = False,
) -> None:
    """Read a pressure test, with the temperature change taken out. Cold engine only; never above the cap's rating."""
    from diagnose.derive.pressure import leak_down

    with judged():
        result = leak_down(
            needed(start, "bar"),
            needed(end, "bar"),
            needed(time, "min"),
            needed(start_temp, "degC"),
            needed(end_temp, "degC"),
            coolant_l=needed(coolant, "L"),
            gas_l=quantity(gas, "L"),
            cap_bar=quantity(cap, "bar"),
            concentration=needed(mix, "vol %") / 100.0,
            glycol=_glycol(glycol),
        )
    show(result, as_json)


@app.command("cap")
def cap_test(
    mark: Annotated[str, typer.Option(help="Rating stamped on the cap.")],
    opened: Annotated[str, typer.Option(help="Pressure at which it let go on the tester.")],
    held: Annotated[str | None, typer.Option(help="How long it held near its mark, such as '60 s'.")] = None,
    still_held: Annotated[bool, typer.Option(help="It had not fallen when the watch was stopped.")] = False,
    vacuum: Annotated[str | None, typer.Option(help="Suction at which the vacuum valve opened.")] = None,
    vacuum_never: Annotated[bool, typer.Option(help="The vacuum valve did not open at that suction.")] = False,
    as_json: Json = False,
) -> None:
    """Judge a cap on its own tester. Take it off a cold engine only."""
    from diagnose.derive import cap

    with judged():
        result = cap.cap_test(
            needed(mark, "bar"),
            needed(opened, "bar"),
            held_s=quantity(held, "s"),
            still_held=still_held,
            vacuum_bar=quantity(vacuum, "bar"),
            vacuum_never=vacuum_never,
        )
    show(result, as_json)


@app.command("heat")
def heat(
    start_temp: Annotated[str, typer.Option(help="Temperature when the system was closed.")],
    end_temp: Annotated[str, typer.Option(help="Temperature reached.")],
    gas: Annotated[str, typer.Option(help="Gas above the liquid, such as '1 L'.")],
    coolant: Coolant = "6 L",
    cap: CapRating = None,
    mix: Mix = "50 %",
    glycol: GlycolKind = "eg",
    as_json: Json = False,
) -> None:
    """How much pressure heating alone can make in this system."""
    from diagnose.derive.heating import heating

    with judged():
        result = heating(
            needed(coolant, "L"),
            needed(gas, "L"),
            needed(start_temp, "degC"),
            needed(end_temp, "degC"),
            cap_bar=quantity(cap, "bar"),
            concentration=needed(mix, "vol %") / 100.0,
            glycol=_glycol(glycol),
        )
    show(result, as_json)


@app.command("record")
def record(
    file: Annotated[Path, typer.Argument(help="CSV with the columns minutes, temp_c, bar; the first line before the start.")],
    coolant: Coolant = "6 L",
    gas: Gas = None,
    cap: CapRating = None,
    mix: Mix = "50 %",
    glycol: GlycolKind = "eg",
    as_json: Json = False,
) -> None:
    """Pressure against time from a cold start: does it rise before heat explains it?"""
    from diagnose.derive.heating import cold_start

    with judged():
        result = cold_start(
            _samples(file),
            needed(coolant, "L"),
            quantity(gas, "L"),
            cap_bar=quantity(cap, "bar"),
            concentration=needed(mix, "vol %") / 100.0,
            glycol=_glycol(glycol),
        )
    show(result, as_json)


def _glycol(word: str) -> Glycol:
    from diagnose.errors import InputError, Problem

    named: dict[str, Glycol] = {"eg": "eg", "ethylene": "eg", "pg": "pg", "propylene": "pg"}
    if word.strip().lower() not in named:
        raise InputError(Problem(f"'{word}' is not a glycol known here", allowed="Use eg (ethylene) or pg (propylene)."))
    return named[word.strip().lower()]


def _samples(file: Path) -> list[Sample]:
    import csv

    from diagnose.derive.heating import Sample
    from diagnose.errors import InputError, Problem

    allowed = "Columns minutes, temp_c and bar are needed, a number in each."
    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            rows = list(csv.DictReader(lines))
    except (OSError, UnicodeDecodeError) as why:
        raise InputError(Problem(f"cannot be read: {why}", file=str(file), allowed=allowed)) from why
    samples = []
    for number, row in enumerate(rows, 2):
        try:
            samples.append(Sample(float(row["minutes"]), float(row["temp_c"]), float(row["bar"])))
        except (KeyError, TypeError, ValueError):
            raise InputError(Problem("this line has no usable minutes, temp_c and bar.", str(file), number, allowed)) from None
    return samples
