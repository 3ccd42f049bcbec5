"""Which order of tests costs least? Cases drawn from the knowledge, worked through by four policies with one stop rule.

    PYTHONPATH=. python tests/plan/compare_orders.py [--cases 120] [--seed 1] [--stop settled|plan]

A case: one thing wrong (a fault or a harmless cause, by its prior with a complaint), other harmless causes and past events as common
as they are, every sign sampled once. The complaint: up to three signs of it that a driver notices; the first of them names the kind
of complaint; what shows nothing of the kind never comes in. All else is there to be found. A policy chooses the next test; its
findings are what was sampled. Each is paid alike: minutes, consumables, a place opened once, a warm engine waited for.

The stop rule is the same for all. `settled`: testing ends when one explanation accounts for four fifths of the chance, when two
hours' pay or twelve tests have gone into it, or when no test is left. `plan`: as soon as no test is worth its price by the plan's own
reckoning (or none is left). Then the repair of least expected cost is done, or the case is left. A repair in vain is paid, and the
case goes on. A fault left in costs what the knowledge says.

ours: the plan's next test; where it would stop and the rule does not, the test of least expected cost. expert: the next of a fixed
order for this kind of complaint, written blind and frozen (expert_order.yaml), that is possible and safe and could still show
something new. cheapest: the cheapest test that could show anything new. perfect: knows what is wrong and pays its repair and one
proof; nobody can do better.

What this does not show: the world is drawn from the same knowledge that the plan and the ranking reason with, so that ours has a
home game; and what the findings mean is this program's reckoning for all policies alike.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import sqrt
from pathlib import Path
from random import Random
from statistics import mean, stdev
from typing import Any

import yaml

from diagnose.assess import Worked, context_of, work_out
from diagnose.case.case import Case, Done
from diagnose.case.observation import Observation
from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load
from diagnose.plan.cost import PROOF_HOURS, Costs, left_behind, not_stood
from diagnose.plan.next_step import Allowed, unsafe
from diagnose.plan.proof import _signs
from diagnose.plan.proposal import Proposal, propose
from diagnose.plan.settings import Settings
from diagnose.rank.build import build
from diagnose.rank.network import Choice
from diagnose.score import draw as drawing

ORDER = Path(__file__).with_name("expert_order.yaml")
NOTICED_BY = ("ask_driving", "ask_about_exhaust", "cabin_look", "cardboard_under_car", "look_at_level_closed")  # what a driver notices
MOST_TESTS, MOST_REPAIRS, MOST_SAID = 12, 4, 3
SETTLED, MOST_HOURS = 0.8, 2.0
RULES = ("settled", "plan")


@dataclass(frozen=True)
class Drawn:
    """A case with its truth: what is wrong, the answer that each finding would give with its conditions, and the complaint."""

    wrong: str
    vehicle: Mapping[str, Any]
    answers: Mapping[str, Observation]
    complaint: tuple[str, ...]


@dataclass
class Run:
    """What one policy paid for one case."""

    hours: float = 0.0
    testing: float = 0.0
    minutes: float = 0.0
    tests: int = 0
    right: bool | None = None  # the first repair removes what is wrong (or nothing is touched where nothing is wrong)
    opened: frozenset[str] = frozenset()
    done: list[str] = field(default_factory=list)


@dataclass
class State:
    """A case as far as it is known; the plan only where somebody asks for it."""

    worked: Worked
    run: Run

    @cached_property
    def proposal(self) -> Proposal:
        return propose(self.worked.parts, self.worked.ready, self.worked.context, self.worked.evidence)

    @cached_property
    def costs(self) -> Costs:
        return Costs(self.worked.parts.knowledge, Settings(), self.worked.context.facts)

    def settled(self) -> bool:
        kinds = self.worked.parts.knowledge.faults
        return max((a for n, a in self.worked.parts.ranking.accounts.items() if n in kinds), default=0.0) >= SETTLED


Policy = Callable[[State, Drawn], str]


def draw(rng: Random, knowledge: Knowledge) -> Drawn:
    """One case. Drawn again until something shows that a driver notices."""
    kinds = [f for f in knowledge.faults.values() if f.kind != "event"]
    noticed = {f for p in NOTICED_BY for f in knowledge.procedures[p].gives}
    starts = yaml.safe_load(ORDER.read_text(encoding="utf-8"))["starts_with"]
    while True:
        fault = rng.choices(kinds, weights=[f.prior.complaint for f in kinds])[0]
        vehicle = drawing.draw_vehicle(rng, fault)
        bare = Case.model_validate({"why_here": "complaint", "vehicle": vehicle, "invented": "yes"})
        every = sorted(knowledge.findings)
        conditions = {name: drawing.draw_conditions(rng, knowledge.findings[name]) for name in every}
        circumstances = {n: drawing.read_conditions(c) for n, c in conditions.items()}
        network = build(knowledge, drawing.links(knowledge), context_of(bare, knowledge, circumstances), every)
        if fault.id not in network.places and fault.id not in network.nodes:
            continue
        level = _only(rng, network, knowledge, fault.id)
        answers = {
            n: Observation.model_validate({"of": n, "answer": drawing._answer(knowledge.findings[n], level[n]), **conditions[n]})
            for n in every
            if n in level
        }
        there = [n for n in sorted(noticed & set(starts) & _signs(knowledge, (fault.id,))) if level.get(n, 0) > 0]
        if there:
            return Drawn(fault.id, vehicle, answers, tuple(rng.sample(there, min(len(there), MOST_SAID))))


def _only(rng: Random, network: Any, knowledge: Knowledge, fault: str) -> dict[str, int]:
    """A world in which `fault` is the only real fault; harmless causes and past events as they come."""
    forced = dict([network.place(fault)])
    real = {network.place(f.id)[0] for f in knowledge.faults.values() if f.kind == "fault" and f.id in network.places}
    level: dict[str, int] = {}
    for name, node in network.nodes.items():
        if name in forced:
            level[name] = forced[name]
        elif name in real:
            level[name] = 0
        elif isinstance(node, Choice):
            level[name] = drawing._pick(rng, [float(p) for p in node.table()[tuple(level[p] for p in node.parents())]])
        else:
            level[name] = drawing._highest_push(rng, node, level)
    return level


def ours(state: State, drawn: Drawn) -> str:
    """The plan's test; of the tests it weighed the one of least expected cost; else what tells most a minute."""
    tests = state.proposal.cut.problem.tests
    weighed = [tests[i].id for _, (kind, i) in state.proposal.plan.choice.options if kind == "test"]
    action = state.proposal.plan.action
    first = [tests[action[1]].id] if action[0] == "test" else []
    return next(iter([*first, *weighed, *(c.procedure.id for c in state.proposal.candidates)]), "")


