"""What the vehicle is, from a few plain words: "diesel, turbo, cap on the bottle"."""

from __future__ import annotations

import re
from typing import Any

from diagnose.intake.names import VALUES
from diagnose.knowledge.condition import VEHICLE_FIELDS

_IDLE = {
    "a", "an", "the", "on", "with", "driven", "and", "it", "is", "has", "cooled", "engine", "of", "in", "at", "car", "van", "truck",
    "glycol", "cap",
}  # fmt: skip


def _phrases() -> dict[str, tuple[str, str]]:
    """Phrase -> field and value. A word that fits two fields counts only with the field's name beside it."""
    out: dict[str, tuple[str, str]] = {}
    alone: dict[str, set[str]] = {}
    for name, takes in VEHICLE_FIELDS.items():
        field = name.replace("_", " ")
        if set(takes.words) == {"yes", "no"}:
            out[field] = (name, "yes")
            out[f"no {field}"] = (name, "no")
            continue
        for word in takes.words:
            said = word.replace("_", " ")
            alone.setdefault(said, set()).add(name)
            out[f"{said} {field}"] = out[f"{field} {said}"] = (name, word)
    for said, names in alone.items():
        if len(names) == 1 and said not in out and said not in ("none", "air", "water", "separate", "number", "organic"):
            name = next(iter(names))
            out[said] = (name, said.replace(" ", "_"))
    for other, word in VALUES.items():
        if word in out:
            out.setdefault(other.replace("_", " "), out[word])
    return out


def vehicle_words(text: str) -> tuple[dict[str, Any], list[str]]:
    """Fields found in `text`, and the words that nothing was made of.

    >>> vehicle_words("Diesel, turbo, belt-driven pump, blue")
    ({'fuel': 'diesel', 'turbo': 'yes', 'pump': 'belt'}, ['blue'])
    """
    words = [w for w in re.findall(r"[a-z]+", text.lower()) if w not in _IDLE]
    phrases = _phrases()
    fields: dict[str, Any] = {}
    left: list[str] = []
    at = 0
    while at < len(words):
        for length in (4, 3, 2, 1):
            found = phrases.get(" ".join(words[at : at + length]))
            if found and at + length <= len(words):
                fields[found[0]] = found[1]
                at += length
                break
        else:
            left.append(words[at])
            at += 1
    return fields, left
