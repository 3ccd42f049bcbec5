"""Everything that is asked for, measured in one run, as one plain document."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score import coverage, robustness, sensitivity, simulated
from diagnose.score.alternatives import compare
from diagnose.score.library import library
from diagnose.score.spread import Tell, spread
from diagnose.score.told import Told, tell
from diagnose.score.worked import ALL, Worked, failing, score

Task = TypeVar("Task")
Result = TypeVar("Result")


@dataclass(frozen=True)
class Asked:
    """What is to be measured. `quick`: the worked cases alone, without proposed tests."""

    cases: Path
    set: str = ALL
    kind: str = ALL
    simulated: int = 0
    seed: int = 0
    quick: bool = False
    coverage: bool = False
    sensitivity: bool = False
    names: bool = False
    jobs: int = 0


class _Run:
    """One run: work spread over processes, timed."""

    def __init__(self, knowledge: Knowledge, jobs: int, tell: Tell) -> None:
        self.knowledge, self.jobs, self.tell = knowledge, jobs or os.cpu_count() or 1, tell

    def __call__(self, work: Callable[[Knowledge, Task], Result], tasks: Sequence[Task], stage: str) -> tuple[list[Result], float]:
        start = time.monotonic()
        return spread(work, tasks, self.knowledge, self.jobs, self.tell, stage), time.monotonic() - start


def measure(asked: Asked, knowledge: Knowledge, tell_of: Tell) -> dict[str, Any]:
    """The document. Raises InputError for cases that cannot be read or are not there."""
    found, silent = library(asked.cases, knowledge, asked.set, asked.kind)
    run = _Run(knowledge, asked.jobs, tell_of)
    told, seconds = run(tell, [(w.case, bool(w.wanted.next_gives) and not asked.quick) for w in found], "worked cases")
    bare = [w.case.model_copy(update={"expect": None}) for w in found]
    out: dict[str, Any] = {
        "format": "score 1",
        "seed": asked.seed,
        "knowledge": _size(knowledge),
        "cases": len(found),
        "asserting_nothing": silent,
        "seconds": round(seconds, 1),
        "worked": score(found, told, asked.seed),
        "confusion": _confusion(found, told),
        "simulated": None,
        "alternatives": None,
        "robustness": None,
        "coverage": None,
        "sensitivity": None,
    }
    if asked.names:
        out["failing_open"] = failing(found, told)
    if not asked.quick:
        plain, _ = run(compare.answers, bare, "plain alternatives")
        out["alternatives"] = compare.compare(found, told, plain, knowledge)
        led, _ = run(robustness.leaders, [(case, asked.seed) for case in bare], "noise on every number")
        out["robustness"] = robustness.summary(found, led)
    return {**out, **_slow(asked, knowledge, run, found, bare)}


def _slow(asked: Asked, knowledge: Knowledge, run: _Run, found: Sequence[Worked], bare: Sequence[Case]) -> dict[str, Any]:
    """What is measured only where it was asked for."""
    out: dict[str, Any] = {}
    if asked.coverage:
        touched, seconds = run(coverage.touch, bare, "coverage")
        out["coverage"] = coverage.summary(touched, knowledge, seconds)
    if asked.sensitivity:
        still = [case for worked, case in zip(found, bare, strict=True) if worked.wanted.set == "open"]
        turned, seconds = run(sensitivity.turning, still, "numbers that matter (open cases)")
        out["sensitivity"] = sensitivity.summary(turned, seconds)
    if asked.simulated:
        drawn, seconds = run(simulated.simulate, [(asked.seed, i) for i in range(asked.simulated)], "simulated cases")
        out["simulated"] = simulated.summary(drawn, knowledge, asked.seed, seconds)
    return out


def _confusion(found: Sequence[Worked], told: Sequence[Told]) -> list[dict[str, Any]]:
    """What was taken for what in open cases; of several right answers the first named stands for all."""
    wrong = [(w.wanted, t.order[0] if t.order else "nothing") for w, t in zip(found, told, strict=True) if w.wanted.set == "open"]
    return simulated.mixed_up([(w.leader[0], name) for w, name in wrong if w.leader and name not in w.leader])


def _size(knowledge: Knowledge) -> dict[str, int]:
    kinds = [f.kind for f in knowledge.faults.values()]
    return {
        "faults": kinds.count("fault"),
        "harmless": kinds.count("harmless"),
        "effects": len(knowledge.effects),
        "findings": len(knowledge.findings),
        "rules": len(knowledge.rules),
    }
