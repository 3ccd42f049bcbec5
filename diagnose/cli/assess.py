"""`diagnose assess`: a case in, a ranked and explained diagnosis out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.options import (
    AsJson,
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
    load_knowledge,
    page_width,
    settings_of,
)  # fmt: skip
from diagnose.errors import InputError, Problem

if TYPE_CHECKING:
    from diagnose.case.case import Case
    from diagnose.knowledge.knowledge import Knowledge

app = typer.Typer(add_completion=False, help="A case in, a ranked and explained diagnosis out.")


@app.command(
    epilog="Exit codes: 0 done (whatever was found); 2 the case or an option cannot be understood; 3 the knowledge cannot be used; "
    "4 a defect in this program."
)
def assess(
    case: Annotated[str | None, typer.Argument(metavar="CASE", help="A case file (YAML), or - for standard input.")] = None,
    demo: Annotated[bool, typer.Option("--demo", help="Assess the invented case that comes with the program.")] = False,
    as_json: AsJson = False,
    knowledge: KnowledgeDir = None,
    no_plan: Annotated[bool, typer.Option("--no-plan", help="Leave out the proposed tests; quicker.")] = False,
    brief: Annotated[bool, typer.Option("--brief", help="The first screen only.")] = False,
    full: Annotated[bool, typer.Option("--full", help="Everything, with the rules that fired and their ids.")] = False,
    labour_rate: LabourRate = None,
    currency: Currency = None,
    parts_rate: PartsRate = None,
    price: Prices = None,
    tools: Tools = None,
    skill: Skill = None,
    helper: Helper = None,
    budget: Budget = None,
    spent: Spent = None,
    refused: Refused = None,
    settings: SettingsFile = None,
    width: Width = None,
) -> None:
    """Assess a case: how urgent, what it may be and why, what to test next, what would mend it and how to prove it."""
    if demo == (case is not None):
        raise InputError(Problem("one case is needed", allowed="Give a case file, - for standard input, or --demo."))
    if brief and full:
        raise InputError(Problem("--brief and --full exclude each other", allowed="Give one of them."))
    known = load_knowledge(knowledge)
    own = settings_of(
        known, settings, helper, labour_rate=labour_rate, currency=currency, parts_rate=parts_rate, prices=price, tools=tools, skill=skill,
        budget=budget, spent=spent, refused=refused,
    )  # fmt: skip
    found = _case(case, known)

    from diagnose.assess import assess as assessed

    assessment = assessed(found, known, own, plan=not no_plan)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(assessment)
        return
    from diagnose.report.console import page

    detail = "brief" if brief else "full" if full else "usual"
    typer.echo(page(assessment, known, page_width(width), detail), nl=False)


def _case(name: str | None, knowledge: Knowledge) -> Case:
    from diagnose.intake.casefile import read_case, standard_input

    if name == "-":
        return read_case(None, standard_input(), knowledge)
    if name is None:
        from diagnose.cli.places import demo_case

        return read_case(demo_case(), None, knowledge)
    return read_case(Path(name), None, knowledge)
