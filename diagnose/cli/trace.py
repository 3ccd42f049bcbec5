"""`diagnose trace FILE`: a temperature log to columns understood, figures, and a verdict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli.figure import judged as refusing

if TYPE_CHECKING:
    from diagnose.derive.trace.reader import Log
    from diagnose.derive.trace.trip import Trip
    from diagnose.derive.trace.verdict import Verdict

app = typer.Typer(help="Read a temperature log: warm-up, opening, swings, fan; and what they say, or cannot.", no_args_is_help=True)
LEAST = 60  # s: a shorter trip is counted, not told


@app.command()
def trace(
    file: Annotated[Path, typer.Argument(help="CSV of any logger: at least a time and the coolant temperature.")],
    nominal: Annotated[float | None, typer.Option(help="The thermostat's marking in °C.", min=60, max=120)] = None,
    stood: Annotated[bool | None, typer.Option("--stood/--not-stood", help="The engine had stood for hours before the log.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON.")] = False,
    plot: Annotated[bool, typer.Option("--plot", help="Draw the trace in the terminal.")] = False,
    svg: Annotated[Path | None, typer.Option(help="Draw the longest trip to this .svg or .png file.")] = None,
) -> None:
    """Read a temperature log and say what it shows, what it cannot show, and from which rows.

    Read the log in the workshop, not while driving.
    """
    with refusing():
        log, judged, short = _read(file, nominal, stood)
        if as_json:
            import json

            typer.echo(json.dumps(_plain(log, judged, short), ensure_ascii=False, indent=2))
        else:
            _tell(log, judged, short)
        if (plot or svg is not None) and judged:
            from diagnose.derive.trace import plot as drawing

            trip, verdict = max(judged, key=lambda j: float(j[0].seconds[-1] - j[0].seconds[0]))
            if plot:
                typer.echo(drawing.terminal(trip, verdict), err=as_json)
            if svg is not None:
                drawing.picture(trip, verdict, svg)


def _read(file: Path, nominal: float | None, stood: bool | None) -> tuple[Log, list[tuple[Trip, Verdict]], int]:
    """Judge each trip as it comes; only the longest keeps its samples, so that memory stays bounded."""
    from diagnose.derive.measure import CannotJudge
    from diagnose.derive.trace.reader import open_log
    from diagnose.derive.trace.verdict import judge

    try:
        with file.open(encoding="utf-8-sig", errors="replace", newline="") as lines:
            log = open_log(lines)
            judged: list[tuple[Trip, Verdict]] = []
            short, longest = 0, 0.0
            for trip in log.trips():
                lasted = float(trip.seconds[-1] - trip.seconds[0]) if len(trip.seconds) else 0.0
                if lasted < LEAST:
                    short += 1
                    continue
                verdict = judge(trip, nominal, stood if not judged else None)
                if lasted > longest:
                    judged = [(t.part(0, 2, t.continued) if len(t.seconds) > 2 else t, v) for t, v in judged]
                    longest = lasted
                    judged.append((trip, verdict))
                else:
                    judged.append((trip.part(0, 2, trip.continued), verdict))
            return log, judged, short
    except OSError as error:
        raise CannotJudge(f"{file} cannot be read: {error.strerror or error}") from None


def _tell(log: Log, judged: list[tuple[Trip, Verdict]], short: int) -> None:
    from diagnose.derive.trace.patterns import WORDS
    from diagnose.derive.trace.verdict import words

    typer.echo("Columns understood:")
    for column in log.columns:
        typer.echo(f"  {column.told()}")
    unused = [h.strip() for i, h in enumerate(log.header) if h.strip() and i not in {c.index for c in log.columns}]
    if unused:
        typer.echo(f"  not used: {', '.join(unused)}")
    typer.echo(f"{log.read} rows, {len(judged)} trip(s)" + (f", {short} shorter than {LEAST} s left out" if short else ""))
    for note in log.notes:
        typer.echo(f"Note: {note}")
    for number, (_, verdict) in enumerate(judged, 1):
        typer.echo(f"\nTrip {number}: {words(verdict)}")
        if len(judged) <= 5:
            for figure in verdict.figures:
                typer.echo(f"  {figure.told()}")
            told = sorted(verdict.likelihood.items(), key=lambda item: (-item[1], item[0]))
            typer.echo("  Fits, the best being 1: " + ", ".join(f"{WORDS[p]} {v:.2g}" for p, v in told if v >= 0.005))
        for doubt in verdict.cannot_tell:
            typer.echo(f"  Not cleared ({', '.join(WORDS[p] for p in doubt.patterns)}): {doubt.reason}")
        for note in verdict.notes:
            typer.echo(f"  Note: {note}")


def _plain(log: Log, judged: list[tuple[Trip, Verdict]], short: int) -> dict[str, Any]:
    from dataclasses import asdict

    columns = [{"column": c.header.strip(), "is": c.meaning, "unit": c.unit, "unit_guessed": c.guessed} for c in log.columns]
    trips = [asdict(verdict) for _, verdict in judged]
    return {"columns": columns, "rows": log.read, "short_trips": short, "notes": log.notes, "trips": trips}
