"""What this person has: tools, skill, a helper, the price of an hour, from a settings file in the platform's usual place."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from diagnose.errors import InputError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings
from diagnose.yamlfile import read

FIELDS = ("tools", "skill", "helper", "labour_rate", "currency")


def place() -> Path:
    """Where the settings file lies (under ~/.config on Linux)."""
    import platformdirs

    return Path(platformdirs.user_config_path("diagnose")) / "settings.yaml"


def owned(knowledge: Knowledge, given: dict[str, Any], path: Path | None = None) -> Settings:
    """Settings from the file, where there is one, with what was `given` on the command line put over them.

    Raises InputError for a file or a value that cannot be used.
    """
    path = path or place()
    found = _file(path) if path.is_file() else {}
    found.update({k: v for k, v in given.items() if v is not None})
    tools = found.get("tools")
    if tools is not None:
        found["tools"] = _tools(tools, knowledge, "--tools" if given.get("tools") is not None else str(path))
    try:
        return Settings.model_validate(found)
    except ValidationError as why:
        problems = [Problem(f"{'.'.join(map(str, e['loc']))}: {e['msg']}", str(path), allowed=_allowed()) for e in why.errors()]
        raise InputError(*problems) from None


def _allowed() -> str:
    return "skill: home, workshop or specialist; helper: yes or no; labour_rate: a price above 0; tools: a list."


def _file(path: Path) -> dict[str, Any]:
    document = read(path)
    if document.data is None:
        return {}
    if not isinstance(document.data, dict):
        raise InputError(Problem("is not lines of 'field: value'", str(path), 1, f"Fields: {', '.join(FIELDS)}."))
    wrong = [k for k in document.data if k not in FIELDS]
    if wrong:
        raise InputError(Problem(f"'{wrong[0]}' is not a setting", str(path), document.line((wrong[0],)), f"Allowed: {', '.join(FIELDS)}."))
    return dict(document.data)


def _tools(raw: Any, knowledge: Knowledge, where: str) -> tuple[str, ...]:
    from diagnose.errors import did_you_mean

    known = sorted({t for p in knowledge.procedures.values() for t in p.tools})
    words = raw.split(",") if isinstance(raw, str) else raw if isinstance(raw, (list, tuple)) else [raw]
    tools = tuple(dict.fromkeys(str(w).strip().lower().replace(" ", "_").replace("-", "_") for w in words if str(w).strip()))
    wrong = [t for t in tools if t not in known]
    if wrong:
        every = f"Allowed: {', '.join(known)}."
        raise InputError(*(Problem(f"'{t}' is not a tool known here", where, allowed=did_you_mean(t, known) or every) for t in wrong))
    return tools
