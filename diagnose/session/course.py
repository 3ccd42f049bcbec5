"""The course of a session without its screen: what has been recorded, what follows from it, what comes next."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure
from diagnose.plan.settings import Settings
from diagnose.session import engine_state
from diagnose.session.choosing import Choice, choose, may, waits_for_cold
from diagnose.session.journal import Event
from diagnose.session.questions import FollowUp, Question, Sweep, follow_ups, history_of, inside, only_talk
from diagnose.session.state import State, replay
from diagnose.session.stopping import stop
from diagnose.session.worth import Worth


class Sink(Protocol):
    """Where events are kept: a journal on disk, or a list in a test."""

    events: list[Event]

    def add(self, event: Event) -> None:
        """Keep one event; returns when it is safe."""


@dataclass(frozen=True)
class Starter:
    """Something asked once, before the questions: complaint, engine or vehicle."""

    what: str


@dataclass(frozen=True)
class Cool:
    """What is left wants a cold engine."""

    procedure: Procedure


@dataclass(frozen=True)
class Decision:
    """The end, and why."""

    why: str


Step = Starter | Question | Sweep | FollowUp | Cool | Decision
Assess = Callable[[Case, bool], Assessment]
Sketch = Callable[[Case, bool, tuple[str, ...]], Assessment]
STARTERS = ("complaint", "engine", "vehicle")


class Course:
    """`assess(case, plan)` gives the assessment, `sketch(case, plan, left_out)` the short one between questions (not given: the same).
    `walk`: procedures to be gone through in order, instead of the plan's."""

    def __init__(
        self, knowledge: Knowledge, settings: Settings, kept: Sink, assess: Assess, walk: Sequence[str] = (), sketch: Sketch | None = None
    ) -> None:
        self.knowledge = knowledge
        self.settings = settings
        self.kept = kept
        self.worth = Worth(knowledge)
        self.walk = tuple(walk)
        self.state: State = replay(kept.events)
        self._assess = assess
        self._sketch: Sketch = sketch or (lambda case, plan, left_out: assess(case, plan))
        self._known: dict[tuple[bool, tuple[str, ...]], tuple[Case, Assessment]] = {}
        self._whole: tuple[Case, Assessment] | None = None
        self.latest: Assessment | None = None
        self.again: Question | None = None  # what somebody wants to answer afresh

    def record(self, kind: str, **values: Any) -> None:
        """Keep an event and let it take effect. It is on disk first."""
        self.kept.add({"t": kind, **values})
        self.state.apply(self.kept.events[-1])

    def assessment(self, plan: bool = True) -> Assessment:
        """What follows from all that is known now, as far as the next question needs it; planned with what may be done now."""
        self.latest = self._thought(plan, self._left_out(self.state) if plan else ())
        return self.latest

    def outlook(self) -> Assessment:
        """The same, planned with all that may be done once the engine is cold."""
        return self._thought(True, self._left_out(State(**{**vars(self.state), "engine": "cold"})))

    def _thought(self, plan: bool, left_out: tuple[str, ...]) -> Assessment:
        case = self.state.case()
        if any(held[0] != case for held in self._known.values()):
            self._known = {}
        if not plan and self._known:
            return next(reversed(self._known.values()))[1]
        if (plan, left_out) not in self._known:
            self._known[(plan, left_out)] = (case, self._sketch(case, plan, left_out))
        return self._known[(plan, left_out)][1]

    def _left_out(self, state: State) -> tuple[str, ...]:
        return tuple(p.id for p in self.knowledge.procedures.values() if not may(p, state, self.knowledge))

    def whole(self) -> Assessment:
        """All that follows from what is known now, told in full."""
        case = self.state.case()
        if self._whole is None or self._whole[0] != case:
            self._whole = (case, self._assess(case, True))
        return self._whole[1]

    def supposed(self, observations: Sequence[Mapping[str, Any]]) -> Assessment:
        """What would follow if this were found too. Nothing is kept."""
        state = copy.deepcopy(self.state)
        state.apply({"t": "answer", "obs": [dict(o) for o in observations], "by": ""})
        return self._sketch(state.case(), False, ())

    def answer(self, asked: Question | Sweep, observations: Sequence[Mapping[str, Any]]) -> None:
        """Keep the answers to what was asked."""
        procedure = asked.procedure
        values: dict[str, Any] = {"obs": [dict(o) for o in observations], "by": procedure.id if procedure else ""}
        if isinstance(asked, Sweep):
            values["sweep"] = True
        if procedure is not None and procedure.id == self.state.here:
            values["engine"] = engine_state.after(procedure, self.state.engine)
        self.record("answer", **values)

    def undo(self, names: Sequence[str]) -> list[str]:
        """Take answers back as if never given; later ones stay. Returns those that were there."""
        there = {o.of for o in self.state.case().observations}
        found = [n for n in names if n in there or n in self.state.answers]
        if found:
            self.record("undo", of=found)
        return found

    def step(self) -> Step:
        """What comes next. Asking twice gives the same."""
        starter = self._starter()
        if starter is not None:
            self.assessment(False)
            return starter
        if not self.walk and self.state.engine != "hot":  # what a hot engine shows dies on cooling: the past can wait
            self._history()
        follow = follow_ups(self.knowledge, self.state, self.state.last())
        if follow:
            self.assessment(False)
            return follow[0]
        here = self.knowledge.procedures.get(self.state.here)
        if here is not None and here.id not in self.state.cannot | self.state.later | self.state.swept:
            asked = self._inside(here)
            if asked is not None:
                return asked
        return self._next()

    def _history(self) -> Procedure | None:
        """Go and ask what changed, once; None where that was done or nothing of it is open."""
        history = history_of(self.knowledge)
        if history is None or "history" in self.state.asked:
            return None
        self.record("asked", what="history")
        if not may(history, self.state, self.knowledge):
            return None
        self.record("go", to=history.id)
        return history

    def _starter(self) -> Starter | None:
        state, base = self.state, self.state.base
        done = set(state.asked)
        if base.complaint or base.observations or state.complaint or self.walk:
            done.add("complaint")
        if state.engine:
            done.add("engine")
        if state.vehicle or base.vehicle.model_dump(exclude_none=True, exclude={"name"}):
            done.add("vehicle")
        return next((Starter(what) for what in STARTERS if what not in done), None)

    def _inside(self, here: Procedure) -> Question | Sweep | None:
        assessment = self.assessment(False)
        asked = inside(here, self.knowledge, self.state, self.worth, self.worth.suspects(assessment), bool(self.walk))
        if asked is None:
            self.record("left", what=here.id)
        return asked

    def _next(self) -> Step:
        while True:
            step = self._next_in_walk() if self.walk else self._next_in_plan()
            if not isinstance(step, Procedure):
                return step
            if self.state.here != step.id:
                self.record("go", to=step.id)
            asked = self._inside(step)
            if asked is not None:
                return asked

    def _next_in_plan(self) -> Procedure | Cool | Decision:
        assessment = self.assessment()
        choice = self._chosen(assessment)
        if choice is None or engine_state.stage(choice.procedure, self.state.engine, self.knowledge):
            history = self._history()
            if history is not None:
                return history
        if choice is None and self.state.later:
            self.record("back")
            choice = self._chosen(assessment)
        looked = sum(not only_talk(self.knowledge.procedures[p]) for p in self.state.swept if p in self.knowledge.procedures)
        end = stop(assessment, choice, self.state.go_on, looked)
        if end is None and choice is not None:
            return choice.procedure
        waiting = self._waiting() if self.state.engine in ("warm", "hot") else None
        if waiting is not None and stop(self.outlook(), waiting, self.state.go_on, looked) is None:
            return Cool(waiting.procedure)
        assert end is not None
        return Decision(end.why)

    def _chosen(self, assessment: Assessment) -> Choice | None:
        return choose(assessment, self.state, self.knowledge, self.settings, self.worth)

    def _waiting(self) -> Choice | None:
        return waits_for_cold(self.outlook(), self.state, self.knowledge, self.settings, self.worth)

    def _next_in_walk(self) -> Procedure | Cool | Decision:
        self.assessment(False)
        steps = [self.knowledge.procedures[name] for name in self.walk if name in self.knowledge.procedures]
        blocked = {c.id: c.why for c in (self.latest.not_now if self.latest else [])}
        steps = [p for p in steps if p.id not in blocked]
        step = next((p for p in steps if may(p, self.state, self.knowledge)), None)
        if step is None and self.state.later:
            self.record("back")
            step = next((p for p in steps if may(p, self.state, self.knowledge)), None)
        if step is not None:
            return step
        cold = State(**{**vars(self.state), "engine": "cold"})
        wait = next((p for p in steps if may(p, cold, self.knowledge)), None)
        return Cool(wait) if wait is not None else Decision("The whole system has been walked round.")
