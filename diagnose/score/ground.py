"""A case worked out as far as its network, so that the same case can be ranked again with a number moved or a rule gone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.assess import HARD, context_of
from diagnose.case.case import Case
from diagnose.compiled import compiled
from diagnose.explain.compose import SHOWN_FROM
from diagnose.figures.derived import Derived
from diagnose.figures.figures import derive
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.build import build
from diagnose.rank.network import Evidence, Network
from diagnose.rank.query import Query
from diagnose.rank.rank import DIGITS, accounts_for
from diagnose.rules.advise import Advice, advise
from diagnose.rules.interpret import Interpretation, interpret
from diagnose.rules.program import Program


@dataclass(frozen=True)
class Ground:
    """What the ranking starts from. `suspects`: faults and harmless causes that this vehicle can have."""

    case: Case
    readings: Sequence[Derived]
    seen: Interpretation
    network: Network
    evidence: Evidence
    history: frozenset[str]
    suspects: tuple[str, ...]


@dataclass(frozen=True)
class Posterior:
    """Chances by id, unrounded, and the suspects in the order in which they would be listed."""

    chance: Mapping[str, float]
    accounts: Mapping[str, float]
    order: tuple[str, ...]

    @property
    def leader(self) -> str:
        """The first of the list, or "nothing"."""
        return self.order[0] if self.order else "nothing"


def prepare(case: Case, knowledge: Knowledge, rules: Program | None = None) -> Ground:
    """The flow of `assess` as far as the network. `rules`: other interpreting rules than the knowledge's own."""
    ready = compiled(knowledge)
    readings = derive(case, knowledge)
    seen = interpret(rules or ready.interpret, case, readings, knowledge)
    found = {name: f for name, f in seen.findings.items() if min(f.likelihood) < max(f.likelihood) - HARD}
    context = context_of(case, knowledge, {name: dict(f.conditions or {}) for name, f in found.items()})
    network = build(knowledge, ready.links, context, found)
    suspects = tuple(n for n in network.places if n in knowledge.faults and knowledge.faults[n].kind != "event")
    evidence = {name: f.likelihood for name, f in found.items()}
    return Ground(case, readings, seen, network, evidence, frozenset(found) & ready.links.history, suspects)


def posterior(ground: Ground, network: Network | None = None, effects: bool = False) -> Posterior:
    """Chances and order of the suspects, by the case's own network or by a changed one. `effects`: theirs too, and all outside."""
    network = network or ground.network
    wanted = [*network.places, *network.outside()] if effects else list(ground.suspects)
    before = {name: likelihood for name, likelihood in ground.evidence.items() if name in ground.history}
    table = Query(network, [ground.evidence, before], wanted).ask(wanted, [0, 1])
    chance = {name: row[0] for name, row in table.items()}
    accounts = {name: accounts_for(table[name][0], table[name][1]) for name in ground.suspects}
    return Posterior(chance, accounts, listed(chance, accounts))


def listed(chance: Mapping[str, float], accounts: Mapping[str, float]) -> tuple[str, ...]:
    """Ids in the order of the list, rounded as the list is."""
    shown = {name: (round(a, DIGITS), round(chance[name], DIGITS)) for name, a in accounts.items()}
    return tuple(sorted((n for n in shown if shown[n][0] >= SHOWN_FROM), key=lambda n: (-shown[n][0], -shown[n][1], n)))


def advice(ground: Ground, ranked: Posterior, knowledge: Knowledge) -> Advice:
    """What the advising rules make of it. `ranked` must hold the chances of effects."""
    figures = {d.finding: d.measure.value for d in ground.readings if d.measure}
    rounded = {name: round(c, DIGITS) + 0.0 for name, c in ranked.chance.items()}
    return advise(compiled(knowledge).advise, ground.case, knowledge, ground.seen.findings, rounded, figures)


def answer(ground: Ground, knowledge: Knowledge, network: Network | None = None) -> tuple[str, str]:
    """The leader and the case's urgency: what must not hang on one number."""
    ranked = posterior(ground, network, effects=True)
    return ranked.leader, advice(ground, ranked, knowledge).urgency
