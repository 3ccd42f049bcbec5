"""`when:` of knowledge files: tests on the vehicle and on an observation's circumstances, three-valued."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.case.case import Case
from diagnose.case.fields import Allowed, allowed_of
from diagnose.case.observation import Conditions
from diagnose.case.quantity import parse
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError

VEHICLE_FIELDS = {k: v for k, v in allowed_of(Vehicle).items() if k != "name"}
CONDITION_FIELDS = {k: v for k, v in allowed_of(Conditions).items() if k not in ("note", "on", "at")}
CASE_FIELDS = {"why_here": allowed_of(Case)["why_here"]}
ALL_FIELDS: dict[str, Allowed] = {**VEHICLE_FIELDS, **CONDITION_FIELDS, **CASE_FIELDS}

Facts = Mapping[str, Any]


@dataclass(frozen=True)
class Test:
    """One test on one field: its value is among `words`, or below/above a number in the field's unit, or unknown."""

    __test__ = False  # not a test of the test runner's

    field: str
    words: tuple[str, ...] = ()
    below: float | None = None
    above: float | None = None
    unknown: bool = False

    def holds(self, facts: Facts) -> bool | None:
        """True, False, or None where the field is unknown."""
        value = facts.get(self.field)
        if self.unknown:
            return value is None
        if value is None:
            return None
        if self.words:
            return str(value) in self.words
        number = float(value)
        return (self.below is None or number < self.below) and (self.above is None or number > self.above)


def tests_of(raw: Mapping[str, Any], fields: Mapping[str, Allowed] = ALL_FIELDS) -> tuple[Test, ...]:
    """Parse a `when:` mapping. Raises ValueError with what is allowed."""
    return tuple(test_of(name, spec, fields) for name, spec in sorted(raw.items()))


def test_of(name: str, spec: Any, fields: Mapping[str, Allowed] = ALL_FIELDS) -> Test:
    """Parse one entry of a `when:` mapping: a word, a list of words, or {below:, above:, is:, in:, unknown:}."""
    allowed = fields.get(name)
    if allowed is None:
        from diagnose.errors import did_you_mean

        raise ValueError(f"'{name}' is not a field that can be tested. {did_you_mean(name, fields)} Known: {', '.join(sorted(fields))}")
    if not isinstance(spec, Mapping):
        spec = {"in": spec} if isinstance(spec, list) else {"is": spec}
    extra = set(spec) - {"is", "in", "below", "above", "unknown"}
    if extra:
        raise ValueError(f"'{sorted(extra)[0]}' is not a test; allowed: is, in, below, above, unknown")
    if "unknown" in spec:
        return Test(name, unknown=str(spec["unknown"]) in ("yes", "True"))
    if "below" in spec or "above" in spec:
        return Test(name, below=_number(name, spec.get("below"), allowed), above=_number(name, spec.get("above"), allowed))
    words = spec.get("in", [spec.get("is")])
    words = tuple(sorted(str(w) for w in (words if isinstance(words, list) else [words])))
    wrong = [w for w in words if allowed.words and w not in allowed.words]
    if wrong:
        raise ValueError(f"'{wrong[0]}' is not a value of {name}; allowed: {', '.join(allowed.words)}")
    return Test(name, words)


def _number(name: str, value: Any, allowed: Allowed) -> float | None:
    if value is None:
        return None
    if not allowed.unit and name != "times":
        raise ValueError(f"{name} is not a quantity; allowed: {allowed}")
    try:
        return parse(value, allowed.unit)
    except InputError as why:
        raise ValueError(str(why)) from None


def hold(tests: tuple[Test, ...], facts: Facts) -> bool:
    """Whether all tests surely hold."""
    return all(test.holds(facts) for test in tests)


def surely_fail(tests: tuple[Test, ...], facts: Facts) -> bool:
    """Whether some test surely fails (an unknown field fails nothing)."""
    return any(test.holds(facts) is False for test in tests)
