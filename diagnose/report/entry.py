"""Everything about one entry of the knowledge, in prose."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from diagnose.explain.words import URGENCY_WORDS
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Effect, Fault, Finding, Procedure, Reading, Repair, Rule
from diagnose.report.entry_parts import causes_of, head, links_of, share, source, when_words
from diagnose.report.paper import Paper, listed, sentence
from diagnose.report.seen import source_words

KIND_WORDS = {"fault": "a fault", "harmless": "a harmless cause", "event": "something of the past"}


def entry_page(name: str, knowledge: Knowledge, width: int) -> str:
    """The page about `name`, an id of a fault, effect, finding, procedure, repair, reading or rule."""
    paper = Paper(width)
    for _, kind, tell in _kinds(knowledge):
        if name in kind:
            tell(kind[name], knowledge, paper)
            file, line = knowledge.where.get(name, ("", 0))
            if file:
                paper.gap()
                paper.say(f"Written in {file}, line {line}.")
            return str(paper)
    raise KeyError(name)


def _kinds(knowledge: Knowledge) -> tuple[tuple[str, Mapping[str, Any], Callable[[Any, Knowledge, Paper], None]], ...]:
    return (
        ("fault", knowledge.faults, _fault), ("effect", knowledge.effects, _effect), ("finding", knowledge.findings, _finding),
        ("procedure", knowledge.procedures, _procedure), ("repair", knowledge.repairs, _repair), ("reading", knowledge.readings, _reading),
        ("rule", knowledge.rules, _rule),
    )  # fmt: skip


def entry_document(name: str, knowledge: Knowledge) -> dict[str, Any]:
    """All about an entry for programs: the entry as it is written, every arrow into and out of it, where it stands."""
    from diagnose.report.neighbourhood import edges

    what, entry = next((what, kind[name]) for what, kind, _ in _kinds(knowledge) if name in kind)
    file, line = knowledge.where.get(name, ("", 0))
    arrows = edges(name, knowledge)
    return {
        "format": "entry 1",
        "id": name,
        "is": KIND_WORDS[entry.kind] if what == "fault" else what,
        "name": knowledge.name_of(name),
        "entry": entry.model_dump(mode="json"),
        "from": [{"id": a, "name": knowledge.name_of(a), "said": text} for a, b, text in arrows if b == name],
        "to": [{"id": b, "name": knowledge.name_of(b), "said": text} for a, b, text in arrows if a == name],
        "file": file,
        "line": line,
    }


def known_ids(knowledge: Knowledge) -> list[str]:
    """Every id that has a page."""
    k = knowledge
    kinds: tuple[Mapping[str, object], ...] = (
        k.faults, k.effects, k.findings, k.procedures, k.repairs, k.readings, k.rules,
    )  # fmt: skip
    return sorted({name for kind in kinds for name in kind})


def _fault(fault: Fault, knowledge: Knowledge, paper: Paper) -> None:
    urgency = f"; {URGENCY_WORDS[fault.urgency].lower()}" if fault.kind == "fault" else ""
    head(fault.name, f"[{fault.id}] is {KIND_WORDS[fault.kind]}{urgency}.", paper)
    paper.say(fault.mechanism)
    paper.say(f"How common: {share(fault.prior.complaint)} where there is a complaint, {share(fault.prior.routine)} at a routine look.")
    for variant in fault.prior_in_context:
        common = f"{share(variant.complaint)} and {share(variant.routine)}"
        paper.say(f"with {when_words(variant.when)}: {common}. {sentence(variant.because)}", 2, "- ")
    if fault.needs:
        paper.say(f"Only where the vehicle has: {when_words(fault.needs)}.")
    for after in fault.likelier_after:
        paper.say(f"Likelier after: {knowledge.name_of(after.event)} (adds {share(after.chance)}). {sentence(after.because)}")
    links_of("Leads to:", fault.links, knowledge, paper)
    paper.gap()
    for title, text in (("Driving", fault.drive), ("If left", fault.if_left), ("Told apart", fault.told_apart)):
        if text:
            paper.say(f"{title}: {text}")
    if fault.nearest:
        paper.say(f"Looks alike: {'; '.join(f'{knowledge.name_of(n)} [{n}]' for n in fault.nearest)}.")
    if fault.repair:
        paper.say(f"Mended by: {'; '.join(f'{knowledge.name_of(r)} [{r}]' for r in fault.repair)}.")
    source(fault.source, fault.note, knowledge, paper)


def _effect(effect: Effect, knowledge: Knowledge, paper: Paper) -> None:
    head(effect.name, f"[{effect.id}] is an effect: what physically happens.", paper)
    paper.say(effect.mechanism)
    paper.say(f"Chance that something not held here brings it about: {share(effect.outside)}.")
    causes_of(effect.id, knowledge, paper)
    links_of("Leads to:", effect.leads_to, knowledge, paper)
    links_of("Shows as:", effect.shows, knowledge, paper)
    source(effect.source, effect.note, knowledge, paper)


def _finding(finding: Finding, knowledge: Knowledge, paper: Paper) -> None:
    head(finding.name, f"[{finding.id}] is a finding; where to look: {finding.place.replace('_', ' ')}.", paper)
    paper.say(f"Ask: {finding.ask}")
    if finding.bands:
        unit = f" {finding.unit}" if finding.unit else ""
        for band in finding.along or finding.bands:
            paper.say(f"{band.replace('_', ' ')}: {finding.band_is[band]}", 2, "- ")
        for edge in finding.edges:
            paper.say(f"Limit at {edge.at:g}{unit}, give or take {edge.spread:g}{unit}.", 2)
    else:
        paper.say(f"yes: {finding.yes_is}", 2, "- ")
        paper.say(f"no: {finding.no_is}", 2, "- ")
    if finding.also:
        paper.say(f"Also called: {', '.join(finding.also)}.")
    if finding.shows_when:
        paper.say(f"A no counts only with {when_words(finding.shows_when.when)}: {sentence(finding.shows_when.because)}")
    paper.say(f"Misread: {share(finding.misread)}.")
    causes_of(finding.id, knowledge, paper)
    found = knowledge.procedures_for(finding.id)
    if found:
        paper.gap()
        paper.say(f"Found by: {'; '.join(f'{p.name} [{p.id}], {p.minutes:g} min' for p in found)}.")
    source(finding.source, finding.note, knowledge, paper)


def _procedure(procedure: Procedure, knowledge: Knowledge, paper: Paper) -> None:
    needs = f"{procedure.minutes:g} min, {procedure.skill} skill, engine {procedure.engine.replace('_', ' ')}"
    head(procedure.name, f"[{procedure.id}] is a test: {needs}.", paper)
    paper.items((f"CAREFUL: {c}" for c in procedure.cautions), 0, "")
    paper.numbered(procedure.how)
    if procedure.tools:
        paper.say(f"Tools: {listed(procedure.tools)}.")
    if procedure.opens:
        paper.say(f"Opens: {listed(procedure.opens)}.")
    if procedure.needs:
        paper.say(f"Only where: {when_words(procedure.needs)}.")
    if procedure.not_when:
        paper.say(f"Not while this is to be reckoned with: {'; '.join(knowledge.name_of(n) for n in procedure.not_when)}.")
    paper.say(f"Can show: {'; '.join(f'{knowledge.name_of(f)} [{f}]' for f in procedure.gives)}.")
    if procedure.misled:
        paper.say(f"Misled in {share(procedure.misled.chance)}: {sentence(procedure.misled.because)}")
    if procedure.leaves:
        paper.say(f"Leaves: {listed(procedure.leaves)}.")
    source(procedure.source, procedure.note, knowledge, paper)


def _repair(repair: Repair, knowledge: Knowledge, paper: Paper) -> None:
    low, high = repair.parts
    head(repair.name, f"[{repair.id}] is a repair: {repair.hours:g} h; parts worth {low:g} to {high:g} hours' pay.", paper)
    paper.items((f"CAREFUL: {c}" for c in repair.cautions), 0, "")
    paper.say(f"Removes: {'; '.join(f'{knowledge.name_of(f)} [{f}]' for f in repair.removes)}.")
    if repair.do_with_it:
        paper.say("With it:")
        paper.items(repair.do_with_it, 2)
    paper.say(f"Proof that it worked: {repair.prove}")
    source(repair.source, repair.note, knowledge, paper)


def _reading(reading: Reading, knowledge: Knowledge, paper: Paper) -> None:
    head(reading.name, f"[{reading.id}] is a reading in {reading.unit or 'no unit'}.", paper)
    paper.say(f"It becomes: {knowledge.name_of(reading.finding)} [{reading.finding}].")
    if reading.also:
        paper.say(f"Also called: {', '.join(reading.also)}.")
    source(reading.source, reading.note, knowledge, paper)


def _rule(rule: Rule, knowledge: Knowledge, paper: Paper) -> None:
    head(rule.id.replace("_", " "), f"[{rule.id}] is a rule that {'reads' if rule.phase == 'interpret' else 'advises'}.", paper)
    paper.say("When:")
    paper.items((_plain(item) for item in rule.when), 2)
    paper.say("Then:")
    paper.items((_plain(item) for item in rule.then), 2)
    paper.say(f"Because: {rule.because}")
    paper.say(f"Source: {source_words(rule.source, knowledge)}.")


def _plain(item: Mapping[str, object]) -> str:
    return ", ".join(f"{key.replace('_', ' ')}: {value}" for key, value in item.items())
