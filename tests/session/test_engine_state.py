"""What may be asked in which state of the engine. Common practice, no source: cold before warm; a hot engine stays closed; what dies
on cooling comes first on a vehicle that arrives hot."""

from __future__ import annotations

import pytest
from mechanic import Memory
from stub import Stub

from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import Settings
from diagnose.session import engine_state
from diagnose.session.course import Cool, Course, Decision
from diagnose.session.questions import FollowUp, Question, Sweep, only_talk


@pytest.mark.parametrize("engine", ["hot", "warm", "away"])
def test_nothing_is_opened_and_nothing_cold_is_asked_on_an_engine_that_is_not_cold(knowledge: Knowledge, engine: str) -> None:
    for procedure in knowledge.procedures.values():
        if engine_state.allowed(procedure, engine, only_talk(procedure)):
            assert procedure.engine not in ("cold", "opened_running"), procedure.id
            assert "cap" not in procedure.opens, procedure.id


def test_on_the_phone_only_questions_are_asked(knowledge: Knowledge) -> None:
    left = [p for p in knowledge.procedures.values() if engine_state.allowed(p, "away", only_talk(p))]
    assert left
    assert all(not p.tools and p.engine == "any" for p in left)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("engine", ["cold", "hot", "warm"])
def test_a_session_never_asks_what_the_state_of_the_engine_forbids(knowledge: Knowledge, engine: str, seed: int) -> None:
    start = {"t": "start", "case": {"complaint": f"number {seed}", "vehicle": {"fuel": "petrol"}}}
    course = Course(knowledge, Settings(), Memory([start, {"t": "engine", "is": engine}]), Stub(knowledge))
    looked, first = [], ""
    for _ in range(25):
        step = course.step()
        if isinstance(step, (Cool, Decision)):
            break
        if isinstance(step, FollowUp):
            course.record("asked", what=f"{step.field}:{'' if step.around else step.of}")
            continue
        assert isinstance(step, (Question, Sweep))
        procedure = step.procedure
        assert procedure is not None
        first = first or procedure.id
        assert engine_state.allowed(procedure, course.state.engine, only_talk(procedure)), procedure.id
        looked.append(procedure)
        names = [step.name] if isinstance(step, Question) else [f.id for f in step.findings]
        course.answer(step, [{"of": n, "answer": "unknown"} for n in names])
    assert looked
    warm = [i for i, p in enumerate(looked) if engine_state.warms(p)]
    cold = [i for i, p in enumerate(looked) if p.engine == "cold" and not engine_state.warms(p)]
    assert not warm or not cold or max(cold) < min(warm)  # cold things first, and none after
    if engine == "hot":
        assert engine_state.stage(knowledge.procedures[first], "hot", knowledge) == 0
        assert all("engine_warm" not in p.leaves for p in looked)


def test_what_dies_on_cooling_is_the_closed_look_the_smell_the_hoses_and_the_codes(knowledge: Knowledge) -> None:
    first = {
        p.id
        for p in knowledge.procedures.values()
        if engine_state.allowed(p, "hot", False) and engine_state.stage(p, "hot", knowledge) == 0
    }
    assert {"look_for_leaks_hot", "cabin_look", "hose_squeeze_hot", "read_codes"} <= first
    assert not {"compression_test", "fan_watch_hot", "dash_at_idle"} & first


def test_not_reproduced_is_said_only_where_it_was_looked_for_warm(knowledge: Knowledge) -> None:
    from diagnose.session.ending import not_reproduced
    from diagnose.session.state import replay

    start = [{"t": "start", "case": {"complaint": "gets hot now and then"}}]
    cold = [{"of": n, "answer": "no"} for n in ("history_frozen", "history_ran_low", "level_fell", "gauge_hot")]
    warm = [{"of": n, "answer": "no", "engine": "warm"} for n in ("gauge_swings", "gauge_jumps")]
    shown = [{"of": "hose_soft_hot", "answer": "yes", "engine": "warm"}]

    def after(observations: list[dict[str, str]]) -> bool:
        return not_reproduced(replay([*start, {"t": "answer", "obs": observations, "by": "some_look"}]), knowledge)

    assert not after(cold)
    assert after(cold + warm)
    assert not after(cold + warm + shown)
    assert after([*warm, {"of": "running_temperature", "answer": "normal", "engine": "warm"}])
    assert not after([*warm, {"of": "running_temperature", "answer": "high", "engine": "warm"}])
    assert not not_reproduced(replay([{"t": "start", "case": {}}, {"t": "answer", "obs": warm, "by": "some_look"}]), knowledge)
