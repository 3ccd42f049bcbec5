"""Stored trouble codes to what they are evidence of; a code that says nothing here is told, never refused."""

from __future__ import annotations

import re

from diagnose.derive.codes import Code, lookup
from diagnose.derive.codes_names import NAMES
from diagnose.derive.measure import CannotJudge
from diagnose.figures.derived import Asked, Derived, cannot
from diagnose.figures.series import unique

# The story of a code (derive.codes_stories) -> the part it plays in readings.yaml. A part that is left out there is told only.
PARTS = {
    "thermostat": "thermostat", "warm-up slow": "thermostat",
    "coolant sensor circuit": "sensor", "coolant sensor low": "sensor", "coolant sensor high": "sensor",
    "coolant sensor performance": "sensor", "coolant sensor erratic": "sensor", "cold start sensor": "sensor",
    "fan": "fan", "fan speed": "fan", "overheat": "overheat", "misfire": "misfire", "level low": "level",
}  # fmt: skip
_NONE = ("none", "no", "no_codes", "no_code")


def codes(asked: Asked) -> list[Derived]:
    """Each code present for the finding it concerns; 'none' is absent for every one. What the monitor really tests is in the notes."""
    answer = asked.observation.answer
    texts = [str(v) for v in answer.values()] if isinstance(answer, dict) else re.split(r"[,;\s]+", str(answer).strip())
    if [t.lower() for t in texts] in [[n] for n in _NONE]:
        return _none(asked)
    notes: dict[str, list[str]] = {}
    said: list[str] = []
    for text in texts:
        try:
            code = lookup(text)
        except CannotJudge as why:
            said.append(str(why))
            continue
        part = PARTS.get(NAMES[code.code][1], "")
        if asked.to(part) is None:
            said.append(" ".join(_told(code)) + " It is told here and judges nothing by itself.")
        else:
            notes.setdefault(part, []).extend(_told(code))
    out = [Derived(a.about, a.finding.id, (0.0, 1.0), notes=unique(told)) for part, told in sorted(notes.items()) if (a := asked.to(part))]
    return out + ([cannot(asked, " ".join(_sentence(s) for s in said))] if said else [])


def _none(asked: Asked) -> list[Derived]:
    told = "Counts only if the monitors have run since the memory was last cleared."
    parts = [p for p in ("thermostat", "sensor", "fan", "overheat") if asked.to(p)]
    return [Derived(a.about, a.finding.id, (1.0, 0.0), notes=(told,)) for p in parts if (a := asked.to(p))]


def _told(code: Code) -> list[str]:
    also = f" Also set by: {', '.join(code.also_sets)}." if code.also_sets else ""
    return [f"{code.code}, {code.name}.", f"What it tests: {code.tests}{also}", *code.notes]


def _sentence(text: str) -> str:
    text = text.strip()
    return (text[:1].upper() + text[1:]) if text.endswith(".") else text[:1].upper() + text[1:] + "."
