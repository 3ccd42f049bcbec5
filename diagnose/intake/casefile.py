"""A case file to a Case: YAML as people write it, every problem listed with its line, what was wrong and what is allowed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.case.case import Case
from diagnose.errors import InputError, Problem
from diagnose.intake.reader import Reader
from diagnose.intake.templog import expand
from diagnose.yamlfile import MOST_BYTES, Document, parse, read

if TYPE_CHECKING:
    from diagnose.knowledge.knowledge import Knowledge

START = "Start with: diagnose new my-case.yaml"
STANDARD_INPUT = "standard input"


def read_case(path: Path | None, text: str | None, knowledge: Knowledge) -> Case:
    """The case in the file `path`, or in `text` (YAML or JSON). Raises InputError that lists everything wrong with it."""
    document = _document(path, text)
    if document.data is None:
        raise InputError(Problem("is empty", document.file, allowed=START))
    if not isinstance(document.data, dict):
        kind = "a list" if isinstance(document.data, list) else "plain text"
        raise InputError(Problem(f"holds {kind}; a case is lines of 'field: value'", document.file, 1, START))
    expand(document, knowledge)
    case, problems = Reader(document, knowledge).case()
    if problems:
        raise InputError(*sorted(problems, key=lambda p: p.line))
    return case


def standard_input() -> str:
    """All of standard input as text. Raises InputError where it is too long or not text."""
    stream = getattr(sys.stdin, "buffer", None)
    raw = stream.read(MOST_BYTES + 1) if stream else sys.stdin.read().encode()
    if len(raw) > MOST_BYTES:
        raise InputError(Problem(f"is longer than {MOST_BYTES:,} bytes", STANDARD_INPUT))
    try:
        return str(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as why:
        raise InputError(Problem("is not text in UTF-8", STANDARD_INPUT, raw[: why.start].count(b"\n") + 1)) from None


def _document(path: Path | None, text: str | None) -> Document:
    try:
        return read(path) if path is not None else parse(text or "", STANDARD_INPUT)
    except InputError as why:
        raise InputError(*(_helped(p) for p in why.problems)) from None


def _helped(problem: Problem) -> Problem:
    """With what most often is behind it."""
    if "cannot start any token" in problem.message:
        return Problem(
            problem.message, problem.file, problem.line, "Indent with spaces, not tabs; put quotes round text with special signs."
        )
    return problem
