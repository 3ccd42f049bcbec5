"""The plan in words: each step with its reason, price and what each result would mean; when to stop; what has to be asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from diagnose import assessment as a
from diagnose.explain.words import cost_word, percent
from diagnose.plan.changes import changes
from diagnose.plan.cost import ELSEWHERE
from diagnose.plan.cut import Cut
from diagnose.plan.exact import STOP, Action
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.mending import START, Stage, mending
from diagnose.plan.next_step import Candidate
from diagnose.plan.policy import Plan
from diagnose.plan.problem import Array, Pattern
from diagnose.plan.proposal import Proposal

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

MOST_STEPS = 3
RARE = 0.02  # results rarer than this are not told
WAITS = {"engine_warm": "the engine has to be cold again", "system_open": "the system has to stay closed for a run and a night"}


def tell_plan(parts: Parts, proposal: Proposal) -> a.Plan:
    """The plan of a proposal, in words."""
    problem, chosen = proposal.cut.problem, proposal.plan
    told = Teller(parts, proposal.cut, proposal.plan)
    untested = float(mending(problem).values(problem.prior[None, :])[0])
    return a.Plan(
        steps=told.steps(),
        end=told.end(_first(proposal)),
        expected_hours=round(chosen.cost, 2),
        untested_hours=round(untested, 2),
        least_hours=round(min(chosen.choice.least_possible, chosen.cost), 2),
        exact=chosen.exact,
        method=_method(chosen.exact, chosen.cost, chosen.choice.least_possible),
        changes=changes(told),
        expected=cost_word(round(chosen.cost, 2), parts.settings),
        untested=cost_word(round(untested, 2), parts.settings),
        least=cost_word(round(min(chosen.choice.least_possible, chosen.cost), 2), parts.settings),
        ask=_ask(parts, proposal),
    )


def _first(proposal: Proposal) -> Candidate | None:
    return next(iter((*proposal.steps, *proposal.candidates)), None)


def _ask(parts: Parts, proposal: Proposal) -> a.Ask | None:
    """What would be done next if it were paid for: its price, what it would tell, what it is expected to save."""
    if proposal.asked is None:
        return None
    cut, chosen = proposal.asked
    step = Teller(parts, cut, chosen).steps(1)[0]
    settings = parts.settings
    agreed = cost_word(_agreed(parts), settings)
    left = cost_word(settings.left or 0.0, settings)
    saves = cost_word(max(0.0, proposal.plan.cost - chosen.cost), settings)
    text = (
        f"Ask before going on: the next step is '{step.name}' for {step.cost}; {left} is left of the {agreed} agreed for tests. "
        f"On average it saves {saves} against going on without it, its price taken off."
    )
    return a.Ask(
        id=step.id, name=step.name, minutes=step.minutes, cost=step.cost, agreed=agreed, left=left, saves=saves, results=step.results,
        text=text,
    )  # fmt: skip


def _agreed(parts: Parts) -> float:
    """Hours' pay agreed for tests in all."""
    return (parts.settings.agreed or 0.0) / (parts.settings.labour_rate or 1.0)


def tell_first(parts: Parts, proposal: Proposal) -> a.Plan:
    """Only what the plan begins with, and what it is expected to cost: what a session needs between two questions."""
    problem, chosen = proposal.cut.problem, proposal.plan
    kind, i = chosen.action
    name, cost = "", 0.0
    if kind == "test":
        name, cost = problem.tests[i].id, problem.tests[i].cost
    elif kind == "repair":
        name, cost = problem.repairs[i].id, problem.repairs[i].cost
    step = a.PlanStep(
        kind=kind, id=name, name=parts.knowledge.name_of(name), why="", minutes=round(60.0 * cost), cost="", results=[]
    )  # fmt: skip
    return a.Plan(
        steps=[step], end="", expected_hours=round(chosen.cost, 2), untested_hours=0.0,
        least_hours=round(min(chosen.choice.least_possible, chosen.cost), 2), exact=chosen.exact, method="", changes=[],
    )  # fmt: skip


def _method(exact: bool, cost: float, least: float) -> str:
    if exact:
        return "the least expected cost over all courses of action among these tests and repairs"
    most = max(0.0, cost - least)
    return f"two tests ahead, then the best order of repairs; even perfect knowledge would save no more than {most:.1f} hours"


