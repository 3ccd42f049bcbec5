"""`diagnose look-over`: the twice-yearly walk round the whole system, with no complaint."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.options import Helper, KnowledgeDir, SettingsFile, Skill, Tools, Width
from diagnose.cli.session import Answers, Fresh, Keys, Out, Resume

app = typer.Typer(add_completion=False, help="The twice-yearly look over the whole system, with no complaint.")


@app.command("look-over")
def look_over(
    case: Annotated[Path | None, typer.Argument(metavar="CASE", help="A case file to go on from; it is not changed.")] = None,
    answers: Answers = None,
    out: Out = None,
    tools: Tools = None,
    skill: Skill = None,
    helper: Helper = None,
    settings: SettingsFile = None,
    resume: Resume = False,
    fresh: Fresh = False,
    keys: Keys = True,
    knowledge: KnowledgeDir = None,
    width: Width = None,
) -> None:
    """Walk round the whole cooling system, cold things first, and end in the same assessment."""
    from diagnose.cli.conduct import Wanted, conduct

    given = {"tools": tools, "skill": skill, "helper": None if helper is None else "yes" if helper else "no"}
    code = conduct(Wanted(case, None, answers, out, given, resume, fresh, knowledge, width, True, settings, keys))
    if code:
        sys.stdout.flush()
        raise SystemExit(code)
