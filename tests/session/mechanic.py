"""A mechanic who answers a session from the truth of a worked case: what the case lists he sees, what it does not list he does not know.

`slips`: share of what the case lists that he could not find out after all (answered "unknown").
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings
from diagnose.session.course import Cool, Course, Decision, Starter, Step
from diagnose.session.journal import Event
from diagnose.session.questions import FollowUp, Question, Sweep

MOST = 60


@dataclass
class Memory:
    """Events kept in a list."""

    events: list[Event] = field(default_factory=list)

    def add(self, event: Event) -> None:
        self.events.append(event)


@dataclass(frozen=True)
class Played:
    """How a session went: prompts answered, minutes of the procedures begun, prompts after which the leader stayed the last one."""

    prompts: int
    minutes: float
    end: Assessment
    why: str
    course: Course
    settled: int
    asked: tuple[str, ...]


def play(
    truth: Case,
    knowledge: Knowledge,
    settings: Settings | None = None,
    slips: float = 0.0,
    seed: int = 0,
    words: bool = True,
    told: Sequence[str] = (),
) -> Played:
    """Play one session from the case's complaint to the decision. `told`: findings that the customer names of his own accord."""
    settings = settings or Settings()
    kept = Memory()
    start = truth.model_copy(update={"observations": (), "expect": None, "complaint": None})
    kept.add({"t": "start", "case": start.model_dump(mode="json", exclude_none=True)})
    said = [o.model_dump(mode="json", exclude_none=True) for o in truth.observations if o.of in told]
    if said:
        kept.add({"t": "complaint", "text": "told"})
        kept.add({"t": "answer", "obs": said, "by": "words"})
    course = Course(knowledge, settings, kept, lambda case, plan: assess(case, knowledge, settings, plan))
    return _Mechanic(truth, knowledge, course, Random(seed), slips, words).play()


class _Mechanic:
    def __init__(self, truth: Case, knowledge: Knowledge, course: Course, rng: Random, slips: float, words: bool) -> None:
        self.truth, self.knowledge, self.course, self.words = truth, knowledge, course, words
        under = {r.id: r.finding for r in knowledge.readings.values()}
        self.sees: dict[str, dict[str, Any]] = {}
        for o in truth.observations:
            raw = o.model_dump(mode="json", exclude_none=True)
            if rng.random() >= slips:
                self.sees.setdefault(under.get(o.of, o.of), raw)

    def play(self) -> Played:
        prompts, leaders, asked = 0, [], []
        while prompts < MOST:
            step = self.course.step()
            latest = self.course.latest
            leaders.append(latest.ranking[0].id if latest and latest.ranking else "")
            if isinstance(step, Decision):
                end = self.course.assessment(True)
                last = end.ranking[0].id if end.ranking else ""
                settled = next(i for i in range(len(leaders)) if all(x == last for x in leaders[i:]))
                return Played(prompts, self._minutes(), end, step.why, self.course, settled, tuple(asked))
            asked.append(getattr(step, "what", None) or getattr(step, "field", None) or _name(step))
            prompts += self._reply(step)
        raise AssertionError(f"no decision after {MOST} prompts")

    def _minutes(self) -> float:
        gone = [str(e["to"]) for e in self.course.kept.events if e["t"] == "go"]
        return sum(self.knowledge.procedures[p].minutes for p in gone)

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
            course.record("asked", what=f"{step.field}:{'' if step.around else step.of}")
        elif isinstance(step, Question):
            course.answer(step, [self._seen(step.name)])
        elif isinstance(step, Sweep):
            course.answer(step, [self._seen(f.id, together=True) for f in step.findings])
        return 1

    def _seen(self, name: str, together: bool = False) -> dict[str, Any]:
        return self.sees.get(name, {"of": name, "answer": "not_looked_at" if together else "unknown"})

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
