"""The program beside plainer methods: same knowledge, same cases, same marks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge
from diagnose.score.alternatives.certainty import certainty
from diagnose.score.alternatives.naive import naive
from diagnose.score.alternatives.single import Answered, Single, is_fault, single
from diagnose.score.alternatives.voting import vote
from diagnose.score.expected import SETS, Expected
from diagnose.score.ground import Ground, prepare
from diagnose.score.interval import Proportion, sign_test
from diagnose.score.told import Told
from diagnose.score.worked import Worked

METHODS: dict[str, Callable[[Ground, Single, Knowledge], Answered]] = {
    "rule voting": vote,
    "certainty factors": certainty,
    "naive Bayes": naive,
}
PROGRAM = "this program"
COMPARED = ("first", "first_three", "nothing_kept")


def answers(knowledge: Knowledge, case: Case) -> dict[str, Answered]:
    """What each plain method says of a case."""
    ground = prepare(case, knowledge)
    marginals = single(ground, knowledge)
    return {name: method(ground, marginals, knowledge) for name, method in METHODS.items()}


def compare(cases: Sequence[Worked], told: Sequence[Told], plain: Sequence[Mapping[str, Answered]], knowledge: Knowledge) -> dict[str, Any]:
    """Set -> method -> measure: counts, and against this program how many cases each alone got right.

    `nothing_kept`: nothing is wrong, and that is said. `no_false_quiet`: the truth is a real fault, and the answer is not that
    nothing is wrong.
    """
    out: dict[str, Any] = {}
    for which in SETS:
        chosen = [i for i, c in enumerate(cases) if c.wanted.set == which]
        if not chosen:
            continue
        right = {PROGRAM: [right_of(cases[i].wanted, Answered(told[i].order, told[i].nothing_wrong), knowledge) for i in chosen]}
        for name in METHODS:
            right[name] = [right_of(cases[i].wanted, plain[i][name], knowledge) for i in chosen]
        out[which] = {name: _row(row, right[PROGRAM] if name != PROGRAM else None) for name, row in right.items()}
    return out


def right_of(wanted: Expected, said: Answered, knowledge: Knowledge) -> dict[str, bool]:
    """What an answer gets right, of the measures that the case bears on."""
    out: dict[str, bool] = {}
    if wanted.leader:
        out["first"] = bool(said.order) and said.order[0] in wanted.leader
        out["first_three"] = bool(set(said.order[:3]) & set(wanted.leader))
    if wanted.nothing_wrong:
        out["nothing_kept"] = said.nothing_wrong
    elif wanted.leader and all(is_fault(name, knowledge) for name in wanted.leader):
        out["no_false_quiet"] = not said.nothing_wrong
    return out


def _row(row: Sequence[Mapping[str, bool]], program: Sequence[Mapping[str, bool]] | None) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for measure in (*COMPARED, "no_false_quiet"):
        marked = [m[measure] for m in row if measure in m]
        if not marked:
            continue
        out[measure] = Proportion(sum(marked), len(marked)).document()
        if program is not None:
            pairs = [(p[measure], m[measure]) for p, m in zip(program, row, strict=True) if measure in m]
            ours, theirs = sum(p and not m for p, m in pairs), sum(m and not p for p, m in pairs)
            out[measure] |= {"only_program": ours, "only_this": theirs, "sign_test": round(sign_test(ours, theirs), 4)}
    return out
