"""Every way in which this tester spoils the knowledge, one entry (or two) at a time, in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from diagnose.knowledge.condition import ALL_FIELDS, Test
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES, Fault, Link, Rule

CLASSES = ("drop a condition", "flip a value", "reverse a link", "delete a link", "delete a rule", "swap two findings")
NUMBER = "change a number"  # reported, with no target
OTHER = {"yes": "no", "no": "yes", "unsure": "yes", "present": "absent", "absent": "present"}


@dataclass(frozen=True)
class Mutant:
    """`changed`: (kind of entry, id, the entry as spoilt; None: taken away). `links`: (cause, sign) that it touches."""

    kind: str
    told: str
    changed: tuple[tuple[str, str, Any], ...]
    links: tuple[tuple[str, str], ...] = ()

    def of(self, knowledge: Knowledge) -> Knowledge:
        """The spoilt knowledge."""
        kinds: dict[str, dict[str, Any]] = {}
        for kind, name, entry in self.changed:
            held = kinds.setdefault(kind, dict(getattr(knowledge, kind)))
            if entry is None:
                held.pop(name, None)
            else:
                held[name] = entry
        return replace(knowledge, **kinds)

    @property
    def rules(self) -> list[str]:
        """Ids of the rules that it touches."""
        return [name for kind, name, _ in self.changed if kind == "rules"]


def sample(knowledge: Knowledge, seed: int, many: int, numbers: int = 0) -> list[Mutant]:
    """`many` mutants, the same number of each class as far as there are so many, and `numbers` changed numbers."""
    rng = Random(seed)
    makers: dict[str, Callable[[Knowledge, Random], Iterator[Mutant]]] = {
        "drop a condition": dropped, "flip a value": flipped, "reverse a link": reversed_links, "delete a link": deleted_links,
        "delete a rule": deleted_rules, "swap two findings": swapped,
    }  # fmt: skip
    pools = {kind: list(make(knowledge, rng)) for kind, make in makers.items()}
    for pool in pools.values():
        rng.shuffle(pool)
    out: list[Mutant] = []
    turn = 0
    while len(out) < many and any(turn < len(pool) for pool in pools.values()):
        out += [pools[kind][turn] for kind in CLASSES if turn < len(pools[kind])]
        turn += 1
    out = out[:many]
    if numbers:
        pool = list(changed_numbers(knowledge))
        out += rng.sample(pool, min(numbers, len(pool)))
    return out


# Links.


def fields_of(knowledge: Knowledge, owner: str) -> tuple[str, tuple[str, str]]:
    """Where the links of a fault or effect stand."""
    return ("faults", ("causes", "shows")) if owner in knowledge.faults else ("effects", ("leads_to", "shows"))


def places(knowledge: Knowledge) -> Iterator[tuple[str, str, int, Link]]:
    """(owner, field, position, link) of every link."""
    for owner in [*knowledge.faults, *knowledge.effects]:
        for field in fields_of(knowledge, owner)[1]:
            for i, link in enumerate(getattr(knowledge.causal(owner), field)):
                yield owner, field, i, link


def with_links(knowledge: Knowledge, owner: str, field: str, at: int, *links: Link) -> tuple[str, str, Any]:
    """The owner with the link at `at` replaced by `links`."""
    entry = knowledge.causal(owner)
    held = getattr(entry, field)
    return fields_of(knowledge, owner)[0], owner, entry.model_copy(update={field: (*held[:at], *links, *held[at + 1 :])})


def deleted_links(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """Each link, and each past event behind a fault, left out."""
    for owner, field, i, link in places(knowledge):
        told = f"{owner} no longer leads to {link.to}"
        yield Mutant("delete a link", told, (with_links(knowledge, owner, field, i),), ((owner, link.to),))
    for fault in knowledge.faults.values():
        for i, after in enumerate(fault.likelier_after):
            rest = (*fault.likelier_after[:i], *fault.likelier_after[i + 1 :])
            spoilt = fault.model_copy(update={"likelier_after": rest})
            yield Mutant(
                "delete a link", f"{fault.id} no likelier after {after.event}", (("faults", fault.id, spoilt),), ((fault.id, fault.id),)
            )


def reversed_links(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """Effect → effect turned round. A fault is brought about by nothing and a finding brings nothing about: those cannot be turned."""
    for owner, field, i, link in places(knowledge):
        if owner not in knowledge.effects or link.effect not in knowledge.effects:
            continue
        target = knowledge.effects[str(link.effect)]
        back = target.model_copy(update={"leads_to": (*target.leads_to, link.model_copy(update={"effect": owner}))})
        changed = (with_links(knowledge, owner, field, i), ("effects", target.id, back))
        yield Mutant(
            "reverse a link", f"{target.id} leads to {owner}, not the other way", changed, ((owner, target.id), (target.id, owner))
        )


# Rules.


def deleted_rules(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """Each rule left out."""
    for name in knowledge.rules:
        yield Mutant("delete a rule", f"without the rule {name}", (("rules", name, None),))


def with_when(rule: Rule, at: int, *items: Mapping[str, Any]) -> tuple[str, str, Any]:
    """The rule with the condition at `at` replaced."""
    return "rules", rule.id, rule.model_copy(update={"when": (*rule.when[:at], *(dict(i) for i in items), *rule.when[at + 1 :])})


def dropped(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """Each condition of a rule, and each circumstance within one, left out."""
    for rule in knowledge.rules.values():
        for i, item in enumerate(rule.when):
            if len(rule.when) > 1:
                yield Mutant("drop a condition", f"{rule.id} without {short(item)}", (with_when(rule, i),))
            subject = next(iter(item))
            for key in item if len(item) > 2 or subject == "observed" else ():
                if key != subject and item[key] != "any":  # "any" says nothing
                    less = {k: v for k, v in item.items() if k != key}
                    yield Mutant("drop a condition", f"{rule.id} without {key}: {item[key]}", (with_when(rule, i, less),))


def flipped(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """yes and no, bands, states, words of the vehicle, urgencies: each put as something else."""
    for rule in knowledge.rules.values():
        for i, item in enumerate(rule.when):
            for told, other in _flipped_item(item, knowledge, rng):
                yield Mutant("flip a value", f"{rule.id} when {told}", (with_when(rule, i, other),))
        for i, item in enumerate(rule.then):
            for told, other in _flipped_outcome(item, knowledge, rng):
                spoilt = rule.model_copy(update={"then": (*rule.then[:i], other, *rule.then[i + 1 :])})
                yield Mutant("flip a value", f"{rule.id} then {told}", (("rules", rule.id, spoilt),))
    for owner, field, i, link in places(knowledge):
        for told, other in _flipped_link(link, knowledge, rng):
            yield Mutant(
                "flip a value", f"{owner} → {link.to} {told}", (with_links(knowledge, owner, field, i, other),), ((owner, link.to),)
            )
    yield from _flipped_entries(knowledge, rng)


def _flipped_item(item: Mapping[str, Any], knowledge: Knowledge, rng: Random) -> Iterator[tuple[str, dict[str, Any]]]:
    subject = next(iter(item))
    if subject == "finding":
        levels = ("present", "absent", *knowledge.findings[item[subject]].bands)
        yield from _flipped_words(item, "is", levels, rng, item.get("is", "present"))
    elif subject == "vehicle":
        for key in set(item) & {"is", "in"}:
            yield from _flipped_words(item, key, ALL_FIELDS[item[subject]].words, rng, item[key])
    elif subject == "any_fault":
        yield from _flipped_words(item, subject, URGENCIES[1:], rng, item[subject])
    elif subject == "observed":
        finding = knowledge.findings.get(item[subject])
        for key in [k for k in item if k != subject and not isinstance(item[k], Mapping)]:
            allowed = ("yes", "no", "unsure", *(finding.bands if finding else ())) if key == "answer" else ALL_FIELDS[key].words
            yield from _flipped_words(item, key, allowed, rng, item[key])


def _flipped_words(item: Mapping[str, Any], key: str, allowed: Any, rng: Random, value: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    words = [str(v) for v in (value if isinstance(value, list) else [value])]
    rest = [w for w in allowed if w not in words]
    if not rest or words == ["any"]:
        return
    wanted = OTHER.get(words[0]) if len(words) == 1 else None
    new = wanted if wanted in rest else rng.choice(rest)
    yield f"{key} {new} for {words[0]}", {**item, key: [new, *words[1:]] if len(words) > 1 else new}


def _flipped_outcome(item: Mapping[str, Any], knowledge: Knowledge, rng: Random) -> Iterator[tuple[str, dict[str, Any]]]:
    if "finding" in item:
        yield from _flipped_words(
            item, "is", ("present", "absent", *knowledge.findings[item["finding"]].bands), rng, item.get("is", "present")
        )
    if "urgency" in item:
        yield from _flipped_words(item, "urgency", URGENCIES, rng, item["urgency"])


def _flipped_link(link: Link, knowledge: Knowledge, rng: Random) -> Iterator[tuple[str, Link]]:
    if isinstance(link.chance, Mapping) and link.finding in knowledge.findings:
        bands = knowledge.findings[str(link.finding)].bands[1:]
        if len(bands) > 1:
            old = rng.choice(sorted(link.chance))
            new = rng.choice([b for b in bands if b != old])
            names = {old: new, new: old}
            yield f"as {new} for {old}", link.model_copy(update={"chance": {names.get(b, b): c for b, c in link.chance.items()}})
    for i, variant in enumerate(link.in_context):
        for test in _flipped_tests(variant.when.tests, rng):
            when = variant.when.model_copy(update={"tests": test})
            contexts = (*link.in_context[:i], variant.model_copy(update={"when": when}), *link.in_context[i + 1 :])
            yield f"in another context ({told_tests(test)})", link.model_copy(update={"in_context": contexts})


def _flipped_tests(tests: tuple[Test, ...], rng: Random) -> Iterator[tuple[Test, ...]]:
    for i, test in enumerate(tests):
        rest = [w for w in ALL_FIELDS[test.field].words if w not in test.words] if test.words else []
        if rest:
            words = tuple(sorted((rng.choice(rest), *test.words[1:])))
            yield (*tests[:i], replace(test, words=words), *tests[i + 1 :])


def _flipped_entries(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    for fault in knowledge.faults.values():
        touched = ((fault.id, fault.id),)
        if fault.needs:
            for tests in _flipped_tests(fault.needs.tests, rng):
                spoilt = fault.model_copy(update={"needs": fault.needs.model_copy(update={"tests": tests})})
                yield Mutant("flip a value", f"{fault.id} needs {told_tests(tests)}", (("faults", fault.id, spoilt),), touched)
        if fault.kind == "fault":
            new = rng.choice([u for u in URGENCIES[1:] if u != fault.urgency])
            spoilt = fault.model_copy(update={"urgency": new})
            yield Mutant("flip a value", f"{fault.id} is {new} for {fault.urgency}", (("faults", fault.id, spoilt),), touched)
    for finding in knowledge.findings.values():
        shows = finding.shows_when
        for tests in _flipped_tests(shows.when.tests, rng) if shows else ():
            assert shows is not None
            when = shows.model_copy(update={"when": shows.when.model_copy(update={"tests": tests})})
            spoilt_finding = finding.model_copy(update={"shows_when": when})
            told = f"{finding.id} shows when {told_tests(tests)}"
            yield Mutant("flip a value", told, (("findings", finding.id, spoilt_finding),), ((finding.id, finding.id),))


# Swaps.


def swapped(knowledge: Knowledge, rng: Random) -> Iterator[Mutant]:
    """The findings of two links, or of two rules' conditions, exchanged; as many of either as there are links and conditions."""
    links = [p for p in places(knowledge) if p[3].finding]
    conditions = [
        (r, i, k) for r in knowledge.rules.values() for i, w in enumerate(r.when) if (k := next(iter(w))) in ("observed", "finding")
    ]
    for _ in range(len(links)):
        one, other = rng.sample(links, 2)
        if one[0] != other[0] and one[3].finding != other[3].finding:
            yield _swapped_links(knowledge, one, other)
    for _ in range(len(conditions)):
        a, b = rng.sample(conditions, 2)
        if a[0].id != b[0].id and a[2] == b[2] and a[0].phase == b[0].phase and a[0].when[a[1]][a[2]] != b[0].when[b[1]][b[2]]:
            yield _swapped_rules(a, b)


