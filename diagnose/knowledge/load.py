"""Reading knowledge/: every file, every entry, with file and line in every complaint."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from diagnose.errors import KnowledgeError, Problem, did_you_mean
from diagnose.knowledge import cachefile, schema
from diagnose.knowledge.knowledge import Knowledge
from diagnose.yamlfile import Document, read

# folder or file below knowledge/ -> (attribute of Knowledge, model)
KINDS: dict[str, tuple[str, type[Any]]] = {
    "sources.yaml": ("sources", schema.Source),
    "chances.yaml": ("chances", schema.Scale),
    "readings.yaml": ("readings", schema.Reading),
    "findings": ("findings", schema.Finding),
    "effects": ("effects", schema.Effect),
    "faults": ("faults", schema.Fault),
    "procedures": ("procedures", schema.Procedure),
    "repairs": ("repairs", schema.Repair),
    "rules": ("rules", schema.Rule),
    "costs.yaml": ("prices", schema.Price),
    "access.yaml": ("access", schema.Access),
    "proposals.yaml": ("proposals", schema.Proposed),
    "logs.yaml": ("logs", schema.LogPattern),
    "phone.yaml": ("talks", schema.Talk),
}
ELSEWHERE = ("complaints",)  # read by the intake, not here
Where = dict[str, tuple[str, int]]


def folder() -> Path:
    """The knowledge that comes with the program: inside the wheel, or beside the package in a checkout."""
    packed = Path(__file__).parents[1] / "data" / "knowledge"
    return packed if packed.is_dir() else Path(__file__).parents[2] / "knowledge"


def load(directory: Path | None = None, cache: bool = True) -> Knowledge:
    """All knowledge below `directory`. Raises KnowledgeError listing every problem of form, with file and line."""
    root = directory or folder()
    if not root.is_dir():
        raise KnowledgeError(Problem("no such folder", str(root), allowed="Give the folder that holds findings/, effects/, faults/ …"))
    stored = cachefile.place(root) if cache else None
    kept = cachefile.fetch(stored) if stored else None
    if kept is not None:
        return kept
    documents = [read(path, KnowledgeError) for path in _files(root)]
    entries = [
        (str(Path(d.file).relative_to(root)), item, d.line((i,)))
        for d in documents
        if isinstance(d.data, list)
        for i, item in enumerate(d.data)
    ]
    for document in documents:
        if document.data is not None and not isinstance(document.data, list):
            raise KnowledgeError(Problem("is not a list of entries", document.file, 1, "Each entry starts with '- id: …'."))
    knowledge = _knowledge(entries, {str(Path(d.file).relative_to(root)): d for d in documents})
    if stored:
        cachefile.keep(stored, knowledge)
    return knowledge


def _files(root: Path) -> Iterator[Path]:
    for path in sorted(root.rglob("*.yaml")):
        top = path.relative_to(root).parts[0]
        if top in ELSEWHERE:
            continue
        if top not in KINDS:
            allowed = f"Allowed: {', '.join(KINDS)}, {', '.join(ELSEWHERE)}."
            raise KnowledgeError(Problem(f"'{top}' is not a place for knowledge", str(path), allowed=allowed))
        yield path


Entry = tuple[str, Any, int]


def _knowledge(entries: list[Entry], documents: dict[str, Document]) -> Knowledge:
    problems: list[Problem] = []
    found: dict[str, dict[str, Any]] = {attribute: {} for attribute, _ in KINDS.values()}
    where: Where = {}
    context: dict[str, Any] = {}
    for file, item, line in sorted(entries, key=lambda e: e[0] != "chances.yaml"):  # chance words are needed by all the rest
        attribute, model = KINDS[Path(file).parts[0]]
        shown = documents[file].file if file in documents else file
        try:
            entry = model.model_validate(item, context=context)
        except ValidationError as why:
            problems += _problems(why, item, shown, line, documents.get(file), model)
            continue
        if attribute == "chances":
            context.setdefault("chances", {})[entry.id] = entry.words
        key = entry.id
        if key in where:
            first_file, first_line = where[key]
            problems.append(
                Problem(f"'{key}' is defined twice (first in {first_file}:{first_line})", shown, line, "Every id is used once.")
            )
        where[key] = (file, line)
        found[attribute][key] = entry
    if problems:
        raise KnowledgeError(*problems)
    return Knowledge(**{name: dict(sorted(kind.items())) for name, kind in found.items()}, where=where)


def _problems(why: ValidationError, item: Any, file: str, line: int, document: Document | None, model: type[Any]) -> Iterator[Problem]:
    name = item.get("id", "?") if isinstance(item, dict) else "?"
    index = next((i for i, x in enumerate(document.data) if x is item), None) if document else None
    for error in why.errors(include_url=False):
        path = tuple(p for p in error["loc"] if isinstance(p, (str, int)))
        at = document.line((index, *path)) if document and index is not None else line
        message = error["msg"].removeprefix("Value error, ")
        allowed = ""
        if error["type"] == "extra_forbidden" and path:
            message = f"'{path[-1]}' is not a key here"
            allowed = did_you_mean(str(path[-1]), model.model_fields) or f"Allowed: {', '.join(model.model_fields)}."
        elif error["type"] == "missing":
            message = f"'{path[-1]}' is missing"
        where = ".".join(str(p) for p in path)
        yield Problem(f"{name}: {where + ': ' if where else ''}{message}", file, at, allowed)
