"""Knowledge made ready to run: rules compiled, links indexed. Built once per knowledge and thread, and used again."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from diagnose.errors import KnowledgeError
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import Causal, causal
from diagnose.rules.program import Program
from diagnose.rules.weigh import Weigher


@dataclass(frozen=True)
class Compiled:
    """The three engines and the causal index of one knowledge, for one thread."""

    knowledge: Knowledge
    interpret: Program
    advise: Program
    weigh: Weigher
    links: Causal


_kept = threading.local()  # engines are not shared between threads: experta keeps state in them


def compiled(knowledge: Knowledge) -> Compiled:
    """The compiled form of `knowledge` in this thread. Raises KnowledgeError for rules or links that cannot be used."""
    held: Compiled | None = getattr(_kept, "compiled", None)
    if held is not None and held.knowledge is knowledge:
        return held
    try:
        links = causal(knowledge)
    except ValueError as why:
        raise KnowledgeError(str(why)) from None
    fresh = Compiled(knowledge, Program(knowledge, "interpret"), Program(knowledge, "advise"), Weigher(knowledge), links)
    _kept.compiled = fresh
    return fresh
