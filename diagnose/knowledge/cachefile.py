"""Knowledge kept ready-read in the user's cache folder: reading and checking 900 entries anew costs a second, this some 25 ms.

Best effort: a read-only or missing home costs time, never an error. Only a file that belongs to this user is read back.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
from pathlib import Path

import pydantic

from diagnose import __version__
from diagnose.knowledge.knowledge import Knowledge

_CODE = ("schema.py", "knowledge.py", "condition.py")


def fingerprint(root: Path) -> str:
    """Changes when any knowledge file does (name, size, time of change), or what reads it."""
    digest = hashlib.sha256(f"{__version__}|{sys.version}|{pydantic.VERSION}".encode())
    for path in (*(Path(__file__).with_name(name) for name in _CODE), *sorted(root.rglob("*.yaml"))):
        stat = path.stat()
        digest.update(f"{path}|{stat.st_size}|{stat.st_mtime_ns}\n".encode())
    return digest.hexdigest()[:32]


def place(root: Path) -> Path | None:
    """Where the knowledge of `root` is kept, or None where nothing is to be kept (DIAGNOSE_NO_CACHE, no home)."""
    if os.environ.get("DIAGNOSE_NO_CACHE"):
        return None
    try:
        from platformdirs import user_cache_path

        return user_cache_path("cooling-diagnosis") / f"knowledge-{fingerprint(root)}.pickle"
    except (OSError, RuntimeError):
        return None


def fetch(path: Path) -> Knowledge | None:
    """What was kept, or None. Whatever is wrong with the file: it is read anew from the YAML."""
    try:
        if hasattr(os, "getuid") and path.stat().st_uid != os.getuid():
            return None
        kept = pickle.loads(path.read_bytes())
    except Exception:
        return None
    return kept if isinstance(kept, Knowledge) else None


def keep(path: Path, knowledge: Knowledge) -> None:
    """Keep it, and drop what was kept of earlier versions of the same files."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        for old in sorted(path.parent.glob("knowledge-*"), key=lambda p: p.stat().st_mtime)[:-3]:
            old.unlink(missing_ok=True)
        part = path.with_suffix(f".{os.getpid()}.part")
        part.write_bytes(pickle.dumps(knowledge, protocol=5))
        part.replace(path)
    except OSError:
        return
