"""`voltage`: volts in the coolant at several states."""

from __future__ import annotations

from typing import Annotated

import typer

from diagnose.cli.figure import Json, judged, pairs, quantity, show

app = typer.Typer(no_args_is_help=True, help="Volts in the coolant: inhibitor, galvanic residue or a ground fault. Weak evidence.")

_NAMES = "battery_off, engine_off, cranking, idle, 2000_rpm"


@app.callback()
def _group() -> None:
    """Volts in the coolant. Below 50 °C, level lowered, leads clear of fan and belt."""


@app.command("read")
def read(
    state: Annotated[list[str], typer.Option(help=f"Coolant volts at a state: --state 'engine_off=0.3 V'. States: {_NAMES}.")],
    load: Annotated[list[str] | None, typer.Option(help="Coolant volts with one consumer on: --load 'blower=0.5 V'.")] = None,
    block: Annotated[list[str] | None, typer.Option(help="Block to battery negative at a state or load: --block 'blower=0.1 V'.")] = None,
    ac: Annotated[list[str] | None, typer.Option(help="AC volts at a state or load: --ac 'idle=0.05 V'.")] = None,
    temp: Annotated[str | None, typer.Option(help="Coolant temperature, such as '30 C'.")] = None,
    as_json: Json = False,
) -> None:
    """Judge volts in the coolant, the block's own subtracted."""
    from diagnose.derive.voltage import Reading, judge
    from diagnose.errors import InputError, Problem

    volts, loads = pairs(state, "V", "--state"), pairs(load, "V", "--load")
    blocks, waves = pairs(block, "V", "--block"), pairs(ac, "V", "--ac")
    unknown = sorted((set(blocks) | set(waves)) - set(volts) - set(loads))
    if unknown:
        raise InputError(Problem(f"no coolant reading for {', '.join(unknown)}", allowed="Give --state or --load of that name too."))

    def reading(name: str, value: float) -> Reading:
        return Reading(value, blocks.get(name), waves.get(name))

    with judged():
        result = judge(
            {name: reading(name, v) for name, v in volts.items()},
            {name: reading(name, v) for name, v in loads.items()},
            temp_c=quantity(temp, "degC"),
        )
    show(result, as_json)
