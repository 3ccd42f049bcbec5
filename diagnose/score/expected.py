"""What a worked case says should come out: the part of its `expect` that is scored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.errors import Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES

KINDS = ("clear", "hard", "nothing", "unmarked")
SETS = ("aside", "open")
ANY = 1.1  # above every chance


@dataclass(frozen=True)
class Expected:
    """`leader`: any of these is right. `in_first`: how many places, and what must stand there.
    `chance`: a name, the least chance that is right, and the chance below which it must be. `urgency`: any of these is right."""

    set: str
    kind: str
    leader: tuple[str, ...] = ()
    not_leader: tuple[str, ...] = ()
    in_first: tuple[int, tuple[str, ...]] = (0, ())
    chance: tuple[tuple[str, float, float], ...] = ()
    urgency: tuple[str, ...] = ()
    nothing_wrong: bool = False
    unproven: bool = False
    next_gives: tuple[str, ...] = ()
    known_miss: bool = False


def expected(case: Case) -> Expected | None:
    """What `case` asserts; None where it asserts nothing."""
    raw: Mapping[str, Any] = case.expect or {}
    if not set(raw) - {"why", "set", "kind", "known_miss"}:
        return None
    nothing = _yes(raw.get("nothing_wrong"))
    kind = str(raw.get("kind") or ("nothing" if nothing else "unmarked"))
    first = raw.get("in_first") or {}
    return Expected(
        set="aside" if raw.get("set") == "aside" else "open",
        kind=kind,
        leader=_words(raw.get("leader")),
        not_leader=_words(raw.get("not_leader")),
        in_first=(int(first.get("n", 0)), _words(first.get("ids"))),
        chance=tuple((n, float(b.get("at_least", 0.0)), float(b.get("below", ANY))) for n, b in (raw.get("chance") or {}).items()),
        urgency=_words(raw.get("urgency")),
        nothing_wrong=nothing,
        unproven=_yes(raw.get("unproven")),
        next_gives=_words(raw.get("next_gives")),
        known_miss=bool(raw.get("known_miss")),
    )


def mistakes(name: str, wanted: Expected, knowledge: Knowledge) -> list[Problem]:
    """Names that the knowledge does not hold: such a case would be missed for ever, whatever the program said."""
    out = []
    for fault in (*wanted.leader, *wanted.not_leader, *wanted.in_first[1], *(name for name, _, _ in wanted.chance)):
        if fault not in knowledge.faults:
            out.append(Problem(f"expects '{fault}', which is no fault or harmless cause here", name))
    out += [Problem(f"expects '{f}', which is no finding here", name) for f in wanted.next_gives if f not in knowledge.findings]
    out += [
        Problem(f"expects the urgency '{u}'", name, 0, f"Allowed: {', '.join(URGENCIES)}.") for u in wanted.urgency if u not in URGENCIES
    ]
    if wanted.kind not in KINDS:
        out.append(Problem(f"is of the kind '{wanted.kind}'", name, 0, f"Allowed: {', '.join(KINDS[:-1])}."))
    return out


def _words(value: Any) -> tuple[str, ...]:
    if value is None:
        return ()
    return tuple(str(v) for v in (value if isinstance(value, (list, tuple)) else [value]))


def _yes(value: Any) -> bool:
    return value is True or value == "yes"
