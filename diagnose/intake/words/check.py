"""The check of knowledge/complaints: every id, answer, source and unit in the phrases, with file and line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from diagnose.case.quantity import parse
from diagnose.errors import InputError, KnowledgeError, Problem, did_you_mean
from diagnose.intake.words.phrases import load
from diagnose.knowledge.check.report import Report
from diagnose.knowledge.knowledge import BUILT_IN_SOURCES, Knowledge
from diagnose.yamlfile import Document, read

CODE = "complaint"


def check_complaints(root: Path, knowledge: Knowledge) -> list[Report]:
    """Errors in the phrases below `root`/complaints; nothing where there is no such folder."""
    directory = root / "complaints"
    if not directory.is_dir():
        return []
    problems: list[Problem] = []
    try:
        load(directory, tuple((name, tuple(f.bands)) for name, f in sorted(knowledge.findings.items())))
        documents = [read(path, KnowledgeError) for path in sorted(directory.rglob("*.yaml"))]
        problems += _further(documents, knowledge)
    except KnowledgeError as why:
        problems += why.problems
    return sorted({_report(root, p) for p in problems})


def _report(root: Path, problem: Problem) -> Report:
    file = Path(problem.file)
    shown = file.relative_to(root).as_posix() if file.is_relative_to(root) else str(file)
    return Report(shown, problem.line, "complaints", CODE, "error", problem.message, problem.allowed)


def _further(documents: Iterable[Document], knowledge: Knowledge) -> Iterator[Problem]:
    """What the reading of phrases lets pass, because it does no harm there: names that never come up, sources, units."""
    documents = list(documents)
    items = [(d, i, item) for d in documents for i, item in enumerate(d.data) if isinstance(item, dict)]
    themes: dict[str, str] = {str(item["theme"]): str(item.get("stands_for")) for _, _, item in items if "theme" in item}
    for document, i, item in items:
        for message, allowed in (*_names(item, knowledge, themes), *_sources(item, knowledge), *_units(item, knowledge)):
            yield document.problem((i,), message, allowed)


Said = tuple[str, str]


def _names(item: Mapping[str, Any], knowledge: Knowledge, themes: Mapping[str, str]) -> Iterator[Said]:
    about = str(item.get("finding") or item.get("theme") or "together")
    for name in item.get("instead_of") or ():
        if name not in knowledge.findings and name not in themes:
            yield _unknown(f"{about}: instead_of", str(name), {**knowledge.findings, **themes})
    for key, known in (("together", {**knowledge.findings, **themes}), ("means", dict(knowledge.findings))):
        for name, answer in (item.get(key) or {}).items():
            if name not in known:
                yield _unknown(key, str(name), known)
                continue
            finding = knowledge.findings.get(themes.get(name, name))
            allowed = ("yes", "no", *(finding.bands if finding else ()))
            if finding and answer not in allowed:
                yield f"{key}: '{answer}' is not an answer to {name}.", f"Allowed: {', '.join(allowed)}."


def _unknown(how: str, name: str, known: Iterable[str]) -> Said:
    return f"{how}: '{name}' is neither a finding nor a theme.", did_you_mean(name, known)


def _sources(item: Mapping[str, Any], knowledge: Knowledge) -> Iterator[Said]:
    known = {*knowledge.sources, *BUILT_IN_SOURCES}
    if "source" in item and item["source"] not in known:
        yield f"source: '{item['source']}' is not a known source.", did_you_mean(str(item["source"]), known)


def _units(item: Mapping[str, Any], knowledge: Knowledge) -> Iterator[Said]:
    entry = knowledge.findings.get(str(item.get("measured", "")))
    if entry is None or not entry.unit:
        return
    try:
        parse(f"1 {item['unit']}" if item["unit"] != "share" else 1, entry.unit)
    except InputError as why:
        yield f"measured: {entry.id}: its unit {item['unit']} does not go with {entry.unit}: {why}", ""