class Teller:
    """One cut and its plan, told."""

    def __init__(self, parts: Parts, cut: Cut, plan: Plan) -> None:
        self.parts, self.cut, self.plan, self.problem = parts, cut, plan, cut.problem
        self.ahead = Lookahead(self.problem, 1)

    def name(self, pattern: Pattern) -> str:
        """Faults that are there together, in words."""
        names = [self.parts.knowledge.faults[f].name if f != ELSEWHERE else "something not named here" for f in sorted(pattern)]
        return " with ".join(names) if names else "nothing wrong"

    def action(self, action: Action) -> str:
        """An action in words; a repair with what belongs to it."""
        kind, i = action
        if kind == "test":
            return self.parts.knowledge.procedures[self.problem.tests[i].id].name
        if kind != "repair":
            return "stop testing here"
        repairs = self.parts.knowledge.repairs
        along = [repairs[r].name for r in self.problem.repairs[i].joined]
        return repairs[self.problem.repairs[i].id].name + (f", and with it {' and '.join(along)}" if along else "")

    def leading(self, belief: Array) -> str:
        """The likeliest pattern with its chance."""
        place = int(np.argmax(np.round(belief / belief.sum(), 9)))
        return f"{self.name(self.problem.patterns[place])} {percent(float(belief[place] / belief.sum()))}"

    def steps(self, most: int = MOST_STEPS) -> list[a.PlanStep]:
        """The first steps, each result being the likeliest one."""
        out: list[a.PlanStep] = []
        belief, stage, left = self.problem.prior, START, (1 << len(self.problem.tests)) - 1
        action = self.plan.action
        while len(out) < most:
            if action == STOP:
                break
            if action[0] == "repair":
                out.append(self._repair(action[1], belief, stage))
                break
            step, belief, stage, left, action = self._test(action[1], belief, stage, left)
            out.append(step)
        return out

    def _test(self, i: int, belief: Array, stage: Stage, left: int) -> tuple[a.PlanStep, Array, Stage, int, Action]:
        test = self.problem.tests[i]
        procedure = self.parts.knowledge.procedures[test.id]
        left &= ~(1 << i)
        after = (stage[0], self.problem.after_test(test, stage[1]))
        results = []
        following: tuple[float, Array, Action] = (-1.0, belief, STOP)
        for k, shown in enumerate(self.cut.shown[test.id]):
            told = belief * self.problem.tables[i][:, k]
            mass = float(told.sum())
            if mass < RARE:
                continue
            action = self.ahead.choose(told, after, left).action
            finding = self.parts.knowledge.findings.get(shown.finding)
            level = "" if shown.level == "present" else f": {shown.level.replace('_', ' ')}"
            result = f"{finding.name}{level}" if finding else "nothing out of the ordinary"
            results.append(a.PlanResult(result=result, chance=round(mass, 3), means=self.leading(told), then=self.action(action)))
            if mass > following[0] + 1e-9:
                following = (mass, told / mass, action)
        price = self.problem.price(test, stage[1])
        step = a.PlanStep(
            kind="test", id=test.id, name=procedure.name, why=self._why(results), minutes=procedure.minutes,
            cost=cost_word(price, self.parts.settings), results=results, shared=self._shared(test.access & stage[1]),
            waits=[WAITS[w] for w in sorted(test.waits & stage[1])],
        )  # fmt: skip
        return step, following[1], after, left, following[2]

    def _shared(self, open_already: frozenset[str]) -> list[str]:
        return [p.name for p in sorted(self.parts.knowledge.access.values(), key=lambda p: p.id) if p.place in open_already]

    @staticmethod
    def _why(results: list[a.PlanResult]) -> str:
        if len({r.then for r in results}) > 1:
            return "Its result decides what is done next."
        return "Alone it does not change the next step, but with the next test it does."

    def _repair(self, i: int, belief: Array, stage: Stage) -> a.PlanStep:
        repair = self.problem.repairs[i]
        entry = self.parts.knowledge.repairs[repair.id]
        chance = float(sum(b for p, b in zip(self.problem.patterns, belief, strict=True) if p & repair.removes))
        step = next(s for s in self.ahead.mending.steps(stage) if s.repair == i)
        on = belief * step.goes_on
        results = [
            a.PlanResult(
                result="the proof is good", chance=round(1.0 - float(on.sum()), 3), means="mended", then="done; look again after a week"
            )
        ]
        if float(on.sum()) >= RARE:
            then = self.action(self.ahead.choose(on, step.to).action)
            results.append(a.PlanResult(result="the trouble goes on", chance=round(float(on.sum()), 3), means=self.leading(on), then=then))
        why = f"{percent(chance)} that it removes the cause, and no test that is left is worth its price first. Proof: {entry.prove}"
        hours = self.problem.price(repair, stage[1])
        return a.PlanStep(
            kind="repair", id=repair.id, name=entry.name, why=why, minutes=round(60.0 * entry.hours),
            cost=cost_word(hours, self.parts.settings), results=results, shared=self._shared(repair.access & stage[1]),
            together=[self.parts.knowledge.repairs[r].name for r in repair.joined],
        )  # fmt: skip

    def end(self, first: Candidate | None) -> str:
        """When to stop. `first`: the test that would come next."""
        kind, _ = self.plan.action
        if kind == "test":
            return "Enter each result and the plan is made anew from it. Stop testing as soon as no result could change the next step."
        proof = f" The next proof, {self._next(first)}." if first else " No test is left that could be done here."
        if kind == "repair":
            return f"No affordable test could change what to do: repair, then prove it.{proof}"
        place = int(np.argmax(self.problem.prior))
        pattern = self.problem.patterns[place]
        if not any(self.problem.leave.get(f, 0.0) > 0.0 for f in pattern):
            return f"Nothing to mend: {self.leading(self.problem.prior)}, and no affordable test could change that."
        return f"Unproven, and no repair is worth its price on this.{proof}"

    def _next(self, first: Candidate) -> str:
        return f"{first.procedure.name}, costs {cost_word(first.minutes / 60.0, self.parts.settings)}"
