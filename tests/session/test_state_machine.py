"""Random sessions: answer, undo, change, unknown, suppose, note, save, resume. Whatever the order, the same is known at the end."""

from __future__ import annotations

import copy
from pathlib import Path
from random import Random
from typing import Any

import pytest
from mechanic import Memory
from stub import Stub

from diagnose.assess import Sketcher, assess
from diagnose.intake.casefile import read_case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings
from diagnose.session.casewriter import written
from diagnose.session.course import Assess, Cool, Course, Decision, Sketch, Starter
from diagnose.session.journal import contents, line_of
from diagnose.session.questions import FollowUp, Question, Sweep
from diagnose.session.state import replay

ANSWERS = ("yes", "no", "unsure", "unknown", "not_looked_at")


class Machine:
    """One random session. Keeps its own plain record of what ought to be known: the model that the state is held against."""

    def __init__(self, seed: int, knowledge: Knowledge, assessed: Assess, sketch: Sketch | None = None) -> None:
        self.rng = Random(seed)
        self.knowledge = knowledge
        self.assessed = assessed
        self.sketch = sketch
        self.kept = Memory([{"t": "start", "case": {"why_here": "complaint"}}])
        self.course = Course(knowledge, Settings(), self.kept, assessed, sketch=sketch)
        self.model: dict[str, str] = {}

    def run(self, steps: int) -> None:
        moves = [self.answer] * 8 + [self.undo, self.undo, self.change, self.suppose, self.note, self.resume, self.check, self.same_step]
        for _ in range(steps):
            self.rng.choice(moves)()
        self.check()

    def answer(self) -> None:
        step, rng = self.course.step(), self.rng
        if isinstance(step, Starter):
            if step.what == "engine":
                self.course.record("engine", **{"is": rng.choice(["cold", "warm", "hot", "away"])})
            else:
                self.course.record("asked", what=step.what)
        elif isinstance(step, Question):
            self._give(step, [step.name])
        elif isinstance(step, Sweep):
            self._give(step, [f.id for f in step.findings])
        elif isinstance(step, FollowUp):
            self.course.record("asked", what=f"{step.field}:{'' if step.around else step.of}")
        elif isinstance(step, Cool):
            self.course.record("engine", **{"is": "cold"})
        else:
            assert isinstance(step, Decision)
            self.course.record("more")

    def _give(self, step: Question | Sweep, names: list[str]) -> None:
        if step.procedure is not None and self.rng.random() < 0.1:
            self.course.record(self.rng.choice(["later", "cannot"]), what=step.procedure.id)
            return
        made = [{"of": n, "answer": self._any(n)} for n in names]
        self.course.answer(step, made)
        self.model.update({o["of"]: o["answer"] for o in made})

    def _any(self, name: str) -> str:
        return self.rng.choice([*self.knowledge.findings[name].bands, "unknown"] if self.knowledge.findings[name].bands else ANSWERS)

    def undo(self) -> None:
        names = [self.rng.choice(sorted(self.model))] if self.model and self.rng.random() < 0.5 else list(self.course.state.last())
        assert self.course.undo(names) == [n for n in names if n in self.model]
        for name in names:
            self.model.pop(name, None)

    def change(self) -> None:
        if self.model:
            name = self.rng.choice(sorted(self.model))
            self.model[name] = self._any(name)
            self.course.record("answer", obs=[{"of": name, "answer": self.model[name]}], by=self.course.state.by.get(name, ""))

    def suppose(self) -> None:
        name = self.rng.choice(sorted(self.knowledge.findings))
        before = copy.deepcopy(self.course.state)
        self.course.supposed([{"of": name, "answer": self._any(name)}])
        assert self.course.state == before

    def note(self) -> None:
        last = self.course.state.last()
        self.course.record("note", of=last[-1] if last else "", text=f"remark {self.rng.random():.3f}")

    def resume(self) -> None:
        """Leave and go on: through the bytes of the journal, into a course that knows nothing else."""
        raw = b"".join(line_of(e) for e in self.kept.events)
        kept = Memory(list(contents(raw).events))
        other = Course(self.knowledge, Settings(), kept, self.assessed, sketch=self.sketch)
        assert other.state == self.course.state
        mine, theirs = self.course.step(), other.step()
        assert mine == theirs
        assert other.state == self.course.state
        self.course, self.kept = other, kept

    def same_step(self) -> None:
        assert self.course.step() == self.course.step()

    def check(self) -> None:
        """What is known is what was answered and not taken back, however it came about; and it reads back from its file."""
        case = self.course.state.case()
        assert {o.of: o.answer for o in case.observations} == self.model
        fresh = [{"t": "start", "case": {"why_here": "complaint"}}]
        names = sorted(self.model)
        self.rng.shuffle(names)
        fresh += [{"t": "answer", "obs": [{"of": n, "answer": self.model[n]}], "by": ""} for n in names]
        plain = replay(fresh).case()
        assert _bare(case) == _bare(plain)
        assert self.assessed(_bare(case), True) == self.assessed(_bare(plain), True)
        assert read_case(None, written(case), self.knowledge) == case


