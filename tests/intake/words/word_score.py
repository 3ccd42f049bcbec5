"""Precision and recall of what is understood, against sentences with their expected observations."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.case.observation import Observation
from diagnose.case.quantity import parse
from diagnose.intake.words.understanding import Understanding

# Bands of the findings that are also given as numbers: upper edges along the number, in the unit; knowledge/findings.
_EDGES: dict[str, tuple[str, list[tuple[float, str]]]] = {
    "loss_rate": ("L/1000km", [(0.05, "none"), (0.2, "slow"), (1.0, "clear"), (1e9, "fast")]),
    "coolant_voltage": ("V", [(0.2, "good"), (0.4, "half_spent"), (1e9, "spent")]),
    "pressure_test": ("bar", [(0.05, "holds"), (0.3, "slow_drop"), (1e9, "fast_drop")]),
    "coolant_age": ("years", [(3, "fresh"), (6, "due"), (1e9, "overdue")]),
    "running_temperature": ("K", [(-11, "low"), (14, "normal"), (26, "high"), (1e9, "very_high")]),
    "freeze_margin": ("K", [(-8, "short"), (0, "thin"), (1e9, "adequate")]),
    "mix_strong": ("vol %", [(60, "not_strong"), (1e9, "strong")]),
    "opening_temperature": ("K", [(-6, "early"), (8, "right"), (1e9, "late")]),
    "coolant_ph": ("pH", [(7.3, "low"), (11, "in_range"), (1e9, "high")]),
    "cap_holds": ("share", [(0.3, "none"), (0.86, "low"), (1e9, "holds")]),
}


@dataclass
class Score:
    """Counts over a set of sentences; `errors` one line each."""

    right: int = 0
    emitted: int = 0
    wanted: int = 0
    elsewhere: int = 0
    elsewhere_right: int = 0
    circumstances: int = 0
    circumstances_right: int = 0
    reversed: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    @property
    def precision(self) -> float:
        return self.right / max(1, self.emitted)

    @property
    def recall(self) -> float:
        return self.right / max(1, self.wanted)


def band(observation: Observation) -> str:
    """The answer, a number as the band that it lies in."""
    answer = str(observation.answer)
    if observation.of in _EDGES and (answer[-1:].isalnum() or answer.endswith("%")) and any(c.isdigit() for c in answer):
        unit, edges = _EDGES[observation.of]
        value = parse(answer, unit) if unit != "pH" else float(answer)
        return next(name for edge, name in edges if value <= edge)
    return answer


def score(rows: Sequence[dict[str, Any]], understand: Callable[[str], Understanding]) -> Score:
    """Every sentence understood and compared. What a sentence `may` say counts for neither side."""
    out = Score()
    for row in rows:
        understood = understand(row["text"])
        said = {o.of: (band(o), o) for o in understood.observations}
        wanted: dict[str, str] = row.get("expect") or {}
        free = set(row.get("may") or ())
        matched: set[str] = set()
        out.wanted += len(wanted)
        for names, answers in wanted.items():
            name = next((n for n in names.split("|") if n in said), "")
            if name:
                matched.add(name)
                out.emitted += 1
                got = said[name][0]
                if got in str(answers).split("|"):
                    out.right += 1
                    _circumstances(out, row, said[name][1])
                    continue
                if {got, str(answers)} == {"yes", "no"}:
                    out.reversed.append(row["text"])
                out.errors.append(f"{row['text']!r}: {name} is {got}, not {answers}")
            else:
                out.errors.append(f"{row['text']!r}: missed {names}: {answers}")
        extra = [n for n in said if n not in matched and n not in free]
        out.emitted += len(extra)
        out.errors += [f"{row['text']!r}: not said: {n}: {said[n][0]}" for n in extra]
        if row.get("elsewhere") == "yes":
            out.elsewhere += 1
            out.elsewhere_right += bool(understood.not_about_cooling)
            if not understood.not_about_cooling:
                out.errors.append(f"{row['text']!r}: nothing named as not about cooling")
    return out


def _circumstances(out: Score, row: dict[str, Any], observation: Observation) -> None:
    for name, value in (row.get("circumstances") or {}).items():
        if len(row.get("expect") or {}) > 1 and name == "after_refill" and observation.of.startswith("history_"):
            continue
        out.circumstances += 1
        good = str(getattr(observation, name)) in (str(value), f"{value}.0")
        out.circumstances_right += good
        if not good:
            out.errors.append(f"{row['text']!r}: {observation.of}: {name} is {getattr(observation, name)}, not {value}")
