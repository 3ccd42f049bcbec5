"""Cases drawn from the knowledge itself: a vehicle, what is wrong with it, what somebody looks at, what they then see.

What is looked at is chosen before anything is known of the result. Results are sampled forward, cause before effect, through
the network that `diagnose.rank.build` makes of the knowledge, by sampling code of this file's own, which shares nothing with the
ranking's arithmetic. So a diagnosis can be held against the truth, and a chance of 0.3 ought to be right three times in ten.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

from diagnose.assess import context_of
from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.knowledge.condition import CONDITION_FIELDS, VEHICLE_FIELDS, Test, surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Fault, Finding
from diagnose.rank.build import Causal, build, causal
from diagnose.rank.network import Choice, Network, Node

FILLED = 0.6  # share of vehicle fields that are known
AMBIENT = (-25.0, 0.0)
_links: list[tuple[Knowledge, Causal]] = []


def draw(
    rng: Random, knowledge: Knowledge, fault: str | None = None, procedures: Sequence[str] | None = None
) -> tuple[frozenset[str], Case]:
    """What is true (ids of all faults, harmless causes and past events that are there) and the case that somebody would bring.

    `fault`: is there for certain; left out, everything is as common as its prior says. `procedures`: what was done; left out,
    a random handful of those that this vehicle allows.
    """
    wanted = knowledge.faults[fault] if fault else None
    vehicle = draw_vehicle(rng, wanted)
    why = "routine" if wanted is None and rng.random() < 0.3 else "complaint"
    bare = Case.model_validate({"why_here": why, "vehicle": vehicle, "invented": "yes"})
    facts = context_of(bare, knowledge, {}).facts
    done = draw_procedures(rng, knowledge, facts) if procedures is None else list(procedures)
    looked_at = sorted({f for p in done for f in knowledge.procedures[p].gives if f in knowledge.findings})
    conditions = {name: draw_conditions(rng, knowledge.findings[name]) for name in looked_at}
    circumstances = {n: read_conditions(c) for n, c in conditions.items()}
    network = build(knowledge, links(knowledge), context_of(bare, knowledge, circumstances), looked_at)
    level = sample(rng, network, fault)
    truth = frozenset(f for f in knowledge.faults if f in network.places and is_there(network, level, f))
    observations = [{"of": n, "answer": _answer(knowledge.findings[n], level[n]), **conditions[n]} for n in looked_at]
    rng.shuffle(observations)
    return truth, bare.model_copy(update={"observations": tuple(Observation.model_validate(o) for o in observations)})


def links(knowledge: Knowledge) -> Causal:
    """The causal index of `knowledge`, worked out once."""
    if not _links or _links[0][0] is not knowledge:
        _links[:] = [(knowledge, causal(knowledge))]
    return _links[0][1]


def is_there(network: Network, level: Mapping[str, int], name: str) -> bool:
    """Whether the fault or effect `name` is there in a sampled world."""
    node, state = network.place(name)
    return level[node] == state


def draw_vehicle(rng: Random, fault: Fault | None) -> dict[str, Any]:
    """Vehicle fields, some left unknown; a part that `fault` needs is there."""
    out: dict[str, Any] = {name: rng.choice(a.words) for name, a in VEHICLE_FIELDS.items() if a.words and rng.random() < FILLED}
    if rng.random() < FILLED:
        out["lowest_ambient"] = rng.uniform(*AMBIENT)
    for test in fault.needs.tests if fault and fault.needs else ():
        out[test.field] = satisfy(rng, test)
    return out


def draw_procedures(rng: Random, knowledge: Knowledge, facts: Mapping[str, Any]) -> list[str]:
    """A handful of the procedures that this vehicle allows, chosen blindly."""
    allowed = [p.id for p in knowledge.procedures.values() if not (p.needs and surely_fail(p.needs.tests, facts))]
    return sorted(rng.sample(allowed, min(len(allowed), rng.randint(1, 12))))


def draw_conditions(rng: Random, finding: Finding) -> dict[str, Any]:
    """Circumstances in which a "no" of this finding means something; nothing more is said."""
    tests = finding.shows_when.when.tests if finding.shows_when else ()
    return {t.field: satisfy(rng, t) for t in tests if t.field in CONDITION_FIELDS and not t.unknown}


def read_conditions(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """Conditions as the flow hands them on: every field, unknown where nothing was said."""
    read = Observation.model_validate({"of": "x", "answer": "yes", **conditions})
    return {field: getattr(read, field) for field in CONDITION_FIELDS}


def satisfy(rng: Random, test: Test) -> Any:
    """A value for which `test` holds."""
    if test.words:
        return rng.choice(test.words)
    if test.below is not None and test.above is not None:
        return rng.uniform(test.above, test.below)
    if test.below is not None:
        return test.below - rng.uniform(0.5, 3.0)
    assert test.above is not None
    return test.above + rng.uniform(0.5, 3.0)


def sample(rng: Random, network: Network, fault: str | None = None) -> dict[str, int]:
    """The level of every node in one world, causes before what they cause. `fault` is set, whatever its chance."""
    forced = dict([network.place(fault)]) if fault else {}
    level: dict[str, int] = {}
    for name, node in network.nodes.items():
        if name in forced:
            level[name] = forced[name]
        elif isinstance(node, Choice):
            level[name] = _pick(rng, [float(p) for p in node.table()[tuple(level[p] for p in node.parents())]])
        else:
            level[name] = _highest_push(rng, node, level)
    return level


def _highest_push(rng: Random, node: Node, level: Mapping[str, int]) -> int:
    pushed = [_pick(rng, [1.0 - sum(node.leak), *node.leak])]
    for cause in node.causes:
        silent = cause.unless is not None and level[cause.unless[0]] == cause.unless[1]
        if level[cause.parent] == cause.state and not silent:
            pushed.append(_pick(rng, [1.0 - sum(cause.push), *cause.push]))
    return max(pushed)


def _pick(rng: Random, chances: Sequence[float]) -> int:
    return rng.choices(range(len(chances)), weights=chances)[0]


def _answer(finding: Finding, level: int) -> str:
    return finding.bands[level] if finding.bands else ("no", "yes")[level]
