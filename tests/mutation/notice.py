"""Who notices a spoilt knowledge: its check, a worked case whose assertion changes, or the register of what each entry is about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import Any

from test_cases import FILES, case_of, misses

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.errors import KnowledgeError
from diagnose.knowledge.check import CHECKS, check_separation, check_words
from diagnose.knowledge.check.report import Report
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rank.check import observed
from diagnose.rules.check.pairs import check_pairs
from diagnose.rules.check.reading import read_all
from diagnose.rules.check.single import check_single

from . import register
from .mutants import Mutant

BY = ("check", "cases", "register")


@dataclass(frozen=True)
class Result:
    """What became of one mutant."""

    kind: str
    told: str
    by: tuple[str, ...]
    why: str = ""


@dataclass
class Worked:
    """A worked case: what it looks at, what it asserts about."""

    case: Case
    seen: set[str]
    names: set[str]
    expected: bool  # whether its assertions hold (a known miss: do not)
    plan: bool


@dataclass
class Judge:
    """Notices for one knowledge. `cases`: at most so many worked cases are tried on one mutant, those that concern it most first."""

    knowledge: Knowledge
    cases: int = 5
    _confirmed: dict[int, bool] = field(default_factory=dict)

    @cached_property
    def worked(self) -> list[Worked]:
        """All worked cases."""
        out = []
        for path in FILES:
            case = case_of(path)
            expect = case.expect or {}
            names = {w for key in ("leader", "not_leader") for w in _words(expect.get(key, []))}
            names |= {*expect.get("chance", {}), *_words(expect.get("in_first", {}).get("ids", []))}
            out.append(Worked(case, observed(case, self.knowledge), names, "known_miss" not in expect, "next_gives" in expect))
        return out

    @cached_property
    def register(self) -> tuple[dict[str, tuple[str, str]], list[str]]:
        """The register as kept."""
        return register.rules(), register.links()

    @cached_property
    def standing(self) -> set[str]:
        """What the register has against the sound knowledge: nothing, unless lines are still to be written."""
        return set(register.complaints(self.knowledge, *self.register))

    @cached_property
    def before(self) -> set[tuple[str, str, str]]:
        """What the check says of the sound knowledge."""
        return {_key(r) for r in _reports(self.knowledge, True, sorted(self.knowledge.rules))}

    def judge(self, mutant: Mutant) -> Result:
        """Ask all of them; cases only where the check is silent, since they take longest."""
        spoilt = mutant.of(self.knowledge)
        by = []
        why = self.by_check(mutant, spoilt)
        if why:
            by.append("check")
        elif why := self.by_cases(mutant, spoilt):
            by.append("cases")
        told = [c for c in register.complaints(spoilt, *self.register, only=mutant.rules) if c not in self.standing]
        if told:
            by.append("register")
        return Result(mutant.kind, mutant.told, tuple(by), why or (told[0] if told else ""))

    def by_check(self, mutant: Mutant, spoilt: Knowledge) -> str:
        """A new error or unexplained warning of `knowledge check`; words are left out, since no mutant changes any."""
        try:
            found = _reports(spoilt, bool(mutant.links), mutant.rules)
        except (KnowledgeError, ValueError, KeyError) as why:
            return f"cannot be used: {why}"
        return next((str(r) for r in found if not r.explained and _key(r) not in self.before), "")

    def by_cases(self, mutant: Mutant, spoilt: Knowledge) -> str:
        """A worked case whose assertions held and no longer do, or the other way; which one is not said."""
        for number in self.touched(mutant)[: self.cases] if self.cases else ():
            worked = self.worked[number]
            if self._holds(worked, spoilt) != worked.expected and self._sound(number):
                return "a worked case comes out otherwise"
        return ""

    def _holds(self, worked: Worked, knowledge: Knowledge) -> bool:
        try:
            told = assess(worked.case, knowledge, plan=worked.plan)
        except KnowledgeError:
            return not worked.expected
        return not list(misses(worked.case, told, knowledge))

    def _sound(self, number: int) -> bool:
        """Whether the case comes out as expected with the sound knowledge; worked out only once something differs."""
        if number not in self._confirmed:
            worked = self.worked[number]
            self._confirmed[number] = self._holds(worked, self.knowledge) == worked.expected
        return self._confirmed[number]

    def touched(self, mutant: Mutant) -> list[int]:
        """Cases that could hear of it: they look at a finding that it bears on; those that assert about its causes first."""
        seen, causes = self._concerned(mutant)
        scored = []
        for number, worked in enumerate(self.worked):
            common = worked.seen & seen
            if common or (not seen and causes & worked.names) or (not seen and not causes):
                scored.append((-2 * bool(worked.names & causes) - bool(common), number))
        return [number for _, number in sorted(scored)]

    def _concerned(self, mutant: Mutant) -> tuple[set[str], set[str]]:
        """(findings that it bears on, faults behind it); both empty where it bears on every case."""
        seen: set[str] = set()
        causes: set[str] = set()
        for cause, sign in mutant.links:
            seen |= self._below.get(sign, {sign})
            causes |= self._above.get(cause, {cause})
        for name in mutant.rules:
            rule = self.knowledge.rules[name]
            for item in (*rule.when, *rule.then):
                key = next(iter(item))
                if key in ("observed", "finding", "figure", "trust"):
                    seen |= {str(item[key])} & set(self.knowledge.findings)
                if key in ("effect", "fault"):
                    causes |= self._above.get(item[key], {item[key]})
        return seen, causes

    @cached_property
    def _below(self) -> dict[str, set[str]]:
        """Findings below each fault and effect."""
        out: dict[str, set[str]] = {}

        def visit(name: str) -> set[str]:
            if name not in out:
                out[name] = {link.to for link in self.knowledge.links_from(name) if link.finding}
                out[name] |= {f for link in self.knowledge.links_from(name) if link.effect for f in visit(link.to)}
            return out[name]

        for name in [*self.knowledge.effects, *self.knowledge.faults]:
            visit(name)
        return out

    @cached_property
    def _above(self) -> dict[str, set[str]]:
        """Faults that can bring about each effect; itself for a fault."""
        out: dict[str, set[str]] = {}
        for fault in self.knowledge.faults:
            todo = [fault]
            while todo:
                name = todo.pop()
                if fault not in out.setdefault(name, set()):
                    out[name].add(fault)
                    todo += [link.to for link in self.knowledge.links_from(name) if link.effect]
        return out


def _key(report: Report) -> tuple[str, str, str]:
    """A report without the figures in its message."""
    return report.id, report.code, "".join(c for c in report.message if not c.isdigit())


def _reports(knowledge: Knowledge, links: bool, rules: Sequence[str]) -> list[Report]:
    """What the check says: all but words, which no mutant changes; separation only where links may have changed; pairs of rules only
    where one of them may have."""
    left_out: set[Any] = {check_words} | (set() if links else {check_separation})
    found = [report for one in CHECKS if one not in left_out for report in one(knowledge)]
    if not rules:
        return found
    forms, reports = read_all(knowledge)
    pairs = [p for p in combinations(forms, 2) if p[0].rule.phase == p[1].rule.phase and {p[0].rule.id, p[1].rule.id} & set(rules)]
    return [*found, *reports, *check_single(knowledge, forms), *(r for one, other in pairs for r in check_pairs(knowledge, (one, other)))]


def _words(value: Any) -> list[str]:
    return [str(v) for v in (value if isinstance(value, list) else [value])]
