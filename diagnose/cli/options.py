"""Options that several commands share, and what they mean."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from diagnose.knowledge.knowledge import Knowledge
    from diagnose.plan.settings import Settings

KnowledgeDir = Annotated[Path | None, typer.Option("--knowledge", metavar="DIR", help="Use the knowledge in this folder instead.")]
Width = Annotated[int | None, typer.Option(min=40, max=200, help="Width of the page; left out: the terminal's, at most 100.")]
SettingsFile = Annotated[
    Path | None,
    typer.Option("--settings", metavar="FILE", help="Settings to use; left out: settings.yaml in the platform's place, if it is there."),
]
LabourRate = Annotated[float | None, typer.Option(help="Price of an hour; without one, costs are said in hours' pay.")]
Currency = Annotated[str | None, typer.Option(metavar="WORD", help="Written behind prices, such as EUR.")]
PartsRate = Annotated[
    float | None, typer.Option(help="Price here of parts that the knowledge counts as one hour's worth; without one, the labour rate.")
]
Prices = Annotated[
    list[str] | None, typer.Option("--price", metavar="ID=PRICE", help="Own price, all told, of a test or repair; may be repeated.")
]
Tools = Annotated[str | None, typer.Option(metavar="A,B,C", help="Tools at hand; left out: every tool.")]
Skill = Annotated[str | None, typer.Option(metavar="WORD", help="home, workshop or specialist; left out: workshop.")]
Helper = Annotated[bool | None, typer.Option("--helper/--no-helper", help="Whether somebody is there to help; left out: yes.")]
Budget = Annotated[
    str | None, typer.Option(metavar="A,B", help="Agreed for tests, in the labour rate's money, else in hours' pay; one amount a step.")
]
Spent = Annotated[float | None, typer.Option(help="What of that the tests so far have used up.")]
Refused = Annotated[str | None, typer.Option(metavar="A,B,C", help="Tests and repairs that were refused, by id.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document instead of text.")]


def load_knowledge(directory: Path | None) -> Knowledge:
    """The knowledge given, or the program's own. Raises KnowledgeError."""
    from diagnose.knowledge.load import load

    return load(directory)


def page_width(width: int | None) -> int:
    """The width asked for, or the terminal's between 40 and 100."""
    if width is not None:
        return width
    import shutil

    return max(40, min(100, shutil.get_terminal_size((80, 24)).columns))


def settings_of(knowledge: Knowledge, path: Path | None, helper: bool | None = None, **given: object) -> Settings:
    """What the person has and pays: the settings file with the options put over it. Raises InputError listing all that is wrong."""
    from diagnose.intake.settingsfile import owned

    return owned(knowledge, {**given, "helper": None if helper is None else "yes" if helper else "no"}, path)
