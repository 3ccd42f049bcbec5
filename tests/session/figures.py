"""How many prompts, minutes and seconds a session takes: faults drawn from the knowledge, played by a mechanic who answers from the
truth, one answer in ten "unknown". Run: python tests/session/figures.py HOW_MANY SEED

The customer names up to two signs that can be told without touching the vehicle; everything else is asked for.
"""

from __future__ import annotations

import signal
import statistics
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from mechanic import Played, play  # noqa: E402
from simulate import draw  # noqa: E402

from diagnose.case.case import Case  # noqa: E402
from diagnose.knowledge.knowledge import Knowledge  # noqa: E402
from diagnose.knowledge.load import load  # noqa: E402
from diagnose.session.course import Course, Step  # noqa: E402

PLACES = ("dash", "cabin", "exhaust", "outside", "road")
LONGEST = 60  # seconds after which a session is given up and counted as too slow


def told(case: Case, knowledge: Knowledge, rng: Random) -> list[str]:
    """Signs that a customer names of his own accord."""
    talk = {f for p in knowledge.procedures.values() if p.engine == "any" and not p.tools for f in p.gives}
    seen = [o.of for o in case.observations if o.answer == "yes" and o.of in talk and knowledge.findings[o.of].place in PLACES]
    return sorted(rng.sample(seen, min(2, len(seen))))


def games(many: int, seed: int, knowledge: Knowledge) -> Iterator[tuple[str, frozenset[str], list[str], Played | None]]:
    """Fault, truth, what the customer said, and how it went (None: too slow)."""
    rng = Random(seed)
    faults = [f.id for f in knowledge.faults.values() if f.kind == "fault"]
    while many:
        fault = rng.choice(faults)
        truth, case = draw(rng, knowledge, fault, list(knowledge.procedures))
        said = told(case, knowledge, rng)
        if not said:  # nobody would have come
            continue
        many -= 1
        case = case.model_copy(update={"why_here": "complaint", "complaint": None})
        signal.alarm(LONGEST)
        try:
            yield fault, truth, said, play(case, knowledge, slips=0.1, seed=many, words=False, told=said)
        except TimeoutError:
            yield fault, truth, said, None
        finally:
            signal.alarm(0)


def main(many: int, seed: int) -> None:
    """Play, and print each session and the figures."""
    signal.signal(signal.SIGALRM, _late)
    took: list[float] = []
    own = Course.step

    def timed(self: Course) -> Step:
        began = time.perf_counter()
        step = own(self)
        took.append(time.perf_counter() - began)
        return step

    Course.step = timed  # type: ignore[method-assign]
    knowledge = load()
    prompts, minutes, right, slow = [], [], 0, 0
    for fault, truth, said, played in games(many, seed, knowledge):
        if played is None:
            slow += 1
            print(f"too slow  {fault}", flush=True)
            continue
        first = played.end.ranking[0].id if played.end.ranking else "nothing"
        good = first in truth and played.end.verdict != "nothing_wrong"
        right += good
        prompts.append(played.prompts + 2)  # the complaint, and whether it was understood
        minutes.append(played.minutes)
        line = f"{'right' if good else 'WRONG'} {prompts[-1]:>2} prompts {played.minutes:>4.0f} min {fault}: {first} ({played.end.verdict})"
        print(f"{line}  said: {', '.join(said)}", flush=True)
    took.sort()
    print(
        f"{right} of {len(prompts)} right, {slow} too slow; prompts: median {statistics.median(prompts)}, worst ten {sorted(prompts)[-10:]}"
    )
    middle, late = took[len(took) // 2], took[int(len(took) * 0.95)]
    print(f"minutes: mean {statistics.mean(minutes):.0f}; answer to next question: median {middle:.2f} s, p95 {late:.2f} s")


def _late(*_: Any) -> None:
    raise TimeoutError


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
