"""`diagnose schema`: the shapes of what goes in and comes out."""

from __future__ import annotations

from typing import Annotated

import typer

from diagnose.cli.options import KnowledgeDir, load_knowledge
from diagnose.errors import InputError, Problem

SHAPES = ("case", "assessment", "error")
app = typer.Typer(add_completion=False, help="JSON schema of a case, of an assessment or of an error.")


@app.command()
def schema(
    shape: Annotated[str, typer.Argument(metavar="SHAPE", help="case, assessment or error.")],
    knowledge: KnowledgeDir = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print errors as JSON too; a schema always is.")] = False,
) -> None:
    """Print a JSON schema: of the case for an editor, of the answers for programs."""
    if shape not in SHAPES:
        raise InputError(Problem(f"'{shape}' has no schema", allowed=f"Allowed: {', '.join(SHAPES)}."))
    from diagnose.cli.output import print_json
    from diagnose.intake.formats import case_schema, model_schema

    if shape == "case":
        print_json(case_schema(load_knowledge(knowledge)))
    elif shape == "assessment":
        from diagnose.assessment import Assessment

        print_json(model_schema(Assessment))
    else:
        from diagnose.report.problems import ErrorDocument

        print_json(model_schema(ErrorDocument))
