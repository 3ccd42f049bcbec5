"""Cases drawn from the knowledge itself, as `diagnose.score.draw` draws them, and what the flow hands to the ranking for a case."""

from __future__ import annotations

from diagnose.assess import HARD, context_of
from diagnose.case.case import Case
from diagnose.compiled import compiled
from diagnose.figures.figures import derive
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import build
from diagnose.rank.network import Network
from diagnose.rules.interpret import interpret
from diagnose.score.draw import draw, links, read_conditions, sample, satisfy

__all__ = ["draw", "links", "query", "read_conditions", "sample", "satisfy"]


def query(case: Case, knowledge: Knowledge) -> tuple[Network, dict[str, tuple[float, ...]], list[str]]:
    """The network, the evidence and the findings about the past that `assess` hands to the ranking for `case`."""
    ready = compiled(knowledge)
    seen = interpret(ready.interpret, case, derive(case, knowledge), knowledge)
    told = {name: found for name, found in seen.findings.items() if min(found.likelihood) < max(found.likelihood) - HARD}
    context = context_of(case, knowledge, {name: dict(found.conditions or {}) for name, found in told.items()})
    network = build(knowledge, ready.links, context, told)
    return network, {name: found.likelihood for name, found in told.items()}, [name for name in told if name in ready.links.history]
