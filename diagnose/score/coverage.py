"""What of the knowledge the worked cases touch: each rule and each link, how often it takes part and how often it decides.

A rule takes part where it fires. A link takes part where it stands between something that this vehicle can have and something that
was looked at. Either decides where without it the case gets another leader or another urgency. An advising rule speaks alone where
it concludes something that no other rule of the case concludes. Links are taken away one at a time only where they lie on the way
of one of the two foremost causes: another could hardly change the leader.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.compiled import compiled
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.advise import Advice
from diagnose.rules.program import Program
from diagnose.score.ground import Ground, advice, answer, posterior, prepare
from diagnose.score.near import heard, near
from diagnose.score.numbers import without

Link = tuple[str, str]  # from, to


@dataclass(frozen=True)
class Touched:
    """What one case touches, by ids: rules that fired, that decide, that speak alone; links that take part, that decide."""

    fired: tuple[str, ...]
    decides: tuple[str, ...]
    alone: tuple[str, ...]
    links: tuple[Link, ...]
    links_decide: tuple[Link, ...]
    links_tried: int


def touch(knowledge: Knowledge, case: Case) -> Touched:
    """Take away what the case rests on, one thing at a time."""
    ground = prepare(case, knowledge)
    ranked = posterior(ground, effects=True)
    advised = advice(ground, ranked, knowledge)
    now = (ranked.leader, advised.urgency)
    interpreting = sorted({f.rule for f in ground.seen.firings})
    decides = [r for r in interpreting if _other(ground, case, knowledge, r, now)] + _alone_urgent(advised)
    tried = [n for n in near(ground, ranked) if n.kind == "link"]
    deciding = [n for n in tried if answer(ground, knowledge, without(ground.network, n)) != now]
    return Touched(
        fired=tuple(sorted({*interpreting, *(f.rule for f in advised.firings)})),
        decides=tuple(decides),
        alone=tuple(_alone(advised)),
        links=tuple((n.of, n.to) for n in heard(ground)),
        links_decide=tuple((n.of, n.to) for n in deciding),
        links_tried=len(tried),
    )


def _other(ground: Ground, case: Case, knowledge: Knowledge, rule: str, now: tuple[str, str]) -> bool:
    """Whether the case comes out otherwise without an interpreting rule."""
    fresh = prepare(case, knowledge, less(compiled(knowledge).interpret, rule))
    if fresh.evidence == ground.evidence and _called(fresh) == _called(ground):
        return False
    return answer(fresh, knowledge) != now


def _called(ground: Ground) -> dict[str, tuple[str, str]]:
    return {name: (f.level, f.band) for name, f in ground.seen.findings.items()}


def less(program: Program, rule: str) -> Program:
    """The same rules but one."""
    out = copy.copy(program)
    out.items = {name: items for name, items in program.items.items() if name != rule}
    return out


def _alone_urgent(advised: Advice) -> list[str]:
    """The one rule that makes the case as urgent as it is, where it is one."""
    rules = sorted({rule for said in advised.urgency_because for rule in said.rules})
    return rules if len(rules) == 1 and advised.urgency != "none" else []


def _alone(advised: Advice) -> list[str]:
    said = Counter(c for rule, c in {(f.rule, c) for f in advised.firings for c in f.concluded})
    return sorted({f.rule for f in advised.firings if any(said[c] == 1 for c in f.concluded)})


def summary(found: Sequence[Touched], knowledge: Knowledge, seconds: float) -> dict[str, Any]:
    """Counts over all cases; every rule and link with its own counts."""
    fired, decides, alone = (Counter(r for t in found for r in row(t)) for row in (_fired, _decides, _speaks))
    part = Counter(link for t in found for link in t.links)
    turn = Counter(link for t in found for link in t.links_decide)
    links = sorted({(name, link.to) for name in (*knowledge.faults, *knowledge.effects) for link in knowledge.links_from(name)})
    rules = {r: {"fires": fired[r], "decides": decides[r], "alone": alone[r]} for r in knowledge.rules}
    table = {f"{a} → {b}": {"takes_part": part[a, b], "decides": turn[a, b]} for a, b in links}
    return {
        "cases": len(found),
        "seconds": round(seconds, 1),
        "links_tried": sum(t.links_tried for t in found),
        "rules": {"of": len(rules), **_counts(rules, "fires"), "speak_alone": sum(r["alone"] > 0 for r in rules.values())},
        "links": {"of": len(table), **_counts(table, "takes_part")},
        "each_rule": rules,
        "each_link": table,
    }


def _counts(rows: dict[str, dict[str, int]], part: str) -> dict[str, int]:
    return {
        "never": sum(r[part] == 0 for r in rows.values()),
        "once": sum(r[part] == 1 for r in rows.values()),
        "twice_or_more": sum(r[part] >= 2 for r in rows.values()),
        "decide": sum(r["decides"] > 0 for r in rows.values()),
    }


def _fired(touched: Touched) -> tuple[str, ...]:
    return touched.fired


def _decides(touched: Touched) -> tuple[str, ...]:
    return touched.decides


def _speaks(touched: Touched) -> tuple[str, ...]:
    return touched.alone
