"""A copy of the phrases as they were read, kept in the user's cache: reading them anew takes a third of a second."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any


def cache_file(directory: Path) -> Path | None:
    """Where the copy is kept; nothing where there is no cache. Its name changes when any file of phrases does."""
    if os.environ.get("DIAGNOSE_NO_CACHE"):
        return None
    try:
        from platformdirs import user_cache_path

        from diagnose.knowledge.cachefile import fingerprint

        return user_cache_path("cooling-diagnosis") / f"complaints-{fingerprint(directory)}.json"
    except (OSError, RuntimeError):
        return None


def from_cache(path: Path) -> list[Any] | None:
    """The entries, or nothing."""
    try:
        entries = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return entries if isinstance(entries, list) else None


def to_cache(path: Path, entries: list[Any]) -> None:
    """Best effort: a read-only home costs time, never an error."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        for old in path.parent.glob("complaints-*.json"):
            old.unlink(missing_ok=True)
        part = path.with_suffix(f".{os.getpid()}.part")
        part.write_text(json.dumps(entries), encoding="utf-8")
        part.replace(path)
    except (OSError, TypeError):
        return
