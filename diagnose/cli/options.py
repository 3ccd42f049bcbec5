"""Options that several commands share, and what they mean."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import InputError, Problem, did_you_mean

if TYPE_CHECKING:
    from diagnose.knowledge.knowledge import Knowledge
    from diagnose.plan.settings import Settings

KnowledgeDir = Annotated[Path | None, typer.Option("--knowledge", metavar="DIR", help="Use the knowledge in this folder instead.")]
Width = Annotated[int | None, typer.Option(min=40, max=200, help="Width of the page; left out: the terminal's, at most 100.")]
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


def settings_of(knowledge: Knowledge, labour_rate: float | None, currency: str, tools: str | None, skill: str, helper: bool) -> Settings:
    """What the person has and pays. Raises InputError listing all that is wrong."""
    from diagnose.plan.settings import SKILLS, Settings

    problems = []
    if labour_rate is not None and not (math.isfinite(labour_rate) and labour_rate > 0):
        problems.append(Problem(f"--labour-rate {labour_rate:g} is not a price", allowed="Give the price of an hour, more than 0."))
    known = sorted({t for p in knowledge.procedures.values() for t in p.tools})
    given = None if tools is None else tuple(t.strip().lower().replace(" ", "_").replace("-", "_") for t in tools.split(",") if t.strip())
    for tool in given or ():
        if tool not in known:
            hint = did_you_mean(tool, known) or f"Allowed: {', '.join(known)}."
            problems.append(Problem(f"--tools: '{tool}' is not a tool known here", allowed=hint))
    if skill not in SKILLS:
        problems.append(Problem(f"--skill '{skill}' is not known", allowed=f"Allowed: {', '.join(SKILLS)}."))
    if problems:
        raise InputError(*problems)
    return Settings.model_validate(
        {"labour_rate": labour_rate, "currency": currency, "tools": given, "skill": skill, "helper": "yes" if helper else "no"}
    )
