"""Many worlds in one pass, gathered roots, the approximate fallback: each against the plain way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from random import Random

import pytest
from simulate import draw, links, query

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank import junction, rank
from diagnose.rank import query as asking
from diagnose.rank.collapse import Collapsed
from diagnose.rank.network import Cause, Choice, Network, Node


def small_network(rng: Random) -> tuple[Network, dict[str, tuple[float, ...]]]:
    """Roots, one part with exclusive states, effects, and findings of two and three levels; some findings looked at."""
    nodes: dict[str, Node | Choice] = {f"f{i}": Node(f"f{i}", (rng.uniform(0.01, 0.4),)) for i in range(4)}
    nodes["part"] = Choice("part", (rng.uniform(0.01, 0.3), rng.uniform(0.01, 0.3)), ((("f0", 0.3),), ()))
    above = [(name, 1) for name in nodes if name != "part"] + [("part", 1), ("part", 2)]
    for i in range(3):
        chosen = rng.sample(above, 3)
        causes = [Cause(p, (rng.uniform(0.2, 0.95),), s) for p, s in chosen]
        if rng.random() < 0.5:
            causes[0] = Cause(causes[0].parent, causes[0].push, causes[0].state, unless=("f3", 1))
        nodes[f"e{i}"] = Node(f"e{i}", (rng.uniform(0.001, 0.05),), tuple(causes))
        above.append((f"e{i}", 1))
    evidence = {}
    for i in range(3):
        size = rng.choice((2, 2, 3))
        pushes = [tuple(rng.uniform(0.05, 0.9 / (size - 1)) for _ in range(size - 1)) for _ in range(3)]
        causes = [Cause(p, push, s) for (p, s), push in zip(rng.sample(above, 3), pushes, strict=True)]
        nodes[f"x{i}"] = Node(f"x{i}", tuple(0.02 for _ in range(size - 1)), tuple(causes))
        if rng.random() < 0.8:
            level = rng.randrange(size)
            doubt = rng.choice((0.0, 0.0, 0.3))
            evidence[f"x{i}"] = tuple(1.0 if k == level else doubt for k in range(size))
    return Network(nodes, {"shut": ("part", 1), "open": ("part", 2)}), evidence


def by_enumeration(network: Network, evidence: Mapping[str, tuple[float, ...]], wanted: Sequence[str]) -> dict[str, float]:
    """Every world of the network, one after the other."""
    names = list(network.nodes)
    total = 0.0
    share = dict.fromkeys(wanted, 0.0)
    places = {w: network.place(w) for w in wanted}
    for world in product(*(range(network.nodes[n].size) for n in names)):
        level = dict(zip(names, world, strict=True))
        weight = 1.0
        for name in names:
            weight *= evidence.get(name, (1.0,) * 9)[level[name]]
            if weight == 0.0:
                break
            weight *= chance_of_level(network.nodes[name], level)
        total += weight
        for w, (node, state) in places.items():
            if level[node] == state:
                share[w] += weight
    return {w: x / total for w, x in share.items()}


def chance_of_level(node: Node | Choice, level: Mapping[str, int]) -> float:
    if isinstance(node, Choice):
        return float(node.table()[tuple(level[p] for p in node.parents())][level[node.id]])

    def at_most(k: int) -> float:
        if k < 0:
            return 0.0
        quiet = 1.0 - sum(node.leak[k:])
        for cause in node.causes:
            hidden = cause.unless is not None and level[cause.unless[0]] == cause.unless[1]
            if level[cause.parent] == cause.state and not hidden:
                quiet *= 1.0 - sum(cause.push[k:])
        return quiet

    return at_most(level[node.id]) - at_most(level[node.id] - 1)


WANTED = ("f0", "f1", "f2", "f3", "shut", "open", "e0", "e1", "e2")


@pytest.mark.parametrize("seed", range(4))
def test_chances_equal_the_walk_through_all_worlds(seed: int) -> None:
    network, evidence = small_network(Random(seed))
    table, _, exact = rank.chances(network, [evidence], WANTED)
    truth = by_enumeration(network, evidence, WANTED)
    assert exact
    for name in WANTED:
        assert table[name][0] == pytest.approx(truth[name], abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_the_fallback_is_announced_and_close_on_small_networks(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    network, evidence = small_network(Random(seed))
    exact_table, _, _ = rank.chances(network, [evidence, {}], WANTED)
    monkeypatch.setattr(junction, "WIDEST", 1)
    table, _, exact = rank.chances(network, [evidence, {}], WANTED)
    assert not exact
    off = [abs(a - b) for name in WANTED for a, b in zip(table[name], exact_table[name], strict=True)]
    assert max(off) < 0.2, "strong links in a small ring are the worst case for it"
    assert sum(off) / len(off) < 0.04


@pytest.mark.parametrize("seed", range(3))
def test_many_worlds_in_one_pass_equal_each_on_its_own(seed: int, real_knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "WIDEST_TIED", junction.WIDEST)  # else many worlds might settle the past where one alone does not
    _, case = draw(Random(seed), real_knowledge, "head_gasket_gas", _procedures(real_knowledge, seed))
    network, evidence, history = query(case, real_knowledge)
    wanted = [*network.places]
    ranking = rank.rank(network, evidence, history, wanted, [])
    worlds = [evidence, *({k: v for k, v in evidence.items() if k != left} for left in sorted(evidence))]
    silent = [evidence, *({**evidence, left: (1.0,) * len(evidence[left])} for left in sorted(evidence))]
    together, _, exact = rank.chances(network, worlds, wanted)
    assert exact
    assert ranking.exact
    for i, world in enumerate(silent):
        alone, _, _ = rank.chances(network, [world], wanted)
        for name in wanted:
            assert together[name][i] == pytest.approx(alone[name][0], abs=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_gathering_private_roots_changes_no_chance(seed: int, real_knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    _, case = draw(Random(seed + 50), real_knowledge, None, _procedures(real_knowledge, seed))
    network, evidence, _ = query(case, real_knowledge)
    wanted = [*network.places, *network.outside()]
    gathered, _, _ = rank.chances(network, [evidence], wanted)
    monkeypatch.setattr(asking, "collapse", lambda network, kept, worlds: Collapsed(network, {}))
    plain, _, exact = rank.chances(network, [evidence], wanted)
    assert exact
    assert gathered == {name: pytest.approx(row, abs=1e-12) for name, row in plain.items()}


def _procedures(knowledge: Knowledge, seed: int) -> list[str]:
    """Some of everything, and something about the past."""
    past = sorted(p.id for p in knowledge.procedures.values() if links(knowledge).history.intersection(p.gives))
    return [Random(seed).choice(past), *Random(seed).sample(sorted(knowledge.procedures), 3)]


# The past is told apart from what is found (rank.history).


@pytest.mark.parametrize("seed", range(6))
def test_the_past_is_settled_first_only_where_the_exact_tree_is_too_wide(
    seed: int, real_knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fault found today says something back about the past: settling loses that, so it is the second choice, and is told."""
    past = sorted(f for f in links(real_knowledge).history if f in real_knowledge.findings)
    procedures = Random(seed).sample(sorted(p.id for p in real_knowledge.procedures.values() if not set(past) & set(p.gives)), 3)
    _, case = draw(Random(seed), real_knowledge, "head_gasket_gas", procedures)
    said = [Observation.model_validate({"of": f, "answer": Random(seed).choice(["yes", "no"])}) for f in Random(seed).sample(past, 2)]
    network, evidence, _ = query(case.model_copy(update={"observations": (*case.observations, *said)}), real_knowledge)
    wanted = [n for n in network.places if n in real_knowledge.faults and real_knowledge.faults[n].kind != "event"]
    assert network.events
    tied = asking.Query(network, [evidence], wanted)
    assert tied.exact
    assert not tied.settled
    monkeypatch.setattr(asking, "WIDEST_TIED", 0)
    settled = asking.Query(network, [evidence], wanted)
    assert settled.exact
    assert settled.settled
    exact, close = tied.ask(wanted, [0]), settled.ask(wanted, [0])
    off = [abs(exact[n][0] - close[n][0]) for n in wanted]
    assert max(off) < 0.2
    assert sum(off) / len(off) < 0.005


def test_all_questions_about_the_past_answered_stay_exact(real_knowledge: Knowledge) -> None:
    said = [{"of": f, "answer": "no"} for f in sorted(links(real_knowledge).history)]
    case = Case.model_validate({"observations": [*said, {"of": "bubbles_at_neck", "answer": "yes", "engine": "warm"}]})
    network, evidence, _ = query(case, real_knowledge)
    table, width, exact = rank.chances(network, [evidence], [*network.places])
    assert exact
    assert width <= 1 << 15
    assert all(0.0 <= row[0] <= 1.0 for row in table.values())
