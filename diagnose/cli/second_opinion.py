"""`diagnose second-opinion`: is a proposed repair supported by what was found, premature, or unsupported."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.options import AsJson, KnowledgeDir, load_knowledge, settings_of

if TYPE_CHECKING:
    from diagnose.plan.opinion import SecondOpinion

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
    labour_rate: Annotated[float | None, typer.Option(help="Price of an hour; left out: costs are said in hours' pay.")] = None,
    currency: Annotated[str, typer.Option(help="Written behind prices, such as EUR.")] = "",
    tools: Annotated[str | None, typer.Option(metavar="A,B,C", help="Tools at hand; left out: every tool.")] = None,
    skill: Annotated[str, typer.Option(metavar="WORD", help="home, workshop or specialist.")] = "workshop",
    no_helper: Annotated[bool, typer.Option("--no-helper", help="Nobody is there to help.")] = False,
) -> None:
    """A second opinion before something is taken apart: supported, premature or unsupported, with its reasons."""
    known = load_knowledge(knowledge)
    settings = settings_of(known, labour_rate, currency, tools, skill, not no_helper)
    from diagnose.intake.casefile import read_case, standard_input
    from diagnose.second_opinion import second_opinion as opinion

    found = read_case(None, standard_input(), known) if case == "-" else read_case(Path(case), None, known)
    told = opinion(found, plan or found.proposal or "", known, settings)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(told)
        return
    typer.echo("\n".join(_lines(told)))


def _lines(told: SecondOpinion) -> list[str]:
    out = [told.headline, f"Asked: {told.asked or 'nothing'}. Understood: {told.understood}.", "", "Why:"]
    out += [f"  - {reason}" for reason in told.reasons]
    if told.overturn:
        out += [
            "",
            f"The cheapest test that could overturn this: {told.overturn.name} ({told.overturn.minutes:g} min, {told.overturn.cost})",
        ]
        out += [f"  - {r.result} ({r.chance:.0%}): then {r.verdict_then}, chance {r.chance_then:.0%}" for r in told.overturn.results]
    if told.first:
        out += ["", "Do this first:" if told.verdict != "supported" else "How:"]
        for step in told.first:
            out.append(f"  {step.name} ({step.minutes:g} min, {step.cost}). {step.why}")
            out += [f"    - {r.result} ({r.chance:.0%}): {r.means}; then {r.then}" for r in step.results]
    for title, lines in (
        ("While it is open anyway:" if told.kind == "repair" else "", told.check_while_open),
        ("Left unexplained if it is right:", told.left_unexplained),
        ("Driving:", told.drive),
        ("Take care:", told.cautions),
        ("This answer would change if", told.changes),
    ):
        if lines:
            out += ["", title, *(f"  - {line}" for line in lines)]
    return out
