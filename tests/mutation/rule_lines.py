"""One line a rule: a situation in which it speaks, what each part of it must not be, and what the rule then says.

    vapour_in_the_cold: observed white_exhaust answer=yes!no ambient=7!13 => trust white_exhaust weak, ask exhaust_sweet

Parts of a situation stand between semicolons. `a|b!c|d`: with a or b the rule speaks, with c or d it is silent; `?` is unknown.
Numbers stand well to either side of a limit, so that a limit may be moved a little without a new line. The register holds
neither chances nor sentences.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from diagnose.errors import KnowledgeError
from diagnose.knowledge.condition import CONDITION_FIELDS, VEHICLE_FIELDS
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Rule
from diagnose.rules.check.clause import Clause, clause
from diagnose.rules.language import Outcome, read_then
from diagnose.rules.program import Given, Program

TRUSTS = ((0.05, "void"), (0.35, "weak"), (0.99, "less"), (math.inf, "full"))  # from chances.yaml: none, little, fair to sure, full
FAR = 0.3  # how far to either side of a limit an example stands, as a share of it


@dataclass(frozen=True)
class Part:
    """One fact of a situation; `features`: name -> (values with which the rule speaks, values with which it is silent)."""

    kind: str
    key: str
    features: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]

    def __str__(self) -> str:
        told = [f"{n}={'|'.join(good)}" + (f"!{'|'.join(bad)}" if bad else "") for n, (good, bad) in self.features.items()]
        return " ".join([self.kind, self.key, *told])


def parts_of(text: str) -> list[Part]:
    """The parts of a situation as written."""
    out = []
    for piece in text.split(";"):
        kind, key, *rest = piece.split()
        features = {}
        for feature in rest:
            name, _, values = feature.partition("=")
            good, _, bad = values.partition("!")
            features[name] = (tuple(good.split("|")), tuple(bad.split("|")) if bad else ())
        out.append(Part(kind, key, features))
    return out


def read_lines(text: str) -> dict[str, tuple[str, str]]:
    """Rule id -> (situation, what it says). Raises ValueError for a line that cannot be read, and for a rule told twice."""
    out: dict[str, tuple[str, str]] = {}
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        found = re.fullmatch(r"(\w+): (.+) => (.+)", line.strip())
        if not found or found[1] in out:
            raise ValueError(f"not a line of the register, or a second one of the same rule: {line}")
        out[found[1]] = (found[2], found[3])
    return out


# Drafting: what the knowledge says now, to be read by somebody before it is kept.


def draft(rule: Rule, knowledge: Knowledge) -> str:
    """A line as the rule stands."""
    situation = "; ".join(str(_part(item, rule, knowledge)) for item in rule.when)
    says = ", ".join(sorted({said(read_then(dict(item), rule.phase, knowledge)) for item in rule.then}))
    return f"{rule.id}: {situation} => {says}"


def said(outcome: Outcome) -> str:
    """An outcome without its sentences: a caution is a caution."""
    words = [outcome.kind, outcome.about if outcome.about != "case" else ""]
    if outcome.kind in ("trust", "finding"):
        trust = next(word for most, word in TRUSTS if outcome.weight <= most)
        words += [outcome.value, trust]
    elif outcome.kind in ("urgency", "together"):
        words.append(outcome.value.replace("|", "+"))
    return " ".join(w for w in words if w)


def _part(item: Mapping[str, Any], rule: Rule, knowledge: Knowledge) -> Part:
    made = clause(item, rule.phase, knowledge)
    features: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {}
    if made.kind == "finding":
        level = item.get("is", "present")
        good = [str(x) for x in (level if isinstance(level, list) else [level])]
        bands = knowledge.findings[made.key].bands
        rest = [w for w in ("absent", "present", *bands[1:]) if w not in good and not ("present" in good and w in bands)]
        features["is"] = (tuple(good), tuple(w for w in rest if w != "present" or not bands)[:2])
    for name, words in sorted(made.words.items()) if made.kind != "finding" else ():
        others = [w for w in _allowed(made, name, knowledge) if w not in words]
        features[name] = (tuple(sorted(words)), (*(others[:2] or ["other"]), *(["?"] if "?" not in words else [])))
    for name, limits in sorted(made.ranges.items()):
        inside, outside = _examples(*limits, chance=name == "chance")
        features[name] = ((f"{inside:.4g}",), tuple(f"{x:.4g}" for x in outside))
    return Part(made.kind, made.key, features)


def _allowed(made: Clause, name: str, knowledge: Knowledge) -> tuple[str, ...]:
    if made.kind == "vehicle":
        return VEHICLE_FIELDS[made.key].words
    if name != "answer":
        return CONDITION_FIELDS[name].words
    finding = knowledge.findings.get(made.key)
    return finding.bands if finding and finding.bands else ("no", "yes", "unsure")


def _examples(low: float, high: float, chance: bool) -> tuple[float, list[float]]:
    if chance:
        low, high = (0.0 if low == -math.inf else low), (1.0 if high == math.inf else high)
        return (low + high) / 2, [x for x, limit in ((low / 2, low), ((1 + high) / 2, high)) if 0.0 < limit < 1.0]
    if math.isfinite(low) and math.isfinite(high):
        return (low + high) / 2, [low - FAR * (high - low), high + FAR * (high - low)]
    limit = low if math.isfinite(low) else high
    step = FAR * abs(limit) or 1.0
    return (limit + step, [limit - step]) if math.isfinite(low) else (limit - step, [limit + step])


# Holding the rules to it.


def broken(rule_id: str, line: tuple[str, str], knowledge: Knowledge) -> Iterator[str]:
    """Every way in which the rule as it stands does not do what the line says."""
    rule = knowledge.rules.get(rule_id)
    if rule is None:
        yield "there is no such rule; if that is meant, run 'python -m tests.mutation --drop-gone'"
        return
    try:
        program = Program(replace(knowledge, rules={rule_id: rule}), rule.phase)
        parts = parts_of(line[0])
    except KnowledgeError as why:
        yield f"the rule cannot be read: {why}"
        return
    except ValueError:
        yield f"the situation cannot be read: {line[0]}"
        return
    wanted = set(line[1].split(", "))
    for told, chosen in _speaking(parts):
        concluded = {said(c.outcome) for c in program.run(_given(chosen, rule, knowledge))[0]}
        if concluded != wanted:
            yield f"{told}: it says {', '.join(sorted(concluded)) or 'nothing'}, expected {', '.join(sorted(wanted))}"
    for told, chosen in _silent(parts):
        if program.run(_given(chosen, rule, knowledge))[0]:
            yield f"{told}: it speaks, and should not"


Chosen = list[tuple[Part, dict[str, str]]]


def _first(parts: list[Part]) -> Chosen:
    return [(p, {n: good[0] for n, (good, _) in p.features.items()}) for p in parts]


def _speaking(parts: list[Part]) -> Iterator[tuple[str, Chosen]]:
    base = _first(parts)
    yield "as written", base
    for i, part in enumerate(parts):
        for name, (good, _) in part.features.items():
            for value in good[1:]:
                yield f"{part.key} {name} {value}", [*base[:i], (part, {**base[i][1], name: value}), *base[i + 1 :]]


def _silent(parts: list[Part]) -> Iterator[tuple[str, Chosen]]:
    base = _first(parts)
    for i, part in enumerate(parts):
        if not any(p.kind == part.kind and p.key == part.key for p in parts[:i] + parts[i + 1 :]):
            yield f"without {part.kind} {part.key}", [*base[:i], *base[i + 1 :]]
        for name, (_, bad) in part.features.items():
            for value in bad:
                yield f"{part.key} {name} {value}", [*base[:i], (part, {**base[i][1], name: value}), *base[i + 1 :]]


def _given(chosen: Chosen, rule: Rule, knowledge: Knowledge) -> list[Given]:
    out = []
    for part, values in chosen:
        facts: dict[str, Any] = {n: _value(v) for n, v in values.items()}
        if part.kind == "observed":
            facts = {**dict.fromkeys(CONDITION_FIELDS, "?"), "answer": "yes", **facts}
        elif part.kind == "finding":
            facts = {"levels": _levels(values.get("is", "present"), knowledge.findings[part.key].bands)}
        out.append(Given(part.kind, part.key, facts))
    return out


def _value(text: str) -> str | float:
    try:
        return float(text)
    except ValueError:
        return text


def _levels(word: str, bands: tuple[str, ...]) -> str:
    if not bands:
        return word
    named = {"present": bands[-1], "absent": bands[0]}.get(word, word)
    return f"{'absent' if named == bands[0] else 'present'}|{named}"
