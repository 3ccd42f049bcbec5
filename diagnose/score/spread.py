"""The same work on many cases, spread over processes. Results come back in the order of the tasks, whatever the number of processes."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Any, TypeVar

from diagnose.knowledge.knowledge import Knowledge

Task = TypeVar("Task")
Result = TypeVar("Result")
Tell = Callable[[str, int, int], None]  # stage, done, of
CHUNK = 4  # tasks sent to a process at a time
LOOK_UP = 1.0  # seconds between two looks whether the first process is still there
LONG = 90.0  # seconds from which the wait is told
_held: list[Knowledge] = []
_began: dict[str, float] = {}


def spread(
    work: Callable[[Knowledge, Task], Result], tasks: Sequence[Task], knowledge: Knowledge, jobs: int, tell: Tell, stage: str
) -> list[Result]:
    """`work` (a function of a module) on each task, in `jobs` processes; in this one where that is 1."""
    out: list[Result] = []
    tell(stage, 0, len(tasks))
    if jobs <= 1 or len(tasks) < 2:
        for task in tasks:
            out.append(work(knowledge, task))
            tell(stage, len(out), len(tasks))
        return out
    chunk = max(1, min(CHUNK, len(tasks) // (jobs * 8)))
    with ProcessPoolExecutor(jobs, initializer=_hold, initargs=(knowledge, os.getpid())) as pool:
        try:
            for result in pool.map(_Call(work), tasks, chunksize=chunk):
                out.append(result)
                tell(stage, len(out), len(tasks))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return out


class _Call:
    """A piece of work, ready to be sent to another process."""

    def __init__(self, work: Callable[[Knowledge, Any], Any]) -> None:
        self.work = work

    def __call__(self, task: Any) -> Any:
        return self.work(_held[0], task)


def _hold(knowledge: Knowledge, parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Ctrl-C ends it at once and without a word; the first process tells
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    _held[:] = [knowledge]


def _end_with(parent: int) -> None:
    """End this process where the one that made it has been ended from outside: nobody else would."""
    while os.getppid() == parent:
        time.sleep(LOOK_UP)
    os._exit(1)


def on_stderr(stage: str, done: int, of: int) -> None:
    """Progress on standard error: one line that counts up on a terminal, a line a stage elsewhere."""
    if done == 0:
        _began[stage] = time.monotonic()
    if sys.stderr.isatty():
        left = (time.monotonic() - _began.get(stage, 0.0)) / done * (of - done) if done else 0.0
        wait = f", about {left / 60:.0f} min left" if left >= LONG else ""
        sys.stderr.write(f"\r{stage}: {done:,} of {of:,}{wait}\x1b[K" + ("\n" if done >= of else ""))
    elif done == 0:
        sys.stderr.write(f"{stage}: {of:,}\n")
    sys.stderr.flush()
