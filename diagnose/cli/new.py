"""`diagnose new`: a blank case to fill in by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.options import KnowledgeDir, load_knowledge

app = typer.Typer(add_completion=False, help="Write a blank case to fill in by hand.")


@app.command()
def new(
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="Where to write it; left out: to the screen.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Overwrite the file if it is there already.")] = False,
    knowledge: KnowledgeDir = None,
) -> None:
    """Write a blank case with every field and every finding, what each takes, and how to fill it in."""
    from diagnose.intake.blank import blank, write_blank

    text = blank(load_knowledge(knowledge))
    if file is None:
        typer.echo(text.encode("utf-8"), nl=False)
        return
    write_blank(file, text, force)
    typer.echo(f"Written: {file}. Fill in what you know, then: diagnose assess {file}")