def expert_of(order: Mapping[str, Any]) -> Policy:
    """The fixed order for the kind of complaint that the first sign names."""

    def expert(state: State, drawn: Drawn) -> str:
        stages = order["order"][order["starts_with"].get(drawn.complaint[0], "other")]
        possible = _possible(state.worked, state.run)
        return next((p for p in stages if p in possible), "")

    return expert


def cheapest(state: State, drawn: Drawn) -> str:
    """What costs least now of all that could show anything new."""
    return min(_possible(state.worked, state.run), key=lambda p: (price(p, state.run, state.costs), p), default="")


def price(name: str, run: Run, costs: Costs) -> float:
    """Hours of a test now: what stands open is not paid again, what an earlier one left behind is waited for."""
    procedure = costs.knowledge.procedures[name]
    opening = sum(costs.opening().get(p, 0.05) for p in procedure.opens if p not in run.opened)
    return costs.procedure(procedure) + opening + sum(costs.undo()[w] for w in sorted(not_stood(procedure) & run.opened))


def walk(drawn: Drawn, policy: Policy, knowledge: Knowledge, rule: str = "settled") -> Run:
    """One case worked through."""
    run = Run()
    seen = [drawn.answers[name] for name in drawn.complaint]
    repaired: list[str] = []
    while True:
        case = Case.model_validate({
            "why_here": "complaint", "vehicle": drawn.vehicle, "observations": [o.model_dump(exclude_none=True) for o in seen],
            "done": [Done(repair=r) for r in repaired],
        })  # fmt: skip
        state = State(work_out(case, knowledge), run)
        if run.tests < MOST_TESTS and _goes_on(state, rule):
            name = policy(state, drawn)
            if name:
                _test(name, drawn, seen, run, state.costs)
                continue
        problem = state.proposal.cut.problem
        kind, i = next((a for _, a in state.proposal.plan.choice.options if a[0] != "test"), ("stop", 0))
        if kind == "stop" or len(repaired) >= MOST_REPAIRS:
            return _left(drawn, run, state.costs, knowledge)
        repair = problem.repairs[i]
        run.hours += problem.price(repair, run.opened)
        names = [repair.id, *repair.joined]
        mends = any(drawn.wrong in knowledge.repairs[r].removes for r in names)
        run.right = mends if run.right is None else run.right
        if mends:
            return run
        run.hours += state.costs.price("price_in_vain")
        repaired += names
        run.opened = frozenset()


def _goes_on(state: State, rule: str) -> bool:
    if rule == "plan":
        return state.proposal.plan.action[0] == "test"
    return not state.settled() and state.run.testing < MOST_HOURS


