"""What is known so far in a session: the case it started from, the answers by finding, and where the mechanic stands.

A state is what its events make of it, one after the other; nothing else changes it. So a resumed session is the one that was left.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.session.casewriter import ordered
from diagnose.session.journal import Event

AROUND = ("ambient", "damp_air", "after_refill")  # circumstances that hold for a whole session; the rest belong to one answer
_SETS = {"skip": "skipped", "cannot": "cannot", "later": "later", "asked": "asked", "left": "swept"}


@dataclass
class State:
    """`answers`: finding or reading -> the observation as plain data. `by`: the procedure (or "words") that each came from."""

    base: Case = field(default_factory=Case)
    answers: dict[str, dict[str, Any]] = field(default_factory=dict)
    by: dict[str, str] = field(default_factory=dict)
    withdrawn: set[str] = field(default_factory=set)
    batches: list[list[str]] = field(default_factory=list)
    vehicle: dict[str, Any] = field(default_factory=dict)
    complaint: str = ""
    around: dict[str, Any] = field(default_factory=dict)
    notes: list[tuple[str, str]] = field(default_factory=list)
    engine: str = ""
    here: str = ""
    swept: set[str] = field(default_factory=set)
    skipped: set[str] = field(default_factory=set)
    cannot: set[str] = field(default_factory=set)
    later: set[str] = field(default_factory=set)
    asked: set[str] = field(default_factory=set)
    go_on: bool = False

    def apply(self, event: Event) -> None:
        """Take one event in. An event of a kind not known here (a newer program's) changes nothing."""
        kind = event["t"]
        if kind in _SETS:
            getattr(self, _SETS[kind]).add(event["what"])
        elif hasattr(self, f"_{kind}"):
            getattr(self, f"_{kind}")(event)

    def _start(self, event: Event) -> None:
        self.base = Case.model_validate(event["case"])

    def _answer(self, event: Event) -> None:
        names = []
        for observation in event["obs"]:
            name = str(observation["of"])
            self.answers.pop(name, None)  # the newest stands last
            self.answers[name] = dict(observation)
            self.by[name] = str(event.get("by", ""))
            names.append(name)
        self.batches = [kept for batch in self.batches if (kept := [n for n in batch if n not in names])] + ([names] if names else [])
        if event.get("sweep"):
            self.swept.add(str(event["by"]))
        self.engine = str(event.get("engine") or self.engine)

    def _undo(self, event: Event) -> None:
        for name in event["of"]:
            if self.answers.pop(name, None) is None:
                self.withdrawn.add(name)
            self.swept.discard(self.by.pop(name, ""))
            self.skipped.discard(name)
        self.batches = [kept for batch in self.batches if (kept := [n for n in batch if n not in event["of"]])]

    def _vehicle(self, event: Event) -> None:
        self.vehicle.update(event["fields"])

    def _complaint(self, event: Event) -> None:
        self.complaint = str(event["text"])

    def _around(self, event: Event) -> None:
        self.around.update(event["fields"])

    def _detail(self, event: Event) -> None:
        if event["of"] in self.answers:
            self.answers[event["of"]].update(event["fields"])

    def _note(self, event: Event) -> None:
        self.notes.append((str(event.get("of", "")), str(event["text"])))

    def _engine(self, event: Event) -> None:
        self.engine = str(event["is"])
        if self.engine == "cold":
            self.here = ""

    def _go(self, event: Event) -> None:
        self.here = str(event["to"])
        self.later.discard(self.here)

    def _back(self, event: Event) -> None:
        self.later.clear()

    def _more(self, event: Event) -> None:
        self.go_on = True

    def last(self) -> list[str]:
        """What the last answered prompt was about."""
        return self.batches[-1] if self.batches else []

    def silent(self) -> set[str]:
        """What is not to be asked again: answered (even by "unknown"), or skipped."""
        before = {o.of for o in self.base.observations} - self.withdrawn
        return before | set(self.answers) | self.skipped

    def vehicle_facts(self) -> dict[str, Any]:
        """Vehicle fields as the case will have them."""
        return self.case().vehicle.model_dump(exclude={"name"})

    def case(self) -> Case:
        """The case, its observations in one fixed order, whatever the order in which they were given."""
        kept = [o for o in self.base.observations if o.of not in self.withdrawn and o.of not in self.answers]
        notes: dict[str, list[str]] = {}
        for name, text in self.notes:
            notes.setdefault(name if name in self.answers else "", []).append(text)
        new = [Observation.model_validate({**a, "note": "; ".join([*_listed(a.get("note")), *notes.get(name, ())]) or None})
               for name, a in ((n, self._in_circumstances(n, a)) for n, a in self.answers.items())]  # fmt: skip
        complaint = "; ".join(part for part in (self.base.complaint or "", self.complaint, *notes.get("", ())) if part)
        vehicle = type(self.base.vehicle).model_validate({**self.base.vehicle.model_dump(), **self.vehicle})
        return self.base.model_copy(
            update={"observations": ordered([*kept, *new]), "vehicle": vehicle, "complaint": complaint or None, "expect": None}
        )

    def _in_circumstances(self, name: str, answer: Mapping[str, Any]) -> dict[str, Any]:
        """With today's weather, but for what somebody told of another day."""
        told = answer.get("answer") in ("unknown", "not_looked_at") or self.by.get(name) == "words"
        return dict(answer) if told else {**self.around, **answer}


def _listed(text: Any) -> list[str]:
    return [str(text)] if text else []


def replay(events: Iterable[Event]) -> State:
    """The state that the events make."""
    state = State()
    for event in events:
        state.apply(event)
    return state
