"""`diagnose second-opinion`: is a proposed repair supported by what was found, premature, or unsupported."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

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

app = typer.Typer(add_completion=False, help="Is a proposed repair supported by what was found?")


@app.command(
    epilog="Exit codes: 0 done (whatever the verdict); 2 the case, the proposal or an option cannot be understood; "
    "3 the knowledge cannot be used."
)
def second_opinion(
    case: Annotated[str, typer.Argument(metavar="CASE", help="A case file (YAML), or - for standard input.")],
    plan: Annotated[str, typer.Option("--plan", help="What is proposed, such as 'head gasket'; left out: the case's, if any.")] = "",
    as_json: AsJson = False,
    knowledge: KnowledgeDir = None,
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
    """A second opinion before something is taken apart: supported, premature or unsupported, with its reasons."""
    known = load_knowledge(knowledge)
    own = settings_of(
        known, settings, helper, labour_rate=labour_rate, currency=currency, parts_rate=parts_rate, prices=price, tools=tools, skill=skill,
        budget=budget, spent=spent, refused=refused,
    )  # fmt: skip
    from diagnose.intake.casefile import read_case, standard_input
    from diagnose.second_opinion import second_opinion as opinion

    found = read_case(None, standard_input(), known) if case == "-" else read_case(Path(case), None, known)
    told = opinion(found, plan or found.proposal or "", known, own)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(told)
        return
    from diagnose.report.opinion import opinion_page

    typer.echo(opinion_page(told, page_width(width)), nl=False)
