"""How long an assessment takes, and where the time goes. Prints; judges nothing. Run it on a quiet machine.

python tests/benchmarks/assess_speed.py [--knowledge DIR] [--rounds N]
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from diagnose import assess as flow
from diagnose.intake.casefile import read_case
from diagnose.knowledge.load import load
from diagnose.rules.weigh import Weigher

CASES = Path(__file__).parents[2] / "cases"
STAGES = ("derive", "interpret", "build", "rank", "advise", "propose", "compose")
COLD = "from diagnose.assess import assess; from diagnose.case.case import Case; from diagnose.knowledge.load import load; {0}"
COLD_RUN = "assess(Case.model_validate({'observations': [{'bubbles_at_neck': 'yes', 'engine': 'warm'}]}), load(), plan=False)"


def timed(stage: str, function: Callable[..., Any], spent: dict[str, list[float]]) -> Callable[..., Any]:
    def run(*args: Any, **named: Any) -> Any:
        start = time.perf_counter()
        try:
            return function(*args, **named)
        finally:
            spent.setdefault(stage, []).append(time.perf_counter() - start)

    return run


def told(name: str, seconds: list[float]) -> str:
    row = sorted(seconds)
    middle, high = 1e3 * row[len(row) // 2], 1e3 * row[int(0.95 * (len(row) - 1))]
    return f"{name:24} median {middle:7.1f} ms   95th percentile {high:7.1f} ms   n {len(row)}"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--knowledge", type=Path)
    asked.add_argument("--rounds", type=int, default=2)
    options = asked.parse_args()
    print("load of the machine before: " + ", ".join(f"{x:.1f}" for x in os.getloadavg()))
    knowledge = load(options.knowledge)
    cases = [read_case(path, None, knowledge) for path in sorted(CASES.glob("*.yaml"))]
    for case in cases[:3]:
        flow.assess(case, knowledge)
    spent: dict[str, list[float]] = {}
    for stage in STAGES:
        setattr(flow, stage, timed(stage, getattr(flow, stage), spent))
    Weigher.run = timed("weigh", Weigher.run, spent)  # type: ignore[method-assign]
    for plan in (False, True):
        spent.clear()
        whole = []
        for _ in range(options.rounds):
            for case in cases:
                start = time.perf_counter()
                flow.assess(case, knowledge, plan=plan)
                whole.append(time.perf_counter() - start)
        print(told("assess, with plan" if plan else "assess, no plan", whole))
        if not plan:
            print(f"{'batch, no plan':24} {len(whole) / sum(whole):.1f} cases a second on one core")
        for stage, seconds in spent.items():
            print("  " + told(stage, seconds))
    cold = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", COLD.format(COLD_RUN)], check=True)
        cold.append(time.perf_counter() - start)
    print(told("cold start", cold[1:]))
    print("load of the machine after: " + ", ".join(f"{x:.1f}" for x in os.getloadavg()))


if __name__ == "__main__":
    main()
