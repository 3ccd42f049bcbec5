"""An error as a document for programs."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict, Field

from diagnose.errors import Problem


class ErrorLine(BaseModel):
    """One thing that is wrong."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    file: str = Field(description="empty where no file is meant")
    line: int = Field(description="from 1; 0 where no line is meant")
    message: str
    allowed: str = Field(description="what is allowed instead, or what to do")


class ErrorDocument(BaseModel):
    """All that is wrong, and the exit code."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: str = "error 1"
    problems: list[ErrorLine]
    exit_code: int


def error_document(problems: Sequence[Problem], exit_code: int) -> ErrorDocument:
    """The document for some problems."""
    lines = [ErrorLine(file=p.file, line=p.line, message=p.message, allowed=p.allowed) for p in problems]
    return ErrorDocument(problems=lines, exit_code=exit_code)