def _possible(worked: Worked, run: Run) -> list[str]:
    """Tests that this vehicle allows, that are safe now and could show something new."""
    parts = worked.parts
    allowed = Allowed(parts.ranking.chance, parts.advice.blocked, parts.advice.run_blocked, parts.advice.urgency)
    return [
        p.id
        for p in parts.knowledge.procedures.values()
        if p.id not in run.done
        and not (p.needs and surely_fail(p.needs.tests, worked.context.facts))
        and not unsafe(p, parts.knowledge, allowed)
        and any(f not in parts.seen.findings for f in p.gives)
    ]


def _test(name: str, drawn: Drawn, seen: list[Observation], run: Run, costs: Costs) -> None:
    procedure = costs.knowledge.procedures[name]
    paid = price(name, run, costs)
    run.hours += paid
    run.testing += paid
    run.minutes += procedure.minutes
    run.tests += 1
    run.done.append(name)
    run.opened = (run.opened - not_stood(procedure)) | left_behind(procedure) | frozenset(procedure.opens)
    known = {o.of for o in seen}
    seen += [drawn.answers[f] for f in procedure.gives if f in drawn.answers and f not in known]


def _left(drawn: Drawn, run: Run, costs: Costs, knowledge: Knowledge) -> Run:
    fault = knowledge.faults[drawn.wrong]
    if run.right is None:
        run.right = fault.kind != "fault"
    run.hours += costs.leave(fault.id, fault.urgency) if fault.kind == "fault" else 0.0
    return run


def perfect(drawn: Drawn, knowledge: Knowledge) -> float:
    """Hours of whoever knows what is wrong: the cheapest repair that removes it, and its proof."""
    costs = Costs(knowledge, Settings(), drawn.vehicle)
    fault = knowledge.faults[drawn.wrong]
    return costs.cheapest(fault.id) + PROOF_HOURS if fault.kind == "fault" else 0.0


def compare(cases: int, seed: int, knowledge: Knowledge, rule: str = "settled") -> dict[str, list[Run]]:
    """Every policy on the same cases; `perfect` with its hours only."""
    order = yaml.safe_load(ORDER.read_text(encoding="utf-8"))
    policies: dict[str, Policy] = {"ours": ours, "expert": expert_of(order), "cheapest": cheapest}
    out: dict[str, list[Run]] = {name: [] for name in [*policies, "perfect"]}
    for k in range(cases):
        drawn = draw(Random(seed * 100_003 + k), knowledge)
        for name, policy in policies.items():
            out[name].append(walk(drawn, policy, knowledge, rule))
        out["perfect"].append(Run(perfect(drawn, knowledge), right=True))
    return out


def interval(values: Sequence[float]) -> tuple[float, float, float]:
    """Mean with its 95 % interval, normal."""
    half = 1.96 * stdev(values) / sqrt(len(values)) if len(values) > 1 else 0.0
    return mean(values), mean(values) - half, mean(values) + half


def report(runs: Mapping[str, Sequence[Run]]) -> str:
    """The comparison as a table, with paired differences."""
    lines = [f"{len(runs['ours'])} cases; hours of labour worth", "policy      hours   tests   minutes of tests   first repair right"]
    for name, found in runs.items():
        lines.append(
            f"{name:9} {mean(r.hours for r in found):7.2f} {mean(r.tests for r in found):7.1f} {mean(r.minutes for r in found):18.0f} "
            f"{mean(bool(r.right) for r in found):20.0%}"
        )
    mine = [r.hours for r in runs["ours"]]
    for name in ("expert", "cheapest", "perfect"):
        other = [r.hours for r in runs[name]]
        middle, low, high = interval([a - b for a, b in zip(mine, other, strict=True)])
        share = f"{100 * (1 - mean(mine) / mean(other)):.1f} % lower" if mean(other) else ""
        lines.append(f"ours - {name}: {middle:+.2f} h (95 % {low:+.2f} to {high:+.2f}); {share}")
    floor = [r.hours for r in runs["perfect"]]
    for name in ("expert", "cheapest"):
        saved = mean(r.hours for r in runs[name]) - mean(mine)
        could = mean(r.hours for r in runs[name]) - mean(floor)
        lines.append(f"of what perfect play would save over {name}, ours saves {100 * saved / could:.0f} %" if could else "")
    return "\n".join(lines)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Compare orders of testing.")
    asked.add_argument("--cases", type=int, default=120)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--stop", choices=RULES, default=RULES[0])
    options = asked.parse_args()
    print(f"stop rule: {options.stop}")
    print(report(compare(options.cases, options.seed, load(), options.stop)))
