"""The plan in words: each step with its reason, price and what each result would mean; when to stop; what would change it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from diagnose import assessment as a
from diagnose.explain.words import cost_word, percent
from diagnose.plan.cost import ELSEWHERE
from diagnose.plan.exact import STOP, Action
from diagnose.plan.lookahead import Lookahead
from diagnose.plan.mending import START, Stage, mending
from diagnose.plan.problem import Array, Pattern, Problem
from diagnose.plan.proposal import Proposal
from diagnose.plan.sensitivity import PRICES, first_action, moved, share_of, tilted, with_price

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

MOST_STEPS = 3
RARE = 0.02  # results rarer than this are not told


def tell_plan(parts: Parts, proposal: Proposal) -> a.Plan:
    """The plan of a proposal, in words."""
    problem, chosen = proposal.cut.problem, proposal.plan
    told = _Teller(parts, proposal)
    untested = float(mending(problem).values(problem.prior[None, :])[0])
    return a.Plan(
        steps=told.steps(),
        end=told.end(),
        expected_hours=round(chosen.cost, 2),
        untested_hours=round(untested, 2),
        least_hours=round(min(chosen.choice.least_possible, chosen.cost), 2),
        exact=chosen.exact,
        method=_method(chosen.exact, chosen.cost, chosen.choice.least_possible),
        changes=told.changes(),
    )


def _method(exact: bool, cost: float, least: float) -> str:
    if exact:
        return "the least expected cost over all courses of action among these tests and repairs"
    most = max(0.0, cost - least)
    return f"two tests ahead, then the best order of repairs; even perfect knowledge would save no more than {most:.1f} hours"


class _Teller:
    def __init__(self, parts: Parts, proposal: Proposal) -> None:
        self.parts, self.proposal, self.problem = parts, proposal, proposal.cut.problem
        self.ahead = Lookahead(self.problem, 1)

    def name(self, pattern: Pattern) -> str:
        names = [self.parts.knowledge.faults[f].name if f != ELSEWHERE else "something not named here" for f in sorted(pattern)]
        return " with ".join(names) if names else "nothing wrong"

    def action(self, action: Action) -> str:
        kind, i = action
        if kind == "test":
            return self.parts.knowledge.procedures[self.problem.tests[i].id].name
        return self.parts.knowledge.repairs[self.problem.repairs[i].id].name if kind == "repair" else "stop testing here"

    def leading(self, belief: Array) -> str:
        place = int(np.argmax(np.round(belief / belief.sum(), 9)))
        return f"{self.name(self.problem.patterns[place])} {percent(float(belief[place] / belief.sum()))}"

    def steps(self) -> list[a.PlanStep]:
        out: list[a.PlanStep] = []
        belief, stage, left = self.problem.prior, START, (1 << len(self.problem.tests)) - 1
        action = self.proposal.plan.action
        while len(out) < MOST_STEPS:
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
        after = (stage[0], stage[1] | (test.access & self.problem.shared))
        results = []
        following: tuple[float, Array, Action] = (-1.0, belief, STOP)
        for k, shown in enumerate(self.proposal.cut.shown[test.id]):
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
            cost=cost_word(price, self.parts.settings), results=results,
        )  # fmt: skip
        return step, following[1], after, left, following[2]

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
            cost=cost_word(hours, self.parts.settings),
            results=results,
        )  # fmt: skip

    def end(self) -> str:
        kind, _ = self.proposal.plan.action
        if kind == "test":
            return "Enter each result and the plan is made anew from it. Stop testing as soon as no result could change the next step."
        proof = f" The next proof, {self._next()}." if self.proposal.candidates else " No test is left that could be done here."
        if kind == "repair":
            return f"No affordable test could change what to do: repair, then prove it.{proof}"
        place = int(np.argmax(self.problem.prior))
        pattern = self.problem.patterns[place]
        if not any(self.problem.leave.get(f, 0.0) > 0.0 for f in pattern):
            return f"Nothing to mend: {self.leading(self.problem.prior)}, and no affordable test could change that."
        return f"Unproven, and no repair is worth its price on this.{proof}"

    def _next(self) -> str:
        first = self.proposal.steps[0] if self.proposal.steps else self.proposal.candidates[0]
        return f"{first.procedure.name}, costs {cost_word(first.minutes / 60.0, self.parts.settings)}"

    def changes(self) -> list[str]:
        action = self.proposal.plan.action
        now = first_action(self.problem)
        out = []
        place = int(np.argmax(self.problem.prior))
        pattern = self.problem.patterns[place]
        chance = share_of(self.problem, pattern)
        for name, weights in sorted(self.parts.ranking.weights.items(), key=lambda x: -abs(x[1].get(next(iter(sorted(pattern)), ""), 0.0)))[
            :2
        ]:
            fault = next(iter(sorted(pattern)), "")
            if abs(weights.get(fault, 0.0)) < 0.7:
                continue
            other = moved(chance, weights[fault])
            then = first_action(self.problem, tilted(self.problem, frozenset({fault}), other))
            if then != now:
                what = self.parts.knowledge.findings[name].name
                out.append(
                    f"… '{what}' were mistaken: worth looking at twice. "
                    f"Then {self.name(pattern)} would stand at {percent(other)}, and next: {self.action(then)}."
                )
        if action != STOP:
            for factor in PRICES:
                then = first_action(with_price(self.problem, action, factor))
                if then != now:
                    out.append(
                        f"… '{self.action(action)}' cost {'half' if factor < 1 else 'twice'} of what is reckoned here: "
                        f"then first: {self.action(then)}."
                    )
        return out


__all__ = ["Problem", "tell_plan"]
