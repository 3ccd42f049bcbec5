"""Putting the assessment together: from ids and numbers to what is told. Decides nothing that is not decided already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose import assessment as a
from diagnose.case.case import Case
from diagnose.case.observation import SILENT
from diagnose.explain.graph import Step, stories
from diagnose.explain.masks import masks
from diagnose.explain.understood import understood
from diagnose.explain.verdict import ORDINARY, Verdict, judge
from diagnose.explain.words import chance_word, cost_word, percent, weight_word
from diagnose.figures.derived import Derived
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES
from diagnose.plan.next_step import Allowed, Candidate, unsafe
from diagnose.plan.outlook import Columns
from diagnose.plan.proof import proofs
from diagnose.plan.proposal import Proposal, after
from diagnose.plan.settings import Settings
from diagnose.plan.telling import tell_first, tell_plan
from diagnose.rank.build import OUTSIDE
from diagnose.rank.network import Network, Node
from diagnose.rank.rank import Ranking
from diagnose.rules.advise import Advice, Said
from diagnose.rules.interpret import Interpretation
from diagnose.rules.record import Firing
from diagnose.rules.weigh import Route

SHOWN_FROM = 0.005  # chance of being needed, from which a fault stands in the list
QUITE_LIKELY = 0.25  # chance of a harmless cause of a reading that is in order, from which it is named (estimate)
BESIDE_FROM = 0.15  # chance of a weakness that accounts for nothing, from which it is told beside
MOST_LEADERS = 3
LEADS_FROM = 0.08
SPEAKS_FROM = 0.1  # log-odds from which a finding is named for or against


@dataclass(frozen=True)
class Parts:
    """All that the flow has worked out before it is told."""

    case: Case
    knowledge: Knowledge
    readings: Sequence[Derived]
    seen: Interpretation
    network: Network
    ranking: Ranking
    routes: Sequence[Route]
    advice: Advice
    settings: Settings
    before: Mapping[int, Mapping[str, float]] = field(default_factory=dict)  # by position in `done`: what each fault accounted for then


def compose(parts: Parts, proposal: Proposal | None, brief: bool = False) -> a.Assessment:
    """The assessment of a case. `brief`: of the plan only the first step is named."""
    told = tell_first if brief else tell_plan
    case, knowledge, advice = parts.case, parts.knowledge, parts.advice
    ranked = _ranked(parts)
    verdict = judge(parts, ranked)
    leading = [c for c in ranked if c.accounts >= LEADS_FROM][:MOST_LEADERS]
    return a.Assessment(
        title=case.title or "",
        invented=case.invented == "yes",
        complaint=case.complaint or "",
        urgency=verdict.urgency,
        urgency_because=_sentences(advice.urgency_because),
        drive=_sentences(_driving(parts)) or verdict.drive,
        verdict=verdict.word,
        headline=verdict.headline,
        understood=understood(case, knowledge, parts.readings, parts.seen),
        ranking=ranked,
        beside=_beside(parts, ranked),
        leaders=[_leader(parts, c) for c in leading],
        effects=_effects(parts),
        unexplained=_unexplained(parts),
        disagrees=_disagrees(parts, leading),
        masks=masks(knowledge, parts.ranking, ranked),
        cautions=_sentences(advice.cautions),
        notes=_sentences(advice.notes) + [a.Sentence(text=t, rules=[], because=[]) for t in parts.seen.notes],
        next=[_procedure(parts, proposal, c) for c in proposal.steps] if proposal else [],
        not_now=_not_now(parts, proposal, brief),
        after_repair=proofs(parts),
        plan=told(parts, proposal) if proposal else None,
        together=[list(t) for t in advice.together],
        rules_fired=_fired(parts.seen.firings, "interpret") + _fired(advice.firings, "advise"),
        exact=parts.ranking.exact,
        method=_method(parts),
    )


def _not_now(parts: Parts, proposal: Proposal | None, brief: bool) -> list[a.Closed]:
    """Tests held back; without a plan, and where the next question needs it, those that would not be safe."""
    if proposal is not None:
        return [a.Closed(id=c.procedure.id, name=c.procedure.name, why=c.why) for c in proposal.closed]
    if not brief:
        return []
    advice = parts.advice
    allowed = Allowed(parts.ranking.chance, advice.blocked, advice.run_blocked, advice.urgency)
    found = [(p, unsafe(p, parts.knowledge, allowed)) for p in parts.knowledge.procedures.values()]
    return [a.Closed(id=p.id, name=p.name, why=why) for p, why in found if why]


def _evidence(parts: Parts) -> dict[str, tuple[float, ...]]:
    return {name: found.likelihood for name, found in parts.seen.findings.items() if name in parts.network.nodes}


def urgency_of(parts: Parts, name: str) -> str:
    """How urgent a fault would be: its own, or what a rule made of it."""
    return parts.advice.fault_urgency.get(name, parts.knowledge.faults[name].urgency)


def _candidate(parts: Parts, name: str) -> a.Candidate:
    fault, ranking = parts.knowledge.faults[name], parts.ranking
    return a.Candidate(
        id=name,
        name=fault.name,
        kind=fault.kind,
        chance=ranking.chance[name],
        said=_said(fault.kind, ranking.chance[name], ranking.before[name], parts.knowledge),
        before=ranking.before[name],
        accounts=ranking.accounts[name],
        urgency=urgency_of(parts, name),
    )


def _said(kind: str, chance: float, before: float, knowledge: Knowledge) -> str:
    """The word for a chance. A harmless cause that is nearly always there is not "proven" by being there."""
    return "ordinary on such a vehicle" if kind == "harmless" and before >= ORDINARY else chance_word(chance, knowledge)


def _ranked(parts: Parts) -> list[a.Candidate]:
    """Faults and harmless causes by the chance that they are there and needed for what was found."""
    kinds = parts.knowledge.faults
    names = [n for n in parts.ranking.chance if n in kinds and kinds[n].kind != "event"]
    names.sort(key=lambda n: (-parts.ranking.accounts[n], -parts.ranking.chance[n], n))
    shown = [n for n in names if parts.ranking.accounts[n] >= SHOWN_FROM]
    return [_candidate(parts, n) for n in shown or _ordinary(parts, names)]


def _ordinary(parts: Parts, names: Sequence[str]) -> list[str]:
    """With nothing to explain: what makes a reading that was taken look odd on such a vehicle, and is how it should be."""
    taken = {n for n, f in parts.seen.findings.items() if f.level == "absent" and parts.knowledge.findings[n].bands}
    harmless = [n for n in names if parts.knowledge.faults[n].kind == "harmless" and parts.ranking.chance[n] >= QUITE_LIKELY]
    return [n for n in harmless if any(link.finding in taken for link in parts.knowledge.faults[n].shows)]


def _beside(parts: Parts, ranked: Sequence[a.Candidate]) -> list[a.Candidate]:
    kinds = parts.knowledge.faults
    named = {c.id for c in ranked if c.accounts >= LEADS_FROM}
    names = [n for n, c in parts.ranking.chance.items() if n in kinds and kinds[n].kind == "fault" and c >= BESIDE_FROM and n not in named]
    return [_candidate(parts, n) for n in sorted(names, key=lambda n: (-parts.ranking.chance[n], n))]


def _leader(parts: Parts, candidate: a.Candidate) -> a.Leader:
    knowledge, fault = parts.knowledge, parts.knowledge.faults[candidate.id]
    weights = sorted(
        ((w[candidate.id], name) for name, w in parts.ranking.weights.items() if abs(w[candidate.id]) >= SPEAKS_FROM),
        key=lambda x: (-abs(x[0]), x[1]),
    )
    told = [a.Weight(finding=n, name=_finding_words(parts, n), weight=w, said=weight_word(w)) for w, n in weights]
    paths = stories(parts.routes, candidate.id, parts.ranking.chance)
    return a.Leader(
        id=candidate.id,
        name=fault.name,
        mechanism=fault.mechanism,
        evidence_for=[w for w in told if w.weight > 0],
        evidence_against=[w for w in told if w.weight < 0],
        story=[[_arrow(step, knowledge) for step in path] for path in paths],
        told_apart=fault.told_apart or "",
        nearest=[knowledge.name_of(n) for n in fault.nearest],
        drive=fault.drive or "",
        if_left=fault.if_left or "",
        repairs=[_repair(parts, r) for r in fault.repair if r in knowledge.repairs],
    )  # fmt: skip


def _arrow(step: Step, knowledge: Knowledge) -> a.Arrow:
    text = f"{knowledge.name_of(step.cause)} → {knowledge.name_of(step.sign)}"
    return a.Arrow(cause=step.cause, sign=step.sign, text=text, because=step.because, source=step.source, where=step.where)


def _repair(parts: Parts, name: str) -> a.RepairStep:
    repair = parts.knowledge.repairs[name]
    low, high = (cost_word(repair.hours + p, parts.settings) for p in repair.parts)
    return a.RepairStep(
        id=name,
        name=repair.name,
        hours=repair.hours,
        parts_in_hours=repair.parts,
        cost=low if low == high else f"{low} to {high}",
        do_with_it=list(repair.do_with_it),
        prove=repair.prove,
        cautions=list(repair.cautions),
    )


def _finding_words(parts: Parts, name: str) -> str:
    """A finding as it was found, in words."""
    finding, found = parts.knowledge.findings[name], parts.seen.findings[name]
    if finding.bands:
        return f"{finding.name}: {found.band.replace('_', ' ')}"
    return {"absent": f"not found: {finding.name}", "unsure": f"perhaps: {finding.name}"}.get(found.level, finding.name)


def _effects(parts: Parts) -> list[a.Effect]:
    found = [(n, c) for n, c in parts.ranking.chance.items() if n in parts.knowledge.effects and c >= 0.05]
    return [a.Effect(id=n, name=parts.knowledge.effects[n].name, chance=c) for n, c in sorted(found, key=lambda x: (-x[1], x[0]))]


def _unexplained(parts: Parts) -> list[str]:
    """Findings that are more likely a misreading than anything known here, and effects with a cause from outside."""
    out = []
    exact = parts.ranking.exact_chance or parts.ranking.chance
    places = Columns({parts.network.place(n): [c] for n, c in exact.items()})
    for name, found in sorted(parts.seen.findings.items()):
        node = parts.network.nodes.get(name)
        if found.level != "present" or not isinstance(node, Node):
            continue
        leak = sum(node.leak)
        whole = 1.0 - float(places.levels(node)[0, 0])
        if whole > 0 and leak / whole > 0.5:
            out.append(f"{_finding_words(parts, name)}: nothing known here explains it well; look again.")
    for name, chance in sorted(parts.ranking.chance.items()):
        if name.startswith(OUTSIDE) and chance >= 0.15:
            effect = parts.knowledge.effects[name.removeprefix(OUTSIDE)]
            out.append(f"{effect.name}: {percent(chance)} that its cause is something this knowledge does not hold.")
    return out


def _disagrees(parts: Parts, leading: Sequence[a.Candidate]) -> list[str]:
    out = [
        f"{parts.knowledge.findings[n].name}: reports contradict each other."
        for n, f in sorted(parts.seen.findings.items())
        if f.contradicted
    ]
    if leading:
        first = leading[0]
        for name, weights in sorted(parts.ranking.weights.items()):
            if weights[first.id] <= -0.7:
                out.append(f"{_finding_words(parts, name)}: speaks {weight_word(weights[first.id])} against {first.name}.")
    return out


def _driving(parts: Parts) -> list[Said]:
    """How it may be driven: what rules say that take the case to be as urgent as it is, or that speak of nothing but driving.

    A rule for a milder case that holds as well ("look at the level before the next drive") would contradict the stricter one.
    """
    case = URGENCIES.index(parts.advice.urgency)
    out = []
    for said in parts.advice.drive:
        urgent = [
            t["urgency"] for r in said.rules for t in parts.knowledge.rules[r].then if "urgency" in t and t.get("for", "case") == "case"
        ]
        if not urgent or max(map(URGENCIES.index, urgent)) >= case:
            out.append(said)
    return out


def _sentences(said: Sequence[Said]) -> list[a.Sentence]:
    return [a.Sentence(text=s.text, rules=list(s.rules), because=list(s.because)) for s in said]


def _procedure(parts: Parts, proposal: Proposal, candidate: Candidate) -> a.Procedure:
    procedure, knowledge = candidate.procedure, parts.knowledge
    best = candidate.tells[0]
    outcomes = []
    for result, chance, posterior in best.outcomes:
        shares = after(proposal.worlds, posterior)
        name, share = max(shares.items(), key=lambda x: (x[1], x[0]))
        then = f"{knowledge.faults[name].name} {percent(share)}" if share >= posterior[-1] else "more likely none of the faults named"
        outcomes.append(a.Outcome(finding=best.finding, result=result, chance=round(chance, 3), then=then))
    return a.Procedure(
        id=procedure.id,
        name=procedure.name,
        why=_why(parts, proposal, candidate),
        minutes=procedure.minutes,
        cost=cost_word(procedure.minutes / 60.0 + procedure.consumables, parts.settings),
        tools=list(procedure.tools),
        skill=procedure.skill,
        engine=procedure.engine,
        how=list(procedure.how),
        cautions=list(procedure.cautions),
        outcomes=outcomes,
        gain=round(candidate.bits, 3),
    )


def _why(parts: Parts, proposal: Proposal, candidate: Candidate) -> str:
    """Which leader each result would speak for: the one whose share grows most."""
    best, knowledge = candidate.tells[0], parts.knowledge
    before = proposal.worlds.share
    sentences = []
    for result, _, posterior in best.outcomes:
        gains = sorted(((posterior[i] - before[i], n) for i, n in enumerate(proposal.worlds.leaders)), key=lambda x: (-x[0], x[1]))
        if gains and gains[0][0] > 0.01:
            i = proposal.worlds.leaders.index(gains[0][1])
            sentences.append(
                f"'{result.replace('_', ' ')}' would lift {knowledge.faults[gains[0][1]].name} "
                f"from {percent(before[i])} to {percent(posterior[i])}"
            )
    finding = knowledge.findings[best.finding].name
    if not sentences:
        return f"{finding}: {parts.seen.asks.get(best.finding, 'would thin out the list.')}"
    return f"{finding}: {'; '.join(sentences)}."


def _fired(firings: Sequence[Firing], phase: str) -> list[a.Fired]:
    return [
        a.Fired(rule=f.rule, phase=phase, matched=list(f.matched), concluded=list(f.concluded), because=f.because, source=f.source)
        for f in firings
    ]


def _method(parts: Parts) -> str:
    query = parts.ranking.query
    if parts.ranking.exact and query is not None and query.settled:
        return "exact over all faults at once, after what was answered about the past was settled on its own"
    if parts.ranking.exact:
        return "exact over all faults at once"
    return "approximate: these findings tie too much together for the exact method; chances may be off by some hundredths"


__all__ = ["SILENT", "Parts", "Verdict", "compose", "urgency_of"]