def _swapped_links(knowledge: Knowledge, one: tuple[str, str, int, Link], other: tuple[str, str, int, Link]) -> Mutant:
    changed = tuple(
        with_links(knowledge, a[0], a[1], a[2], a[3].model_copy(update={"finding": b[3].finding})) for a, b in ((one, other), (other, one))
    )
    touched = tuple((a[0], str(b[3].finding)) for a in (one, other) for b in (one, other))
    return Mutant("swap two findings", f"{one[0]} → {other[3].to}, {other[0]} → {one[3].to}", changed, touched)


def _swapped_rules(a: tuple[Rule, int, str], b: tuple[Rule, int, str]) -> Mutant:
    first, second = a[0].when[a[1]], b[0].when[b[1]]
    changed = (with_when(a[0], a[1], {**first, a[2]: second[b[2]]}), with_when(b[0], b[1], {**second, b[2]: first[a[2]]}))
    return Mutant("swap two findings", f"{a[0].id} on {second[b[2]]}, {b[0].id} on {first[a[2]]}", changed)


# Numbers.


def changed_numbers(knowledge: Knowledge) -> Iterator[Mutant]:
    """The chance of a link halved: about the next chance word down. Priors doubled."""
    for owner, field, i, link in places(knowledge):
        half = {b: c / 2 for b, c in link.chance.items()} if isinstance(link.chance, Mapping) else link.chance / 2
        other = link.model_copy(update={"chance": half})
        yield Mutant(NUMBER, f"{owner} → {link.to} halved", (with_links(knowledge, owner, field, i, other),), ((owner, link.to),))
    for fault in knowledge.faults.values():
        doubled = fault.prior.model_copy(update={k: min(0.9, 2 * getattr(fault.prior, k)) for k in ("complaint", "routine")})
        spoilt: Fault = fault.model_copy(update={"prior": doubled})
        yield Mutant(NUMBER, f"{fault.id} twice as common", (("faults", fault.id, spoilt),), ((fault.id, fault.id),))


def told_tests(tests: tuple[Test, ...]) -> str:
    """Tests in short words."""
    return ", ".join(f"{t.field} {'/'.join(t.words) or (t.below, t.above)}" for t in tests)


def short(item: Mapping[str, Any]) -> str:
    """A rule's condition on one line."""
    return ", ".join(f"{k} {v}" for k, v in item.items())
