"""`python -m tests.mutation --seed 1 --many 300`: how much of what is spoilt is noticed, by class; the survivors are listed."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Sequence
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")
sys.path[:0] = [str(Path(__file__).parents[1])]  # what the tests share

from diagnose.knowledge.load import load  # noqa: E402

from . import register  # noqa: E402
from .mutants import CLASSES, NUMBER, Mutant, sample  # noqa: E402
from .notice import BY, Judge, Result  # noqa: E402

_judges: list[Judge] = []  # filled before the workers are forked


def _one(mutant: Mutant) -> Result:
    return _judges[0].judge(mutant)


def run(judge: Judge, mutants: Sequence[Mutant], workers: int) -> list[Result]:
    """Judge all, on so many processes; results in the order of `mutants`."""
    _judges[:] = [judge]
    _ = judge.worked, judge.before, judge.register, judge.standing, judge._above, judge._below
    if workers < 2:
        return [judge.judge(mutant) for mutant in mutants]
    with get_context("fork").Pool(workers) as pool:
        return pool.map(_one, mutants, chunksize=2)


def table(results: Iterable[Result]) -> str:
    """Counts by class: how many are noticed at all, and by whom."""
    found = list(results)
    lines = [f"{'class':<20}{'mutants':>8}{'noticed':>9}" + "".join(f"{by:>10}" for by in BY) + f"{'without register':>18}"]
    for kind in (*CLASSES, "all", NUMBER):
        own = [r for r in found if (r.kind == kind or kind == "all") and (kind == NUMBER or r.kind != NUMBER)]
        if own:
            noticed = sum(bool(r.by) for r in own)
            alone = sum(bool(set(r.by) - {"register"}) for r in own)
            counts = "".join(f"{sum(by in r.by for r in own):>10}" for by in BY)
            lines.append(f"{kind:<20}{len(own):>8}{noticed / len(own):>9.0%}{counts}{alone / len(own):>18.0%}")
    return "\n".join(lines)


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--many", type=int, default=300, help="how many mutants, spread evenly over the classes")
    parser.add_argument("--numbers", type=int, default=0, help="how many changed numbers besides; reported, no target")
    parser.add_argument("--cases", type=int, default=5, help="how many worked cases at most are tried on one mutant")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--all", action="store_true", help="list those too that only the register notices")
    parser.add_argument("--write-missing", action="store_true", help="draft lines of the register for what has none, and stop")
    parser.add_argument("--drop-gone", action="store_true", help="take away lines of the register about what is gone, and stop")
    options = parser.parse_args()
    os.nice(5)  # others may be at work on the machine
    knowledge = load()
    if options.drop_gone:
        gone = register.drop_gone(knowledge)
        print("\n".join(gone))
        print(f"{len(gone)} lines taken away. Read each: is it meant to be gone?")
        return
    if options.write_missing:
        fresh = register.write_missing(knowledge)
        print("\n".join(fresh))
        print(f"{len(fresh)} new lines. Read each: does the trade say so? A line that only repeats a slip notices nothing.")
        return
    results = run(Judge(knowledge, options.cases), sample(knowledge, options.seed, options.many, options.numbers), options.workers)
    print(table(results))
    print(f"At most {options.cases} worked cases were tried on each mutant, so what the cases notice is a lower bound.")
    for result in results:
        if not result.by and result.kind != NUMBER:
            print(f"survives: {result.kind}: {result.told}")
        elif options.all and set(result.by) <= {"register"}:
            print(f"{'register only' if result.by else 'survives'}: {result.kind}: {result.told}")


if __name__ == "__main__":
    main()
