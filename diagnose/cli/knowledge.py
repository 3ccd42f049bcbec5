"""`diagnose knowledge`: look things up in the knowledge, tell two causes apart, check it all, or score it on cases."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli import score as scoring
from diagnose.cli.options import AsJson, KnowledgeDir, Width, load_knowledge, page_width
from diagnose.errors import InputError, KnowledgeError, Problem

if TYPE_CHECKING:
    from diagnose.knowledge.check.report import Report
    from diagnose.knowledge.knowledge import Knowledge

app = typer.Typer(no_args_is_help=True, add_completion=False, help="Look things up in the knowledge, check it, or score it.")
app.command("score")(scoring.score)


@app.command()
def check(
    knowledge: KnowledgeDir = None,
    explained: Annotated[bool, typer.Option("--explained", help="Show warnings too that a note explains.")] = False,
    as_json: AsJson = False,
) -> None:
    """Check the knowledge: references, circles, numbers, what separates what. Exit code 3 where it has errors."""
    from diagnose.knowledge.check import check as checked
    from diagnose.knowledge.check.summary import information, summary
    from diagnose.knowledge.load import folder, load

    root = knowledge or folder()
    known = load(root, cache=False)
    reports = sorted({*checked(known), *_further_reports(root, known)})
    errors = [
        Problem(f"{r.id}: {r.message}", str(root / r.file) if r.file else "", r.line, r.allowed) for r in reports if r.severity == "error"
    ]
    if as_json:
        if errors:
            raise KnowledgeError(*errors)
        from dataclasses import asdict

        from diagnose.cli.output import print_json

        told = {
            "format": "check 1",
            "information": information(known),
            "reports": [asdict(r) for r in reports],
            "summary": summary(reports),
        }
        print_json(told)
        return
    for report in reports:
        if explained or not report.explained:
            typer.echo(str(report))
    for line in information(known):
        typer.echo(line)
    typer.echo(summary(reports))
    if errors:
        raise typer.Exit(KnowledgeError.exit_code)


def _further_reports(root: Path, knowledge: Knowledge) -> list[Report]:
    """What the rules, the prices and the phrases have to say: each is checked in the room that reads it."""
    from diagnose.intake.words.check import check_complaints
    from diagnose.plan.check import check_prices
    from diagnose.rules.check import check_rules

    return [*check_rules(knowledge), *check_prices(knowledge), *check_complaints(root, knowledge)]


@app.command()
def show(
    name: Annotated[str, typer.Argument(metavar="ID", help="A fault, effect, finding, reading, test, repair or rule: its id or name.")],
    knowledge: KnowledgeDir = None,
    width: Width = None,
    picture: Annotated[bool, typer.Option("--picture", help="Draw what leads to it and where it leads, instead of telling it.")] = False,
    svg: Annotated[Path | None, typer.Option(metavar="FILE", help="Write that drawing as SVG (needs the 'plot' extra).")] = None,
    as_json: AsJson = False,
) -> None:
    """Everything about one entry: what it is, what brings it about, what it shows, where that is from."""
    from diagnose.report.entry import entry_document, entry_page

    known = load_knowledge(knowledge)
    entry = _id(name, known)
    if svg is not None:
        _draw(entry, known, svg)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(entry_document(entry, known))
    elif picture:
        from diagnose.report.neighbourhood import tree

        typer.echo("\n".join(tree(entry, known)))
    elif svg is None:
        typer.echo(entry_page(entry, known, page_width(width)), nl=False)


def _draw(entry: str, known: Knowledge, path: Path) -> None:
    from diagnose.report.neighbourhood import draw

    try:
        draw(entry, known, path)
    except ImportError:
        hint = "Install the extra: pip install 'cooling-diagnosis[plot]'; --picture draws it in the terminal without."
        raise InputError(Problem("--svg: the drawing library is not installed", allowed=hint)) from None
    except OSError as why:
        raise InputError(Problem(f"cannot be written: {why.strerror or why}", str(path))) from None


@app.command()
def apart(
    one: Annotated[str, typer.Argument(metavar="A", help="A fault or harmless cause: its id or name.")],
    other: Annotated[str, typer.Argument(metavar="B", help="Another.")],
    knowledge: KnowledgeDir = None,
    width: Width = None,
    as_json: AsJson = False,
) -> None:
    """What separates one cause from another, and the quickest test for it."""
    from diagnose.report.apart import apart_document, apart_page

    known = load_knowledge(knowledge)
    first, second = _id(one, known), _id(other, known)
    if as_json:
        from diagnose.cli.output import print_json

        print_json(apart_document(first, second, known))
        return
    typer.echo(apart_page(first, second, known, page_width(width)), nl=False)


def _id(word: str, knowledge: Knowledge) -> str:
    """The id meant by an id, a name or another name. Raises InputError."""
    from diagnose.intake.names import Names
    from diagnose.report.entry import known_ids

    also = {f.id: (f.name, *f.also) for f in knowledge.findings.values()}
    names = Names(
        {n: also.get(n, (knowledge.name_of(n),)) for n in known_ids(knowledge)}, "fault, effect, finding, reading, test, repair or rule"
    )
    found = names.find(word)
    if not found.id:
        raise InputError(Problem(found.message, allowed=found.allowed))
    return found.id
