"""Advise: how urgent, may it be driven, cautions, what must not be opened or run, what belongs together. Rules over findings
and rounded chances; no arithmetic of chance here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.case.case import Case
from diagnose.knowledge.condition import VEHICLE_FIELDS
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES
from diagnose.rules.interpret import Found
from diagnose.rules.program import Given, Program
from diagnose.rules.record import Firing


@dataclass(frozen=True)
class Said:
    """A sentence and the rules that say it."""

    text: str
    rules: tuple[str, ...]
    because: tuple[str, ...]


@dataclass(frozen=True)
class Advice:
    """The case's urgency and what goes with it; urgencies of faults that rules changed; everything sorted."""

    urgency: str
    urgency_because: tuple[Said, ...]
    fault_urgency: Mapping[str, str]
    drive: tuple[Said, ...]
    cautions: tuple[Said, ...]
    notes: tuple[Said, ...]
    blocked: Mapping[str, str]
    run_blocked: str
    open_blocked: str
    together: tuple[tuple[str, ...], ...]
    firings: tuple[Firing, ...]


def advise(
    program: Program,
    case: Case,
    knowledge: Knowledge,
    findings: Mapping[str, Found],
    chance: Mapping[str, float],
    figures: Mapping[str, float],
) -> Advice:
    """Run the advising rules over the findings, the chances and the vehicle."""
    conclusions, firings = program.run(_facts(case, knowledge, findings, chance, figures))
    because = {name: knowledge.rules[name].because for name in {c.rule for c in conclusions}}

    def said(kind: str) -> tuple[Said, ...]:
        texts: dict[str, set[str]] = {}
        for c in conclusions:
            if c.outcome.kind == kind:
                texts.setdefault(c.outcome.value, set()).add(c.rule)
        return tuple(Said(text, tuple(sorted(r)), tuple(sorted({because[x] for x in r}))) for text, r in sorted(texts.items()))

    def first(kind: str) -> str:
        return next((because[c.rule] for c in conclusions if c.outcome.kind == kind), "")

    levels = [(URGENCIES.index(c.outcome.value), c) for c in conclusions if c.outcome.kind == "urgency" and c.outcome.about == "case"]
    highest = max((level for level, _ in levels), default=0)
    why: dict[str, set[str]] = {}
    for level, c in levels:
        if level == highest:
            why.setdefault(because[c.rule], set()).add(c.rule)
    raised: dict[str, str] = {}
    for c in conclusions:
        if c.outcome.kind == "urgency" and c.outcome.about != "case":
            raised[c.outcome.about] = max(raised.get(c.outcome.about, "none"), c.outcome.value, key=URGENCIES.index)
    return Advice(
        urgency=URGENCIES[highest],
        urgency_because=tuple(Said(text, tuple(sorted(r)), (text,)) for text, r in sorted(why.items())),
        fault_urgency=raised,
        drive=said("drive"),
        cautions=said("caution"),
        notes=said("note"),
        blocked={c.outcome.about: because[c.rule] for c in reversed(conclusions) if c.outcome.kind == "block"},
        run_blocked=first("block_running"),
        open_blocked=first("block_opening"),
        together=tuple(sorted({tuple(c.outcome.value.split("|")) for c in conclusions if c.outcome.kind == "together"})),
        firings=firings,
    )


def _facts(
    case: Case, knowledge: Knowledge, findings: Mapping[str, Found], chance: Mapping[str, float], figures: Mapping[str, float]
) -> Iterable[Given]:
    for field in sorted(VEHICLE_FIELDS):
        value = getattr(case.vehicle, field)
        yield Given("vehicle", field, {"value": "?" if value is None else value}, f"{field}: {'unknown' if value is None else value}")
    for name in knowledge.findings:
        found = findings.get(name)
        if found is None or found.level != "present":
            yield Given("no_finding", name, told=f"not found: {knowledge.findings[name].name}")
        if found is not None:
            levels = found.level if found.band == found.level else f"{found.level}|{found.band}"
            yield Given("finding", name, {"levels": levels}, f"{knowledge.findings[name].name}: {found.band.replace('_', ' ')}")
    for name, value in sorted(figures.items()):
        yield Given("figure", name, {"value": value}, f"{name} = {value:.3g}")
    worst = dict.fromkeys(URGENCIES, 0.0)
    for name, value in sorted(chance.items()):
        if name in knowledge.effects:
            yield Given("effect", name, {"chance": value}, f"{knowledge.effects[name].name}: {value:.0%}")
        elif name in knowledge.faults:
            fault = knowledge.faults[name]
            yield Given("fault", name, {"chance": value}, f"{fault.name}: {value:.0%}")
            if fault.kind == "fault":
                worst[fault.urgency] = max(worst[fault.urgency], value)
    for urgency, value in worst.items():
        yield Given("any_fault", urgency, {"chance": value}, f"likeliest fault that would mean '{urgency.replace('_', ' ')}': {value:.0%}")
