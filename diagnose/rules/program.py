"""The rules of one phase, read once; for each case those that could fire are made into an experta engine and run.

A case touches some twenty of several hundred rules. Making all of them into one engine costs 0.2 to 0.4 s before the first
answer, and every fact is then tested against every pattern; an engine of the rules whose every condition has a fact to meet
costs a few milliseconds, and threads share nothing. What fires is the same: the rest could not have fired.

Facts are declared flat: one experta fact per observation, vehicle field, figure, finding or chance. Predicates only; no OR
(it multiplies), no NOT (what is missing is declared as missing by an earlier phase), nothing shown depends on the agenda.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.errors import KnowledgeError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Rule as RuleEntry
from diagnose.rules.engine import AS, Fact, P, Rule, engine_class
from diagnose.rules.language import Item, Outcome, RuleMistake, read_then, read_when
from diagnose.rules.record import Firing, Record

SPARE = 12  # rules that an engine may hold beyond those that could fire: each costs a little at every run
MOST_READY = 4  # engines kept; from one answer to the next of a session mostly the same rules are asked for


@dataclass(frozen=True)
class Given:
    """One fact to be declared: its kind, its key, what else is known of it, and how it is told."""

    kind: str
    key: str
    values: Mapping[str, Any] = field(default_factory=dict)
    told: str = ""
    about: int = -1  # position of the observation that it came from


@dataclass(frozen=True, order=True)
class Conclusion:
    """What a rule made of the facts: the outcome, the rule, the observations that it rests on."""

    outcome: Outcome
    rule: str
    rests_on: tuple[int, ...] = ()


class Program:
    """The rules of one phase, read and checked. One instance per thread."""

    def __init__(self, knowledge: Knowledge, phase: str) -> None:
        self.phase = phase
        self.items: dict[str, tuple[Item, ...]] = {}
        self.outcomes: dict[str, tuple[Outcome, ...]] = {}
        self.entries: dict[str, RuleEntry] = {}
        problems: list[Problem] = []
        for rule in knowledge.rules.values():
            if rule.phase == phase:
                problems += self._read(rule, knowledge)
        if problems:
            raise KnowledgeError(*problems)
        self._asked: dict[tuple[str, str], list[tuple[Item, tuple[str, int]]]] = {}  # with the rule and the condition's place in it
        for name, items in self.items.items():
            for i, item in enumerate(items):
                self._asked.setdefault((item.kind, item.key), []).append((item, (name, i)))
        self._makes = {o.about for outcomes in self.outcomes.values() for o in outcomes if o.kind == "finding"}
        self._conclusions: set[Conclusion] = set()
        self._record = Record()
        self._engine: Any = None
        self._methods: dict[str, Any] = {}
        self._made_ready: dict[frozenset[str], Any] = {}  # engines of earlier cases; the newest last

    def _read(self, rule: RuleEntry, knowledge: Knowledge) -> list[Problem]:
        file, line = knowledge.where.get(rule.id, ("", 0))
        problems = []
        items: list[Item] = []
        outcomes: list[Outcome] = []
        for part, raw in (*(("when", w) for w in rule.when), *(("then", t) for t in rule.then)):
            try:
                if part == "when":
                    items.append(read_when(raw, rule.phase, knowledge))
                else:
                    outcomes.append(read_then(raw, rule.phase, knowledge))
            except RuleMistake as why:
                problems.append(Problem(f"{rule.id}: {part}: {why}", file, line))
        self.items[rule.id], self.outcomes[rule.id], self.entries[rule.id] = tuple(items), tuple(outcomes), rule
        return problems

    def _method(self, name: str) -> Any:
        """The rule as experta's, made once: engines of one program share it, for all of them end in this program."""
        held = self._methods.get(name)
        if held is None:
            held = self._methods[name] = self._made(name)
        return held

    def _made(self, name: str) -> Any:
        patterns = []
        for i, item in enumerate(self.items[name]):
            checks: dict[str, Any] = {}
            for feature, check in item.checks:  # two checks on one feature become one predicate
                earlier = checks.get(feature)
                checks[feature] = check if earlier is None else (lambda v, a=earlier, b=check: a(v) and b(v))
            patterns.append(getattr(AS, f"f{i}") << Fact(kind=item.kind, key=item.key, **{f: P(c) for f, c in checks.items()}))

        def fire(_: Any, **facts: Any) -> None:
            self._fired(name, [facts[f"f{i}"] for i in range(len(patterns))])

        fire.__name__ = name
        return Rule(*patterns)(fire)

    def _fired(self, name: str, facts: Sequence[Any]) -> None:
        entry = self.entries[name]
        rests_on = tuple(sorted({int(f["about"]) for f in facts if int(f["about"]) >= 0}))
        for outcome in self.outcomes[name]:
            self._conclusions.add(Conclusion(outcome, name, rests_on))
            if outcome.kind == "finding":
                self._engine.declare(self._fact(Given("finding", outcome.about, {"levels": _levels(outcome.value)}, outcome.value)))
        matched = tuple(sorted(str(f["told"]) for f in facts))
        concluded = tuple(sorted(" ".join(x for x in (o.kind, o.about, o.value) if x) for o in self.outcomes[name]))
        self._record.add(Firing(name, matched, concluded, entry.because, entry.source))

    @staticmethod
    def _fact(given: Given) -> Any:
        return Fact(kind=given.kind, key=given.key, told=given.told or f"{given.kind} {given.key}", about=given.about, **given.values)

    def _could_fire(self, facts: Sequence[Given]) -> tuple[list[str], list[Given]]:
        """Rules whose every condition has a fact that meets it (or that another rule may make), and the facts that any rule asks for."""
        met: set[tuple[str, int]] = set()
        heard = []
        for given in facts:
            asked = [at for item, at in self._asked.get((given.kind, given.key), ()) if _meets(given, item)]
            if asked:
                heard.append(given)
                met.update(asked)
        names = []
        for name, items in self.items.items():
            chained = self.phase == "interpret"
            if all((name, i) in met or (chained and item.kind == "finding" and item.key in self._makes) for i, item in enumerate(items)):
                names.append(name)
        return names, heard

    def _ready(self, names: Sequence[str]) -> Any:
        """An engine that holds these rules: one of an earlier case where it holds few others (they cannot fire), else a new one."""
        wanted = frozenset(names)
        for held, engine in reversed(self._made_ready.items()):
            if wanted <= held and len(held) <= len(wanted) + SPARE:
                return engine
        near = next((h for h in reversed(self._made_ready) if len(h - wanted) <= SPARE // 2), frozenset())
        whole = wanted | near
        engine = engine_class(f"{self.phase.title()}Engine", {name: self._method(name) for name in self.items if name in whole})()
        self._made_ready[whole] = engine
        while len(self._made_ready) > MOST_READY:
            del self._made_ready[next(iter(self._made_ready))]
        return engine

    def run(self, facts: Iterable[Given]) -> tuple[tuple[Conclusion, ...], tuple[Firing, ...]]:
        """Conclusions and firings, both sorted; a changed answer means a fresh run, never a retraction."""
        self._conclusions, self._record = set(), Record()
        names, heard = self._could_fire(list(facts))
        if names and heard:
            self._engine = self._ready(names)
            self._engine.reset()
            self._engine.declare(*(self._fact(given) for given in heard))  # at once: after each declaration experta walks all rules
            self._engine.run()
        return tuple(sorted(self._conclusions)), self._record.listed()


def _meets(given: Given, item: Item) -> bool:
    return all(feature in given.values and check(given.values[feature]) for feature, check in item.checks)


def _levels(value: str) -> str:
    return value if value in ("present", "absent") else f"{value}|present"
