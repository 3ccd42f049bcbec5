"""A group whose commands are imported only when one of them is called, so that --help and --version stay quick."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import typer
from typer.core import TyperGroup

# command -> module that exposes `app`, and what it does
COMMANDS: dict[str, tuple[str, str]] = {
    "assess": ("diagnose.cli.assess", "A case in, a ranked and explained diagnosis out."),
    "triage": ("diagnose.cli.triage", "A complaint in plain words: how urgent, what to tell the customer, what to ask."),
    "second-opinion": ("diagnose.cli.second_opinion", "Is a proposed repair supported, premature or unsupported, and why."),
    "session": ("diagnose.cli.session", "From a complaint to a decision, one question at a time."),
    "look-over": ("diagnose.cli.look_over", "The twice-yearly walk round the whole system, with no complaint."),
    "new": ("diagnose.cli.new", "Write a blank case to fill in by hand."),
    "knowledge": ("diagnose.cli.knowledge", "Look things up in the knowledge, check it, or score it."),
    "coolant": ("diagnose.cli.coolant", "What coolant readings mean, how to correct the mix, when it is due."),
    "pressure": ("diagnose.cli.pressure", "Pressure test, cap test, pressure from a cold start."),
    "cylinders": ("diagnose.cli.cylinders", "Compression and leakage figures of the cylinders."),
    "voltage": ("diagnose.cli.voltage", "Volts in the coolant at several states."),
    "readings": ("diagnose.cli.readings", "Sensor, infrared, hoses, loss rate, gas in the coolant, trouble codes."),
    "trace": ("diagnose.cli.trace", "Read a temperature log."),
    "schema": ("diagnose.cli.schema", "JSON schema of a case, of an assessment or of an error."),
}


class LazyGroup(TyperGroup):
    """Commands from `COMMANDS`, in that order."""

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in COMMANDS:
            return None
        app: typer.Typer = import_module(COMMANDS[cmd_name][0]).app
        app.rich_markup_mode = None  # plain text: reads the same in every terminal, pipe and screen reader
        app._add_completion = False  # shell completion is installed for the whole program or not at all
        command = typer.main.get_command(app)
        command.name = cmd_name
        return command

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, said) for name, (_, said) in COMMANDS.items()])

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            from diagnose.errors import did_you_mean

            ctx.fail(f"No such command '{args[0]}'. {did_you_mean(args[0], COMMANDS) or 'Commands: ' + ', '.join(COMMANDS) + '.'}")
        return super().resolve_command(ctx, args)
