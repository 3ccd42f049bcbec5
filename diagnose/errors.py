"""Every error that a user may meet. Nothing else is raised on purpose.

DiagnoseError              exit code 1   the tree's root
├── InputError             exit code 2   a case, an answer, an option or a log that cannot be understood
└── KnowledgeError         exit code 3   a knowledge file that cannot be used
Anything else is a defect in this program and ends with exit code 4.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: where, what, and what is allowed instead."""

    message: str
    file: str = ""
    line: int = 0
    allowed: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: " if self.file and self.line else f"{self.file}: " if self.file else ""
        return f"{place}{self.message}" + (f" {self.allowed}" if self.allowed else "")


class DiagnoseError(Exception):
    """Carries one or more problems; its text lists them, one a line."""

    exit_code = 1

    def __init__(self, *problems: Problem | str) -> None:
        self.problems: tuple[Problem, ...] = tuple(p if isinstance(p, Problem) else Problem(p) for p in problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class InputError(DiagnoseError):
    """A case, an answer, an option or a log that cannot be understood."""

    exit_code = 2


class KnowledgeError(DiagnoseError):
    """A knowledge file that cannot be used."""

    exit_code = 3


SLIP = 75  # likeness (0 to 100) of two whole words from which one is a slip of the other


def did_you_mean(word: str, known: Iterable[str], limit: int = 3) -> str:
    """A sentence that offers the nearest known words, or an empty string where none is near.

    >>> did_you_mean("white_exaust", ["white_exhaust", "level_cold"])
    'Did you mean white_exhaust?'
    >>> did_you_mean("fule", ["fuel", "fuel_burning_heater"])
    'Did you mean fuel?'
    """
    from rapidfuzz import fuzz, process, utils  # lazily: only a mistake pays for it

    near = process.extract(word, sorted(known), scorer=fuzz.WRatio, processor=utils.default_process, limit=limit, score_cutoff=70)
    best = near[0][1] if near else 0
    names = [name for name, score, _ in near if score >= best - 8]
    whole = {name: fuzz.ratio(word.lower(), name.lower()) for name in names}
    if max(whole.values(), default=0) >= SLIP:  # a slip of one short word is not meant for a long one that begins alike
        names = [name for name in names if whole[name] >= SLIP - 8]
    return f"Did you mean {' or '.join(names)}?" if names else ""
