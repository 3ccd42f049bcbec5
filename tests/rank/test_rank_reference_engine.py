"""Every chance of cases drawn from the real knowledge, against a general Bayesian-network library (see reference_engine)."""

from __future__ import annotations

from random import Random

import pytest

# its binding needs the system's OpenMP library (Debian: libgomp1), which a bare machine lacks; then this comparison is left out
reference_engine = pytest.importorskip("reference_engine", reason="the independent engine does not load here", exc_type=ImportError)
from simulate import draw
from simulate import query as query_of

from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.history import divide, settle
from diagnose.rank.network import Evidence, Network
from diagnose.rank.query import Query

TOLERANCE = 1e-9
FALLBACK = 0.01  # share of cases that may be answered by the approximate method


def by_reference(network: Network, evidence: Evidence, wanted: list[str]) -> dict[str, float]:
    """Chances by the library, all at once."""
    return reference_engine.ReferenceEngine(network, evidence, wanted).chances()


def by_reference_settled(network: Network, evidence: Evidence, wanted: list[str]) -> dict[str, float]:
    """Chances by the library: first what was answered about the past on its own, then everything else (see rank.history)."""
    divided = divide(network, [evidence])
    events = sorted(divided.events)
    past = reference_engine.ReferenceEngine(divided.past, divided.past_worlds[0], events).chances() if divided.past else {}
    settled = settle(divided, {event: [chance] for event, chance in past.items()})
    rest = [name for name in wanted if name not in divided.events]
    found = reference_engine.ReferenceEngine(settled.network, settled.worlds[0], rest).chances()
    return {**found, **{name: past[name] for name in wanted if name in past}}


def compare(knowledge: Knowledge, seed: int, cases: int) -> int:
    """Draw and compare; returns how many cases fell back to the approximate method."""
    rng = Random(seed)
    names = sorted(knowledge.faults)
    inexact = 0
    for number in range(cases):
        fault = rng.choice(names)
        _, case = draw(rng, knowledge, fault)
        network, evidence, _ = query_of(case, knowledge)
        wanted = [*network.places]
        query = Query(network, [evidence], wanted)
        if not query.exact:
            inexact += 1
            continue
        table = query.ask(wanted, [0])
        truth = (by_reference_settled if query.settled else by_reference)(network, evidence, wanted)
        worst = max(wanted, key=lambda name: abs(truth[name] - table[name][0]))
        assert abs(truth[worst] - table[worst][0]) < TOLERANCE, f"seed {seed}, case {number} ({fault}): {worst}"
    return inexact


def test_chances_of_a_few_drawn_cases_equal_a_general_library(real_knowledge: Knowledge) -> None:
    assert compare(real_knowledge, 1, 4) == 0


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 110))
def test_chances_of_five_hundred_drawn_cases_equal_a_general_library(seed: int, real_knowledge: Knowledge) -> None:
    """Ten times fifty, so that two workers share them."""
    inexact = compare(real_knowledge, seed, 50)
    print(f"seed {seed}: {inexact} of 50 by the approximate method")
    assert inexact <= 2, "at most one case in a hundred may fall back; by chance, never more than two of fifty"
