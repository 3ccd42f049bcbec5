"""The plainer methods on a network small enough for pencil and paper.

Faults a (0.1) and b (0.2), a harmless cause h (0.3). Sign x: a shows it 0.8, b 0.3, misread 0.05. Sign y: a 0.5, h 0.4, misread 0.1.
Seen: x. Looked for and not seen: y.
    P(x|a)  = 1 - 0.95·0.2·(1 - 0.2·0.3)        = 0.8214      P(x|not a) = 1 - 0.95·0.94 = 0.107
    P(x)    = 0.1·0.8214 + 0.9·0.107            = 0.17844
    P(x|b)  = 1 - 0.95·0.7·(1 - 0.1·0.8)        = 0.3882
    P(no y|a) = 0.9·0.5·(1 - 0.3·0.4) = 0.396   P(no y|not a) = 0.9·0.88 = 0.792   P(no y) = 0.0396 + 0.7128 = 0.7524
    P(no y|h) = 0.9·0.6·(1 - 0.1·0.5) = 0.513
    a sound vehicle: P(x) = 0.05, P(no y) = 0.9·0.88 = 0.792
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Fault
from diagnose.rank.network import Cause, Network, Node
from diagnose.score.alternatives.certainty import certainty, combine, factor
from diagnose.score.alternatives.compare import METHODS, PROGRAM, compare
from diagnose.score.alternatives.naive import naive, shares
from diagnose.score.alternatives.single import Answered, single
from diagnose.score.alternatives.voting import vote
from diagnose.score.expected import Expected
from diagnose.score.ground import Ground
from diagnose.score.told import Told
from diagnose.score.worked import Worked

KINDS = {"a": "fault", "b": "fault", "h": "harmless"}
KNOWLEDGE = Knowledge(faults={name: Fault.model_construct(id=name, kind=kind) for name, kind in KINDS.items()})
NODES = [
    Node("a", (0.1,)),
    Node("b", (0.2,)),
    Node("h", (0.3,)),
    Node("x", (0.05,), (Cause("a", (0.8,)), Cause("b", (0.3,)))),
    Node("y", (0.1,), (Cause("a", (0.5,)), Cause("h", (0.4,)))),
]
NETWORK = Network({n.id: n for n in NODES}, {name: (name, 1) for name in KINDS})


def ground(**seen: bool) -> Ground:
    findings = {name: SimpleNamespace(level="present" if there else "absent") for name, there in seen.items()}
    evidence = {name: (0.0, 1.0) if there else (1.0, 0.0) for name, there in seen.items()}
    interpretation = cast(Any, SimpleNamespace(findings=findings))
    return Ground(cast(Any, None), (), interpretation, NETWORK, evidence, frozenset(), tuple(KINDS))


GROUND = ground(x=True, y=False)
MARGINALS = single(GROUND, KNOWLEDGE)


def test_what_one_finding_alone_says() -> None:
    assert MARGINALS.prior == pytest.approx({"a": 0.1, "b": 0.2, "h": 0.3})
    assert MARGINALS.after["x"] == pytest.approx({"a": 0.08214 / 0.17844, "b": 0.2 * 0.3882 / 0.17844, "h": 0.3})
    assert MARGINALS.after["y"] == pytest.approx({"a": 0.0396 / 0.7524, "b": 0.2, "h": 0.3 * 0.513 / 0.7524})
    assert MARGINALS.sure == pytest.approx({"x": 0.17844, "y": 0.7524})
    assert MARGINALS.sure_if_sound == pytest.approx({"x": 0.05, "y": 0.792})


def test_voting() -> None:
    """x votes for a and b, the commoner first; y was not seen, so h has no vote."""
    said = vote(GROUND, MARGINALS, KNOWLEDGE)
    assert said.order == ("b", "a")
    assert not said.nothing_wrong
    quiet = ground(x=False, y=False)
    assert vote(quiet, single(quiet, KNOWLEDGE), KNOWLEDGE).nothing_wrong
    both = ground(x=False, y=True)  # y votes for a and h; h is commoner, and harmless
    assert vote(both, single(both, KNOWLEDGE), KNOWLEDGE) == Answered(("h", "a"), True)


def test_certainty_factors() -> None:
    """a: (0.46032 - 0.1) / 0.9 = 0.40036 for and (0.05263 - 0.1) / 0.1 = -0.47368 against, so -0.07332 / 0.59964 = -0.1223.
    b: (0.43510 - 0.2) / 0.8 = 0.2939. h: y alone, against."""
    a = combine([factor(0.1, MARGINALS.after["x"]["a"]), factor(0.1, MARGINALS.after["y"]["a"])])
    assert a == pytest.approx(-0.1223, abs=5e-5)
    assert factor(0.2, MARGINALS.after["x"]["b"]) == pytest.approx(0.2939, abs=5e-5)
    said = certainty(GROUND, MARGINALS, KNOWLEDGE)
    assert said.order == ("b",)
    assert not said.nothing_wrong


def test_certainty_factors_combine_in_any_order() -> None:
    assert combine([0.3, -0.5, 0.4]) == pytest.approx(combine([0.4, 0.3, -0.5]))
    assert combine([0.3, 0.4]) == pytest.approx(0.58)
    assert -1.0 < combine([1.0, -1.0]) < 1.0


def test_naive_bayes() -> None:
    """a: 0.1·0.8214·0.396 = 0.032527; b: 0.2·0.3882·0.7524 = 0.058416; h: 0.3·0.17844·0.513 = 0.027462;
    none: 0.9·0.8·0.05·0.792 = 0.028512; together 0.146917."""
    found = shares(MARGINALS, frozenset({"a", "b"}))
    expected = {"a": 0.032527, "b": 0.058416, "h": 0.027462, "": 0.028512}
    assert found == pytest.approx({name: weight / 0.146917 for name, weight in expected.items()}, abs=1e-4)
    said = naive(GROUND, MARGINALS, KNOWLEDGE)
    assert said.order == ("b", "a", "h")
    assert not said.nothing_wrong  # b has 0.398


def test_methods_are_marked_alike_and_compared_case_by_case() -> None:
    """Three cases: both right; the program alone; both wrong. Splits 1 and 0; a harmless truth says nothing of denied faults."""
    cases = [Worked(n, Case(), Expected("open", "clear", leader=(n,))) for n in ("a", "b", "h")]
    told = [Told((n,), {n: 1.0}, {n: 1.0}, frozenset(), "none", "likely") for n in ("a", "b", "a")]
    plain = [dict.fromkeys(METHODS, Answered(order, True)) for order in (("a",), ("h", "x", "y", "b"), ("a",))]
    found = compare(cases, told, plain, KNOWLEDGE)["open"]
    assert (found[PROGRAM]["first"]["count"], found[PROGRAM]["first"]["of"]) == (2, 3)
    assert found["rule voting"]["first"]["count"] == 1
    assert (found["rule voting"]["first"]["only_program"], found["rule voting"]["first"]["only_this"]) == (1, 0)
    assert (found["naive Bayes"]["no_false_quiet"]["count"], found["naive Bayes"]["no_false_quiet"]["of"]) == (0, 2)
