"""`diagnose session`: from a complaint to a decision, one question at a time; and `look-over`, the same round without a complaint."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.options import (
    Budget,
    Currency,
    Helper,
    KnowledgeDir,
    LabourRate,
    PartsRate,
    Prices,
    Refused,
    SettingsFile,
    Skill,
    Spent,
    Tools,
    Width,
)  # fmt: skip

app = typer.Typer(add_completion=False, help="From a complaint to a decision, one question at a time.")

Answers = Annotated[
    str | None, typer.Option(metavar="FILE", help="Take the answers from a file (- for standard input), one a line, # comments.")
]
Out = Annotated[Path | None, typer.Option(help="Case file to write at the end; left out: beside the case, or session.yaml here.")]
Resume = Annotated[bool, typer.Option("--resume", help="Go on with a session that was left, without asking.")]
Keys = Annotated[bool, typer.Option("--keys/--no-keys", help="Whether an answer of one key counts without Enter.")]
Fresh = Annotated[bool, typer.Option("--fresh", help="Begin anew where a session was left; the old one is kept aside.")]


@app.command(
    epilog="Exit codes: 0 finished or saved; 1 the answers cannot be kept on disk; 2 the case, an option or an answer cannot be "
    "understood, or nobody is there to answer; 3 the knowledge cannot be used; 130 left with Ctrl-C (everything is kept). "
    "Settings are read from settings.yaml in the program's folder of the user's settings; see the README."
)
def session(
    case: Annotated[Path | None, typer.Argument(metavar="CASE", help="A case file to go on from; it is not changed.")] = None,
    words: Annotated[str | None, typer.Option(help="The complaint, in the customer's words.")] = None,
    answers: Answers = None,
    out: Out = None,
    tools: Tools = None,
    skill: Skill = None,
    helper: Helper = None,
    labour_rate: LabourRate = None,
    currency: Currency = None,
    parts_rate: PartsRate = None,
    price: Prices = None,
    budget: Budget = None,
    spent: Spent = None,
    refused: Refused = None,
    settings: SettingsFile = None,
    resume: Resume = False,
    fresh: Fresh = False,
    keys: Keys = True,
    knowledge: KnowledgeDir = None,
    width: Width = None,
) -> None:
    """Ask what is worth most now, until nothing affordable could change what to do; every answer is on disk before the next question."""
    from diagnose.cli.conduct import Wanted, conduct

    given = {
        "tools": tools, "skill": skill, "helper": None if helper is None else "yes" if helper else "no", "labour_rate": labour_rate,
        "currency": currency, "parts_rate": parts_rate, "prices": price, "budget": budget, "spent": spent, "refused": refused,
    }  # fmt: skip
    code = conduct(Wanted(case, words, answers, out, given, resume, fresh, knowledge, width, False, settings, keys))
    if code:
        sys.stdout.flush()
        raise SystemExit(code)
