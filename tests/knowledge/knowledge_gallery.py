"""The gallery: a small sound knowledge, and one file for each way to spoil it."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load
from diagnose.yamlfile import read

HERE = Path(__file__).parent
SOUND: dict[str, list[dict[str, Any]]] = read(HERE / "sound.yaml").data
FILES = sorted((HERE / "broken").glob("*.yaml"))


@dataclass(frozen=True)
class Picture:
    """One broken knowledge, and what must be said of it."""

    name: str
    severity: str
    id: str
    words: tuple[str, ...]
    code: str
    data: dict[str, list[dict[str, Any]]]


def picture(path: Path) -> Picture:
    """Read one file of the gallery: `change` sets what stands at kind/id/key/…, `add` adds entries."""
    raw = read(path).data
    data = copy.deepcopy(SOUND)
    for change in raw.get("change") or ():
        for where, value in change.items():
            _set(data, where.split("/"), value)
    for kind, entries in (raw.get("add") or {}).items():
        data.setdefault(kind, []).extend(entries)
    says = raw["says"]
    return Picture(path.stem, says["severity"], says["id"], tuple(str(w) for w in says["words"]), says.get("code", ""), data)


def _set(data: dict[str, list[dict[str, Any]]], path: list[str], value: Any) -> None:
    kind, name, *keys = path
    at: Any = next(entry for entry in data[kind] if entry["id"] == name)
    for key in keys[:-1]:
        at = at[int(key)] if isinstance(at, list) else at[key]
    if isinstance(at, list):
        place = int(keys[-1])
        at[place : place + 1] = [value]
    elif value is None:
        del at[keys[-1]]
    else:
        at[keys[-1]] = value


def knowledge_of(data: dict[str, list[dict[str, Any]]], folder: Path) -> Knowledge:
    """Write the entries as files and read them as any knowledge is read."""
    for kind, entries in data.items():
        path = folder / kind if kind.endswith(".yaml") else folder / kind / "all.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(entries, allow_unicode=True, sort_keys=False), encoding="utf-8")
    return load(folder, cache=False)
