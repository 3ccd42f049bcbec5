"""A mechanic who answers a session from the truth of a worked case: what the case lists he sees as it is written there, and what
else there is to be seen as `rest` says; what neither says he does not know.

`slips`: share of all there is to be seen that he could not find out after all (answered "unknown").
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from diagnose.assess import Sketcher, assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.cost import Costs
from diagnose.plan.settings import Settings
from diagnose.session import engine_state
from diagnose.session.course import Cool, Course, Decision, Starter, Step
from diagnose.session.journal import Event
from diagnose.session.questions import FollowUp, Question, Sweep

MOST = 60
AROUND = {"ambient": 15.0, "damp_air": "no", "after_refill": "no", "blank_done": "yes", "liquid_carried_over": "no"}


@dataclass
class Memory:
    """Events kept in a list."""

    events: list[Event] = field(default_factory=list)

    def add(self, event: Event) -> None:
        self.events.append(event)


@dataclass(frozen=True)
class Played:
    """How a session went: prompts answered, minutes and hours' worth of the procedures begun, prompts after which the leader stayed
    the last one; seconds (wall, processor, and what a fixed loop took just before) from each answer to the next question; ids asked
    about and procedures gone to, in order."""

    prompts: int
    minutes: float
    hours: float
    end: Assessment
    why: str
    course: Course
    settled: int
    asked: tuple[str, ...]
    took: tuple[tuple[float, ...], ...]
    gone: tuple[str, ...]


def play(
    truth: Case,
    knowledge: Knowledge,
    settings: Settings | None = None,
    slips: float = 0.0,
    seed: int = 0,
    words: bool = True,
    told: Sequence[str] = (),
    rest: Mapping[str, str] | None = None,
    order: Sequence[str] | None = None,
) -> Played:
    """Play one session from the case's complaint to the decision. `told`: findings that the customer names of his own accord.

    `order`: go through these procedures in this order instead of the plan's, with the same questions and the same end.
    """
    settings = settings or Settings()
    kept = Memory()
    start = truth.model_copy(update={"observations": (), "expect": None, "complaint": None})
    kept.add({"t": "start", "case": start.model_dump(mode="json", exclude_none=True)})
    said = [o.model_dump(mode="json", exclude_none=True) for o in truth.observations if o.of in told]
    if said:
        kept.add({"t": "complaint", "text": "told"})
        kept.add({"t": "answer", "obs": said, "by": "words"})

    def assessed(case: Case, plan: bool) -> Assessment:
        return assess(case, knowledge, settings, plan)

    sketch = Sketcher(knowledge, settings)
    if order is None:
        course = Course(knowledge, settings, kept, assessed, sketch=sketch)
    else:
        from ordered import Ordered

        course = Ordered(knowledge, settings, kept, assessed, order, sketch)
    return Mechanic(truth, knowledge, course, Random(seed), slips, words, rest or {}).play()


class Mechanic:
    """One session being played."""

    def __init__(
        self, truth: Case, knowledge: Knowledge, course: Course, rng: Random, slips: float, words: bool, rest: Mapping[str, str]
    ) -> None:
        self.truth, self.knowledge, self.course, self.words, self.rest = truth, knowledge, course, words, rest
        under = {r.id: r.finding for r in knowledge.readings.values()}
        self.sees: dict[str, dict[str, Any]] = {}
        for o in truth.observations:
            raw = o.model_dump(mode="json", exclude_none=True)
            self.sees.setdefault(under.get(o.of, o.of), raw)
        self.missed = {name for name in sorted({*self.sees, *rest}) if rng.random() < slips}
        self.took: list[tuple[float, ...]] = []

    def play(self) -> Played:
        """Answer until the decision. Raises AssertionError where none comes."""
        prompts, leaders, asked = 0, [], []
        while prompts < MOST:
            pace = _pace()
            wall, own = time.perf_counter(), time.process_time()
            step = self.course.step()
            self.took.append((time.perf_counter() - wall, time.process_time() - own, pace))
            latest = self.course.latest
            leaders.append(latest.ranking[0].id if latest and latest.ranking else "")
            if isinstance(step, Decision):
                end = self.course.assessment(True)
                last = end.ranking[0].id if end.ranking else ""
                settled = next(i for i in range(len(leaders)) if all(x == last for x in leaders[i:]))
                minutes, hours, gone = self._spent()
                return Played(prompts, minutes, hours, end, step.why, self.course, settled, tuple(asked), tuple(self.took), gone)
            asked.append(getattr(step, "what", None) or getattr(step, "field", None) or _name(step))
            prompts += self._reply(step)
        raise AssertionError(f"no decision after {MOST} prompts: {asked}")

    def _spent(self) -> tuple[float, float, tuple[str, ...]]:
        """Minutes and hours' worth of all that was gone to and asked about; each place is opened once."""
        used = set(self.course.state.by.values())
        gone = dict.fromkeys(str(e["to"]) for e in self.course.kept.events if e["t"] == "go")
        steps = [self.knowledge.procedures[p] for p in gone if p in used]
        costs = Costs(self.knowledge, self.course.settings, self.course.state.vehicle_facts())
        opening = costs.opening()
        opened = {place for p in steps for place in p.opens}
        hours = sum(costs.procedure(p) for p in steps) + sum(opening.get(place, 0.05) for place in sorted(opened))
        return sum(p.minutes for p in steps), hours, tuple(p.id for p in steps)

    def _reply(self, step: Step) -> int:
        """Answer one step; how many prompts that took."""
        course = self.course
        if isinstance(step, Starter):
            if step.what == "engine":
                course.record("engine", **{"is": "cold"})
            elif step.what == "complaint":
                return self._complain()
            else:
                course.record("asked", what=step.what)
        elif isinstance(step, Cool):
            course.record("engine", **{"is": "cold"})
        elif isinstance(step, FollowUp):
            fields = {step.field: AROUND[step.field]}
            course.record("around", fields=fields) if step.around else course.record("detail", of=step.of, fields=fields)
        elif isinstance(step, Question):
            course.answer(step, [self._seen(step.name, step)])
        elif isinstance(step, Sweep):
            course.answer(step, [self._seen(f.id, step) for f in step.findings])
        return 1

    def _seen(self, name: str, step: Question | Sweep) -> dict[str, Any]:
        if name not in self.missed and name in self.sees:
            return self.sees[name]
        if name in self.missed or name not in self.rest:
            return {"of": name, "answer": "not_looked_at" if isinstance(step, Sweep) else "unknown"}
        engine = engine_state.condition(step.procedure, self.course.state.engine)
        return {"of": name, "answer": self.rest[name], **({"engine": engine} if engine else {})}

    def _complain(self) -> int:
        from diagnose.session.replies import understood

        self.course.record("complaint", text=self.truth.complaint or "")
        self.course.record("asked", what="complaint")
        if not self.words or not self.truth.complaint:
            return 1
        made, _ = understood(self.truth.complaint, self.course)
        right = [o for o in made if self.sees.get(o["of"], o)["answer"] == o["answer"]]
        if right:
            self.course.record("answer", obs=right, by="words")
        return 2 if made else 1


def _pace() -> float:
    """Seconds that three million turns of an empty loop with one multiplication would take now: how quick the machine is."""
    began, x = time.process_time(), 0.5
    for _ in range(30_000):
        x = x * 1.0
    return 100.0 * (time.process_time() - began)


def _name(step: Step) -> str:
    if isinstance(step, Question):
        return step.name
    return f"{step.procedure.id} ({len(step.findings)})" if isinstance(step, Sweep) else type(step).__name__


def right(end: Assessment, expect: Mapping[str, Any]) -> bool | None:
    """Whether the decision is what the case's author expects; None where the case says nothing of a leader."""
    first = end.ranking[0].id if end.ranking else ""
    if "leader" in expect:
        wanted = (
            expect["leader"] if isinstance(expect["leader"], Sequence) and not isinstance(expect["leader"], str) else [expect["leader"]]
        )
        return first in wanted
    if expect.get("nothing_wrong") == "yes":
        return end.verdict in ("nothing_wrong", "harmless")
    return None
