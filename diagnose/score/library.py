"""The worked cases of a folder, read and chosen."""

from __future__ import annotations

from pathlib import Path

from diagnose.errors import InputError, Problem
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.expected import expected, mistakes
from diagnose.score.worked import ALL, Worked


def library(folder: Path, knowledge: Knowledge, which: str = ALL, kind: str = ALL) -> tuple[list[Worked], int]:
    """Cases below `folder` of that set and kind that assert something; and how many files assert nothing.

    Raises InputError where there is no such folder, no case in it or none of that set and kind; and for every case that cannot be
    understood or expects what the knowledge does not hold, all at once.
    """
    if not folder.is_dir():
        raise InputError(Problem("no such folder of worked cases", str(folder), allowed="Give the folder with --cases DIR."))
    files = sorted(folder.glob("*.yaml"))
    if not files:
        raise InputError(Problem("holds no worked case", str(folder), allowed="A worked case is a .yaml file with 'expect:'."))
    found: list[Worked] = []
    problems: list[Problem] = []
    silent = 0
    for path in files:
        try:
            case = read_case(path, None, knowledge)
        except InputError as why:
            problems += why.problems
            continue
        wanted = expected(case)
        if wanted is None:
            silent += 1
            continue
        problems += mistakes(str(path), wanted, knowledge)
        if which in (ALL, wanted.set) and kind in (ALL, wanted.kind):
            found.append(Worked(path.stem, case, wanted))
    if problems:
        raise InputError(*problems)
    if not found:
        asked = " ".join(x for x in (f"set '{which}'" * (which != ALL), f"kind '{kind}'" * (kind != ALL)) if x)
        raise InputError(Problem(f"holds no worked case {f'of {asked} ' * bool(asked)}that expects anything", str(folder)))
    return found, silent
