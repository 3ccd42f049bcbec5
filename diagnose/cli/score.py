"""`diagnose knowledge score`: how good the knowledge is, on worked cases and on cases drawn from itself."""

from __future__ import annotations

from enum import Enum
from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.options import AsJson, KnowledgeDir, Width, load_knowledge, page_width


class Which(str, Enum):
    """Which worked cases."""

    aside = "aside"
    open = "open"
    all = "all"


class Kind(str, Enum):
    """Cases of which kind."""

    clear = "clear"
    hard = "hard"
    nothing = "nothing"
    unmarked = "unmarked"
    all = "all"


USUAL = 500  # simulated cases where nothing is said


def score(
    cases: Annotated[Path | None, typer.Option("--cases", metavar="DIR", help="Worked cases; left out: those of the program.")] = None,
    which: Annotated[Which, typer.Option("--set", help="Which of them.")] = Which.all,
    kind: Annotated[Kind, typer.Option("--kind", help="Only of this kind.")] = Kind.all,
    simulated: Annotated[
        int | None, typer.Option("--simulated", min=0, max=1_000_000, help=f"How many cases to draw; left out: {USUAL}, with --quick none.")
    ] = None,
    seed: Annotated[int, typer.Option("--seed", help="Of all that is drawn by chance.")] = 0,
    quick: Annotated[bool, typer.Option("--quick", help="Worked cases alone: no next tests, no other methods, no noise.")] = False,
    coverage: Annotated[bool, typer.Option("--coverage", help="Which rules and links the cases touch; slow.")] = False,
    sensitivity: Annotated[bool, typer.Option("--sensitivity", help="Which numbers the answers hang on; slow.")] = False,
    names: Annotated[bool, typer.Option("--names", help="Name the open cases that fail; those set aside are never named.")] = False,
    jobs: Annotated[int, typer.Option("--jobs", min=0, max=256, help="Processes; 0: one a core.")] = 0,
    knowledge: KnowledgeDir = None,
    width: Width = None,
    as_json: AsJson = False,
) -> None:
    """Score the knowledge on worked cases, beside plainer methods, and its calibration on drawn ones. Progress on standard error."""
    from diagnose.cli.places import packed
    from diagnose.score.measure import Asked, measure
    from diagnose.score.spread import on_stderr

    known = load_knowledge(knowledge)
    draws = simulated if simulated is not None else 0 if quick else USUAL
    asked = Asked(
        cases=cases if cases is not None else packed("cases"),
        set=which.value,
        kind=kind.value,
        simulated=draws,
        seed=seed,
        quick=quick,
        coverage=coverage,
        sensitivity=sensitivity,
        names=names,
        jobs=jobs,
    )
    document = measure(asked, known, on_stderr)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(document)
        return
    from diagnose.score.page import page

    typer.echo(page(document, page_width(width)), nl=False)
