"""What separates two faults or harmless causes, from what each alone would show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagnose.errors import InputError, Problem
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.paper import Paper, sentence

TELLS_FROM = 0.05  # difference in chance from which a finding is named (estimate)
MOST = 8  # findings named; how many more there are is said


def apart_page(one: str, other: str, knowledge: Knowledge, width: int) -> str:
    """The page about what separates two causes. Raises InputError for what is not a fault or harmless cause."""
    _distinct(one, other, knowledge)
    first, second = knowledge.faults[one], knowledge.faults[other]
    paper = Paper(width)
    paper.heading(f"{sentence(first.name)[:-1]}, or {second.name}?")
    for fault in (first, second):
        paper.say(f"{sentence(fault.name)[:-1]}: {fault.told_apart or fault.mechanism}", mark="- ")
    rows = differences(one, other, knowledge)
    paper.gap()
    if not rows:
        paper.say("No finding known here tells one from the other.")
        return str(paper)
    paper.say("Each taken alone, and everything looked at as it should be:")
    for fault, low in ((first, second), (second, first)):
        own = [row for row in rows if (row.one > row.other) == (fault is first)]
        if own:
            paper.gap()
            paper.say(f"Speaks for: {fault.name}, against: {low.name}")
            for row in own[:MOST]:
                _row(row, knowledge, paper)
            if len(own) > MOST:
                paper.say(f"and {len(own) - MOST} more that tell less.", 2)
    return str(paper)


def _distinct(one: str, other: str, knowledge: Knowledge) -> None:
    problems = [
        Problem(f"'{name}' is not a fault or harmless cause", allowed="Two ids of faults or harmless causes are needed.")
        for name in (one, other)
        if name not in knowledge.faults
    ]
    if not problems and one == other:
        problems = [Problem("both names are the same", allowed="Give two different ones.")]
    if problems:
        raise InputError(*problems)


def apart_document(one: str, other: str, knowledge: Knowledge) -> dict[str, Any]:
    """What separates two causes, for programs: each finding with the chances of its most telling level. Raises InputError as the page."""
    _distinct(one, other, knowledge)
    rows = [
        {
            "finding": row.finding,
            "name": knowledge.findings[row.finding].name,
            "level": row.level,
            "one": round(row.one, 4),
            "other": round(row.other, 4),
            "differs": round(row.differs, 4),
            "tests": [{"id": p.id, "minutes": p.minutes} for p in knowledge.procedures_for(row.finding)],
        }
        for row in differences(one, other, knowledge)
    ]
    causes = [{"id": n, "name": knowledge.name_of(n), "told_apart": knowledge.faults[n].told_apart or ""} for n in (one, other)]
    return {"format": "apart 1", "one": causes[0], "other": causes[1], "differences": rows}


@dataclass(frozen=True)
class Difference:
    """A finding, its most telling level, that level's chance with each cause alone, and how far the two differ in all (0 to 1)."""

    finding: str
    level: str
    one: float
    other: float
    differs: float


def _row(row: Difference, knowledge: Knowledge, paper: Paper) -> None:
    entry = knowledge.findings[row.finding]
    result = f": {row.level.replace('_', ' ')}" if entry.bands else ""
    chances = f"{percent(max(row.one, row.other))} against {percent(min(row.one, row.other))}"
    tests = sorted(knowledge.procedures_for(row.finding), key=lambda p: (p.minutes, p.id))
    quickest = f"; quickest: {tests[0].name}, {tests[0].minutes:g} min" if tests else ""
    paper.say(f"{entry.name}{result} ({chances}{quickest})", 2, "- ")


def differences(one: str, other: str, knowledge: Knowledge) -> list[Difference]:
    """The findings that tell two causes apart, the most telling first."""
    from diagnose.knowledge.check.separation import signature

    a, b = signature(knowledge, one), signature(knowledge, other)
    out = []
    for name in sorted({*a, *b}):
        finding = knowledge.findings[name]
        silent = (1.0, *([0.0] * (len(finding.levels) - 1)))
        x, y = a.get(name, silent), b.get(name, silent)
        differs = 0.5 * sum(abs(p - q) for p, q in zip(x, y, strict=True))
        level = max(range(1, len(x)), key=lambda i: abs(x[i] - y[i]))
        if differs >= TELLS_FROM:
            out.append(Difference(name, finding.levels[level], x[level], y[level], differs))
    return sorted(out, key=lambda row: (-round(row.differs, 4), row.finding))