def _bare(case: Any) -> Any:
    """Without remarks, which belong to one way of coming here."""
    return case.model_copy(
        update={"complaint": None, "observations": tuple(o.model_copy(update={"note": None}) for o in case.observations)}
    )


def test_random_sessions_with_a_stub(knowledge: Knowledge) -> None:
    stub = Stub(knowledge)
    for seed in range(12):
        Machine(seed, knowledge, stub).run(25)


@pytest.mark.slow
def test_ten_thousand_moves_with_a_stub(knowledge: Knowledge) -> None:
    stub = Stub(knowledge)
    for seed in range(250):
        Machine(1000 + seed, knowledge, stub).run(40)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_random_sessions_with_the_real_assessment(knowledge: Knowledge, seed: int) -> None:
    """Between questions as the program itself thinks; each check at the end holds whole assessments together."""
    machine = Machine(seed, knowledge, lambda case, plan: assess(case, knowledge, Settings(), plan), Sketcher(knowledge, Settings()))
    machine.run(25)


def test_undone_equals_never_answered_down_to_the_bytes_of_the_case_file(knowledge: Knowledge, tmp_path: Path) -> None:
    kept = Memory([{"t": "start", "case": {}}])
    course = Course(knowledge, Settings(), kept, Stub(knowledge))
    course.record("answer", obs=[{"of": "level_fell", "answer": "yes"}], by="")
    before, asked = written(course.state.case()), copy.deepcopy(course.state)
    course.record("answer", obs=[{"of": "white_exhaust", "answer": "yes", "engine": "warm"}], by="")
    course.record("answer", obs=[{"of": "gauge_hot", "answer": "no"}], by="")
    course.undo(["white_exhaust"])
    assert "gauge_hot" in written(course.state.case())
    course.undo(["gauge_hot"])
    assert written(course.state.case()) == before
    assert course.state == asked


def test_an_answer_of_the_case_file_can_be_taken_back_and_given_again(knowledge: Knowledge) -> None:
    start = {"t": "start", "case": {"observations": [{"of": "level_fell", "answer": "yes"}, {"of": "gauge_hot", "answer": "no"}]}}
    course = Course(knowledge, Settings(), Memory([start]), Stub(knowledge))
    assert course.undo(["level_fell"]) == ["level_fell"]
    assert [o.of for o in course.state.case().observations] == ["gauge_hot"]
    course.record("answer", obs=[{"of": "level_fell", "answer": "no"}], by="")
    assert {o.of: o.answer for o in course.state.case().observations} == {"gauge_hot": "no", "level_fell": "no"}
    assert course.undo(["nothing_of_the_kind"]) == []
