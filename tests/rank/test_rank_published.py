"""Chances against worked examples from outside this project; each value's source stands in its reference table."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from fractions import Fraction
from math import exp
from pathlib import Path

import pytest

from diagnose.rank.factors import compile_factors
from diagnose.rank.junction import grow
from diagnose.rank.network import Cause, Network, Node
from diagnose.rank.propagate import propagate
from diagnose.rank.rank import chances

TABLES = Path(__file__).parents[1] / "reference"
THERE, NOT_THERE = (0.0, 1.0), (1.0, 0.0)


def rows(table: str, column: str, value: str) -> list[dict[str, str]]:
    with (TABLES / table).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row[column] == value]


def network(*nodes: Node) -> Network:
    return Network({node.id: node for node in nodes})


def chance_of_evidence(net: Network, evidence: Mapping[str, tuple[float, ...]]) -> float:
    tree = grow(compile_factors(net, [evidence], []))
    return exp(float(propagate(tree, [], [0]).log_evidence[0]))


# Noisy-OR: S. Russell and P. Norvig, Artificial Intelligence: A Modern Approach, the table of P(Fever | Cold, Flu, Malaria).


@pytest.mark.parametrize("row", rows("diagnosis_examples.csv", "example", "noisy_or"), ids=lambda row: row["setting"])
def test_a_noisy_or_gives_the_printed_table(row: dict[str, str]) -> None:
    pushes = {"cold": 0.4, "flu": 0.8, "malaria": 0.9}  # one minus the printed inhibitions 0.6, 0.2, 0.1
    fever = Node("fever", (0.0,), tuple(Cause(name, (push,)) for name, push in pushes.items()))
    net = network(*(Node(name, (0.5,)) for name in pushes), fever)
    states = dict(part.split("=") for part in row["setting"].split())
    evidence = {name: THERE if there == "1" else NOT_THERE for name, there in states.items()}
    table, _, exact = chances(net, [evidence], ["fever"])
    assert exact
    assert table["fever"][0] == pytest.approx(float(row["value"]), abs=1e-15)


# Two layers, three causes, three findings: exact fractions by enumeration (see the table).


def bn2o() -> Network:
    causes = ("d1", "d2", "d3")
    nodes = [Node(name, (float(Fraction(prior)),)) for name, prior in zip(causes, ("1/10", "1/20", "1/50"), strict=True)]
    for row in rows("diagnosis_examples.csv", "example", "bn2o_parameters"):
        leak, pushes = row["value"].split(";")
        links = zip(causes, (float(Fraction(p.strip())) for p in pushes.split(",")), strict=True)
        nodes.append(Node(row["setting"], (float(Fraction(leak)),), tuple(Cause(n, (p,)) for n, p in links if p)))
    return network(*nodes)


def bn2o_evidence(setting: str) -> dict[str, tuple[float, ...]]:
    """From `…; +f1,f2 -f3` to likelihoods."""
    out: dict[str, tuple[float, ...]] = {}
    signed = setting.split(";")[1].replace("+ ", "+").split()
    for part in signed:
        for name in part.lstrip("+-").split(","):
            if name:
                out[name.lstrip("-")] = NOT_THERE if "-" in part else THERE
    return out


def test_the_evidence_of_a_setting_is_read_as_it_is_written() -> None:
    assert bn2o_evidence("priors; +f1,f2 -f3") == {"f1": THERE, "f2": THERE, "f3": NOT_THERE}
    assert bn2o_evidence("priors; + -f1,f2,f3") == {"f1": NOT_THERE, "f2": NOT_THERE, "f3": NOT_THERE}
    assert bn2o_evidence("priors; +f1 -") == {"f1": THERE}


@pytest.mark.parametrize("row", rows("diagnosis_examples.csv", "example", "bn2o"), ids=lambda r: f"{r['quantity']} {r['setting'][-12:]}")
def test_two_layers_give_the_exact_fractions(row: dict[str, str]) -> None:
    net, evidence = bn2o(), bn2o_evidence(row["setting"])
    if row["quantity"] == "P(evidence)":
        got = chance_of_evidence(net, evidence)
    else:
        name = row["quantity"][2:4]
        table, _, exact = chances(net, [evidence], [name])
        assert exact
        got = table[name][0]
    assert got == pytest.approx(float(Fraction(row["value"])), rel=1e-13)


# Three multipliers, two adders: J. de Kleer and B. C. Williams, Artificial Intelligence 32 (1987) 97. A conflict is a set of parts
# that cannot all be sound: an OR of its members that is known to be true. Priors 0.01, chances by enumeration (see the table).


@pytest.mark.parametrize("setting", ["F=10 G=12", "F=10 G=12 X=4", "F=10 G=12 X=6", "F=10 G=12 Y=4", "F=10 G=12 Y=6"])
def test_three_multipliers_and_two_adders(setting: str) -> None:
    table = [row for row in rows("diagnosis_examples.csv", "example", "gde_polybox") if row["setting"] == setting]
    conflicts = next(row["value"] for row in table if row["quantity"] == "minimal conflicts")
    sets = [part.strip("{}").split(",") for part in conflicts.split()]
    parts = ("M1", "M2", "M3", "A1", "A2")
    nodes = [Node(part, (0.01,)) for part in parts]
    nodes += [Node(f"conflict{i}", (0.0,), tuple(Cause(part, (1.0,)) for part in members)) for i, members in enumerate(sets)]
    got, _, exact = chances(network(*nodes), [{f"conflict{i}": THERE for i in range(len(sets))}], parts)
    assert exact
    checked = 0
    for row in table:
        if row["quantity"].startswith("P("):
            assert got[row["quantity"][2:4]][0] == pytest.approx(float(row["value"]), abs=1e-12)
            checked += 1
    assert checked == 5


# The chest clinic: S. L. Lauritzen and D. J. Spiegelhalter, J. R. Stat. Soc. B 50 (1988) 157; tables as there (from memory, held
# against the posteriors in the reference table). All but one node are noisy-ORs already. Short breath is not (0.9 with both
# causes, a noisy-OR gives 0.93): both together are a cause of their own there, which keeps the single ones silent.


def chest_clinic() -> Network:
    def raising(before: float, after: float) -> tuple[float]:
        return (1.0 - (1.0 - after) / (1.0 - before),)

    not_both = Node("not_both", (0.0,), (Cause("either", (1.0,), state=0), Cause("bronc", (1.0,), state=0)))
    dysp = Node(
        "dysp",
        (0.1,),
        (
            Cause("either", raising(0.1, 0.7), unless=("bronc", 1)),
            Cause("bronc", raising(0.1, 0.8), unless=("either", 1)),
            Cause("not_both", raising(0.1, 0.9), state=0),
        ),
    )
    return network(
        Node("asia", (0.01,)),
        Node("smoke", (0.5,)),
        Node("tub", (0.01,), (Cause("asia", raising(0.01, 0.05)),)),
        Node("lung", (0.01,), (Cause("smoke", raising(0.01, 0.1)),)),
        Node("bronc", (0.3,), (Cause("smoke", raising(0.3, 0.6)),)),
        Node("either", (0.0,), (Cause("tub", (1.0,)), Cause("lung", (1.0,)))),
        Node("xray", (0.05,), (Cause("either", raising(0.05, 0.98)),)),
        not_both,
        dysp,
    )


def clinic_evidence(text: str) -> dict[str, tuple[float, ...]]:
    pairs = (part.split("=") for part in text.replace(";", " ").replace(",", " ").split())
    return {name: THERE if state == "yes" else NOT_THERE for name, state in pairs}


@pytest.mark.parametrize("row", rows("bayes_posteriors.csv", "network", "asia"), ids=lambda r: f"{r['query']}={r['state']}|{r['evidence']}")
def test_the_chest_clinic(row: dict[str, str]) -> None:
    net, evidence = chest_clinic(), clinic_evidence(row["evidence"])
    table, _, exact = chances(net, [evidence], [row["query"]])
    assert exact
    there = table[row["query"]][0]
    # the published numbers carry single precision
    assert (there if row["state"] == "yes" else 1.0 - there) == pytest.approx(float(row["posterior"]), abs=5e-7)
    assert chance_of_evidence(net, evidence) == pytest.approx(float(row["p_evidence"]), rel=5e-6)
