"""Writing an answer: text for people, JSON as stable UTF-8 bytes."""

from __future__ import annotations

import json
from typing import Any

import typer


def print_json(document: Any) -> None:
    """One JSON document, keys sorted, two spaces of indent, newline at the end, UTF-8 whatever the terminal speaks."""
    plain = document.model_dump(mode="json") if hasattr(document, "model_dump") else document
    text = json.dumps(plain, ensure_ascii=False, indent=2, sort_keys=True, allow_nan=False) + "\n"
    typer.echo(text.encode("utf-8"), nl=False)
