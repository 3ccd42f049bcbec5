"""`cylinders`: compression and leakage to a pattern."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.figure import Json, cylinders, judged, needed, pairs, quantity, show

if TYPE_CHECKING:
    from diagnose.derive.compression import Compression
    from diagnose.derive.leakage import Leakage

app = typer.Typer(no_args_is_help=True, help="Compression and leakage readings to a pattern. Good figures never clear a gasket.")

Dry = Annotated[list[str], typer.Argument(help="Compression of cylinders 1, 2, 3 ... such as '12 bar' '170 psi'.")]
Fuel = Annotated[str, typer.Option(help="petrol or diesel.")]
Limit = Annotated[str | None, typer.Option(help="The maker's least compression.")]
Wet = Annotated[list[str] | None, typer.Option(help="Wet reading of a cylinder, petrol only: --wet '2=9 bar'.")]
Banks = Annotated[str | None, typer.Option(help="Cylinders that share a gasket, in order: '1,3,5/2,4,6'. One row if left out.")]
Cold = Annotated[list[str] | None, typer.Option(help="Leakage cold: --cold 1=8")]
Hot = Annotated[list[str] | None, typer.Option(help="Leakage hot: --hot 1=12")]
Heard = Annotated[list[str] | None, typer.Option(help="Air found at coolant, next cylinder, crankcase, intake or exhaust.")]
Silent = Annotated[list[str] | None, typer.Option(help="Looked or listened there, and no air.")]
LeakLimit = Annotated[float | None, typer.Option(help="This instrument's own limit in percent.")]


@app.command("compression")
def compression_(
    readings: Dry, fuel: Fuel = "petrol", limit: Limit = None, wet: Wet = None, banks: Banks = None, as_json: Json = False
) -> None:
    """Judge compressions. Warm, throttle open, all plugs out, five strokes; nobody in line with the plug holes."""
    show(_compression(readings, fuel, limit, wet, banks), as_json)


@app.command("leakage")
def leakage_(
    cold: Cold = None,
    hot: Hot = None,
    limit: LeakLimit = None,
    heard: Heard = None,
    silent: Silent = None,
    banks: Banks = None,
    as_json: Json = False,
) -> None:
    """Judge leakage in percent, and where the air comes out. Lock the crank first."""
    show(_leakage(cold, hot, limit, heard, silent, banks), as_json)


@app.command("both")
def both(
    readings: Dry,
    fuel: Fuel = "petrol",
    limit: Limit = None,
    wet: Wet = None,
    cold: Cold = None,
    hot: Hot = None,
    leak_limit: LeakLimit = None,
    heard: Heard = None,
    silent: Silent = None,
    banks: Banks = None,
    as_json: Json = False,
) -> None:
    """Compression and leakage of one engine together."""
    from diagnose.derive.cylinders import together

    with judged():
        result = together(_compression(readings, fuel, limit, wet, banks), _leakage(cold, hot, leak_limit, heard, silent, banks))
    show(result, as_json)


@app.command("percent")
def percent(
    supply: Annotated[str, typer.Argument(help="Supply pressure, such as '80 psi'.")],
    held: Annotated[str, typer.Argument(help="Pressure the cylinder holds, such as '60 psi'.")],
    as_json: Json = False,
) -> None:
    """Leakage in percent from a two-gauge tester."""
    from diagnose.derive.leakage import differential
    from diagnose.derive.measure import Measure

    with judged():
        value = differential(needed(supply, "bar"), needed(held, "bar"))
    show(Measure(value, 3.0, "%", "lost share of the supply pressure", "FAA AC 43.13-1B para 8-14"), as_json)


def _rows(text: str | None) -> list[list[int]] | None:
    if text is None:
        return None
    from diagnose.errors import InputError, Problem

    try:
        return [[int(c) for c in bank.split(",")] for bank in text.split("/")]
    except ValueError:
        raise InputError(Problem(f"--banks {text!r} is not understood", allowed="Write --banks 1,3,5/2,4,6.")) from None


def _compression(readings: list[str], fuel: str, limit: str | None, wet: list[str] | None, banks: str | None) -> Compression:
    from diagnose.derive.compression import compression

    with judged():
        return compression(
            {i: needed(text, "bar") for i, text in enumerate(readings, 1)},
            fuel=fuel,
            limit_bar=quantity(limit, "bar"),
            wet=cylinders(pairs(wet, "bar", "--wet"), "--wet") or None,
            banks=_rows(banks),
        )


def _leakage(
    cold: list[str] | None,
    hot: list[str] | None,
    limit: float | None,
    heard: list[str] | None,
    silent: list[str] | None,
    banks: str | None,
) -> Leakage:
    from diagnose.derive.leakage import leakage

    with judged():
        return leakage(
            cylinders(pairs(cold, "%", "--cold"), "--cold"),
            cylinders(pairs(hot, "%", "--hot"), "--hot"),
            limit=limit,
            heard={**dict.fromkeys(silent or (), False), **dict.fromkeys(heard or (), True)},
            banks=_rows(banks),
        )
