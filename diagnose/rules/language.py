"""The items of `when:` and `then:` in rules/*.yaml: what is allowed, and what each matches."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.case.quantity import parse
from diagnose.errors import InputError, did_you_mean
from diagnose.knowledge.condition import CONDITION_FIELDS, VEHICLE_FIELDS, Test, test_of
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import URGENCIES

ANSWERS = ("yes", "no", "unsure", "any")
CONDITION_KEYS = {
    "interpret": ("observed", "not_observed", "figure", "vehicle", "finding"),
    "advise": ("finding", "no_finding", "effect", "fault", "any_fault", "vehicle", "figure"),
}
OUTCOME_KEYS = {
    "interpret": ("trust", "finding", "note", "ask", "moot"),
    "advise": ("urgency", "drive", "caution", "block", "block_running", "block_opening", "together", "note"),
}


@dataclass(frozen=True)
class Item:
    """One `when` item made ready: the kind of fact, the key it must carry, and predicates on its other values."""

    kind: str
    key: str
    checks: tuple[tuple[str, Callable[[Any], bool]], ...] = ()


class RuleMistake(ValueError):
    """A rule item that cannot be read; the text says what is allowed."""


def _known(kind: str, name: Any, known: Mapping[str, Any]) -> str:
    if str(name) not in known:
        raise RuleMistake(f"'{name}' is not a {kind}. {did_you_mean(str(name), known)}".strip())
    return str(name)


def _at(value: Any) -> Any:
    return None if value == "?" else value


def _check(test: Test) -> Callable[[Any], bool]:
    return lambda value: test.holds({test.field: _at(value)}) is True


def read_when(item: Mapping[str, Any], phase: str, knowledge: Knowledge) -> Item:
    """Read one `when` item. Raises RuleMistake."""
    kind = next((k for k in CONDITION_KEYS[phase] if k in item), None)
    if kind is None:
        raise RuleMistake(f"a condition of an {phase} rule starts with one of: {', '.join(CONDITION_KEYS[phase])}")
    rest = {k: v for k, v in item.items() if k != kind}
    return _READERS[kind](item[kind], rest, phase, knowledge)


def _observed(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
    known = {**knowledge.findings, **knowledge.readings}
    key = _known("finding or reading", name, known)
    checks: list[tuple[str, Callable[[Any], bool]]] = []
    answer = str(rest.pop("answer", "any"))
    finding = knowledge.findings.get(key)
    allowed = (*ANSWERS, *(finding.bands if finding else ()))
    if answer not in allowed:
        raise RuleMistake(f"'{answer}' is not an answer to {key}; allowed: {', '.join(allowed)}")
    if answer == "no" and finding and finding.bands:
        answer = finding.bands[0]
    if answer == "yes" and finding and finding.bands:
        base = finding.bands[0]
        checks.append(("answer", lambda value: value not in (base, "?")))
    elif answer != "any":
        checks.append(("answer", lambda value: value == answer))
    for name_, spec in sorted(rest.items()):
        try:
            checks.append((name_, _check(test_of(name_, spec, CONDITION_FIELDS))))
        except ValueError as why:
            raise RuleMistake(str(why)) from None
    return Item("observed", key, tuple(checks))


def _vehicle(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
    field = _known("vehicle field", name, VEHICLE_FIELDS)
    try:
        test = test_of(field, rest, VEHICLE_FIELDS)
    except ValueError as why:
        raise RuleMistake(str(why)) from None
    return Item("vehicle", field, (("value", _check(test)),))


def _figure(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
    key = _known("finding or reading with a figure", name, {**knowledge.findings, **knowledge.readings})
    entry = knowledge.findings.get(key)
    unit = (entry.unit if entry else knowledge.readings[key].unit) or ""
    if not rest or set(rest) - {"above", "below"}:
        raise RuleMistake("a figure is tested with above: or below:")
    checks: list[tuple[str, Callable[[Any], bool]]] = []
    for side, limit in sorted(rest.items()):
        number = _quantity(limit, unit)
        checks.append(("value", _beyond(number) if side == "above" else _below(number)))
    return Item("figure", key, tuple(checks))


def _beyond(limit: float) -> Callable[[Any], bool]:
    return lambda value: bool(value > limit)


def _at_least(limit: float) -> Callable[[Any], bool]:
    return lambda value: bool(value >= limit)


def _below(limit: float) -> Callable[[Any], bool]:
    return lambda value: bool(value < limit)


def _quantity(value: Any, unit: str) -> float:
    try:
        return parse(value, unit)
    except InputError as why:
        raise RuleMistake(str(why)) from None


def _finding(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
    key = _known("finding", name, knowledge.findings)
    finding = knowledge.findings[key]
    level = rest.get("is", "present")
    allowed = ("present", "absent", "unsure", *finding.bands)
    levels = level if isinstance(level, list) else [level]
    wrong = [x for x in levels if x not in allowed]
    if wrong or set(rest) - {"is"}:
        raise RuleMistake(f"{key} is tested with is: {', '.join(allowed)}")
    return Item("finding", key, (("levels", lambda value: any(x in value.split("|") for x in levels)),))


def _absent(kind: str) -> Callable[[Any, dict[str, Any], str, Knowledge], Item]:
    def reader(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
        return Item(kind, _known("finding", name, {**knowledge.findings, **knowledge.readings}))

    return reader


def _chance(kind: str) -> Callable[[Any, dict[str, Any], str, Knowledge], Item]:
    def reader(name: Any, rest: dict[str, Any], phase: str, knowledge: Knowledge) -> Item:
        if kind == "any_fault":
            key = _known("urgency", name, dict.fromkeys(URGENCIES))
        else:
            key = _known(kind, name, knowledge.faults if kind == "fault" else knowledge.effects)
        if not rest or set(rest) - {"at_least", "below"}:
            raise RuleMistake(f"{kind} is tested with at_least: or below: and a chance")
        checks: list[tuple[str, Callable[[Any], bool]]] = []
        for side, limit in sorted(rest.items()):
            if not isinstance(limit, (int, float)) or not 0 <= limit <= 1:
                raise RuleMistake(f"{side}: a chance from 0 to 1 is needed, not '{limit}'")
            checks.append(("chance", _at_least(limit) if side == "at_least" else _below(limit)))
        return Item(kind, key, tuple(checks))

    return reader


_READERS: dict[str, Callable[[Any, dict[str, Any], str, Knowledge], Item]] = {
    "observed": _observed,
    "not_observed": _absent("not_observed"),
    "no_finding": _absent("no_finding"),
    "figure": _figure,
    "vehicle": _vehicle,
    "finding": _finding,
    "effect": _chance("effect"),
    "fault": _chance("fault"),
    "any_fault": _chance("any_fault"),
}


@dataclass(frozen=True, order=True)
class Outcome:
    """One `then` item: its kind, what it is about, and its value."""

    kind: str
    about: str
    value: str
    weight: float = 1.0


def read_then(item: Mapping[str, Any], phase: str, knowledge: Knowledge) -> Outcome:
    """Read one `then` item. Raises RuleMistake."""
    kind = next((k for k in OUTCOME_KEYS[phase] if k in item), None)
    if kind is None:
        raise RuleMistake(f"an outcome of an {phase} rule starts with one of: {', '.join(OUTCOME_KEYS[phase])}")
    value = item[kind]
    if kind in ("trust", "ask", "moot", "finding"):
        key = _known("finding", value, {**knowledge.findings, **(knowledge.readings if kind == "trust" else {})})
        weight = _trust(item.get("how_much", "none" if kind == "trust" else "full"), knowledge) if kind in ("trust", "finding") else 1.0
        level = str(item.get("is", "present")) if kind == "finding" else ""
        if kind == "finding" and level not in ("present", "absent", *knowledge.findings[key].bands):
            raise RuleMistake(f"'{level}' is not a level of {key}; allowed: {', '.join(knowledge.findings[key].levels)}")
        return Outcome(kind, key, level, weight)
    if kind == "urgency":
        about = str(item.get("for", "case"))
        if about != "case":
            _known("fault", about, knowledge.faults)
        return Outcome(kind, about, _known("urgency", value, dict.fromkeys(URGENCIES)))
    if kind == "block":
        return Outcome(kind, _known("procedure", value, knowledge.procedures), "")
    if kind == "together":
        return Outcome(kind, "", "|".join(_known("repair", v, knowledge.repairs) for v in value))
    return Outcome(kind, "", " ".join(str(value).split()))


def _trust(word: Any, knowledge: Knowledge) -> float:
    words = knowledge.chances["trust"].words if "trust" in knowledge.chances else {}
    if word in words:
        return words[word]
    if isinstance(word, (int, float)) and 0 <= word <= 1:
        return float(word)
    raise RuleMistake(f"'{word}' is not a measure of trust; allowed: {', '.join(words)}")
