"""The flow, top to bottom: a case in, an assessment out. Pure: no clock, no file, no setting but those given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.compiled import Compiled, compiled
from diagnose.explain.compose import Parts, compose
from diagnose.figures.figures import derive
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.proposal import propose
from diagnose.plan.settings import Settings
from diagnose.rank.build import Context, build, possible
from diagnose.rank.network import Evidence
from diagnose.rank.rank import rank
from diagnose.rules.advise import advise
from diagnose.rules.interpret import interpret

HARD = 1e-6  # a likelihood below this is nothing


@dataclass(frozen=True)
class Worked:
    """A case worked out as far as advice: what the plan and the telling start from."""

    parts: Parts
    ready: Compiled
    context: Context
    evidence: Evidence


def assess(case: Case, knowledge: Knowledge, settings: Settings | None = None, plan: bool = True) -> Assessment:
    """Everything that can be said about `case`. `plan=False` leaves out the proposed tests.

    Raises InputError for a case that cannot be understood, KnowledgeError for knowledge that cannot be used.
    """
    worked = work_out(case, knowledge, settings)
    proposal = propose(worked.parts, worked.ready, worked.context, worked.evidence) if plan else None
    return compose(worked.parts, proposal)


class Sketcher:
    """The same answers between two questions: chances, urgency, driving, verdict and next tests as `assess` gives them, without what
    only a page tells (evidence for and against, the causal story, the plan in words). The last case is kept: asked for a plan
    afterwards, only the plan is worked out.
    """

    def __init__(self, knowledge: Knowledge, settings: Settings | None = None) -> None:
        self.knowledge, self.settings = knowledge, settings
        self._last: tuple[Case, Worked] | None = None

    def __call__(self, case: Case, plan: bool = True, left_out: tuple[str, ...] = ()) -> Assessment:
        """The short assessment of `case`. `left_out`: procedures that are not to be planned with now. Raises as `assess`."""
        if self._last is None or self._last[0] != case:
            self._last = (case, work_out(case, self.knowledge, self.settings, brief=True))
        worked = self._last[1]
        if not plan:
            return compose(worked.parts, None, brief=True)
        given = worked.parts.settings
        parts = replace(worked.parts, settings=given.model_copy(update={"refused": (*given.refused, *left_out)}))
        return compose(parts, propose(parts, worked.ready, worked.context, worked.evidence), brief=True)


def work_out(case: Case, knowledge: Knowledge, settings: Settings | None = None, brief: bool = False) -> Worked:
    """The flow as far as advice. `brief`: without what is only told (weights, shadows, routes). Raises as `assess`."""
    settings = settings or Settings()
    ready = compiled(knowledge)
    readings = derive(case, knowledge)
    seen = interpret(ready.interpret, case, readings, knowledge)

    told = {name: found for name, found in seen.findings.items() if min(found.likelihood) < max(found.likelihood) - HARD}
    context = context_of(case, knowledge, {name: dict(found.conditions or {}) for name, found in told.items()})
    network = build(knowledge, ready.links, context, told)
    evidence = {name: found.likelihood for name, found in told.items()}
    history = [name for name in told if name in ready.links.history]
    suspects = [name for name in network.places if name in knowledge.faults and knowledge.faults[name].kind != "event"]
    ranking = rank(network, evidence, history, [*network.places, *network.outside()], suspects, weigh=not brief)

    levels = {} if brief else {name: f.level for name, f in told.items()}
    routes = ready.weigh.run(levels, [*possible(knowledge, context), *knowledge.effects])
    figures = {d.finding: d.measure.value for d in readings if d.measure}
    advice = advise(ready.advise, case, knowledge, seen.findings, ranking.chance, figures)
    parts = Parts(case, knowledge, readings, seen, network, ranking, routes, advice, settings, _before(case, knowledge))
    return Worked(parts, ready, context, evidence)


def _before(case: Case, knowledge: Knowledge) -> dict[int, Mapping[str, float]]:
    """For each thing done at which it was seen what was really wrong: what each fault accounted for before that."""
    out: dict[int, Mapping[str, float]] = {}
    for i, done in enumerate(case.done):
        if done.found:
            seen = tuple(o for o in case.observations if o.on is None or done.on is None or o.on < done.on)
            out[i] = work_out(case.model_copy(update={"observations": seen, "done": case.done[:i]}), knowledge).parts.ranking.accounts
    return out


def context_of(case: Case, knowledge: Knowledge, circumstances: dict[str, dict[str, object]]) -> Context:
    """What the chances depend on: the vehicle, why it is here, how each thing was seen, what was repaired, what is asked of the past."""
    facts = {**case.vehicle.model_dump(exclude={"name"}), "why_here": "routine" if case.why_here == "routine" else "complaint"}
    repaired: set[str] = set()
    for done in case.done:
        repair = knowledge.repairs.get(done.repair or "")
        repaired |= set(repair.removes) if repair else set()
    return Context(facts, circumstances, frozenset(repaired))
