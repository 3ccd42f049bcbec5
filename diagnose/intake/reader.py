"""One case document to a Case, part by part, so that one slip does not hide the next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ValidationError

from diagnose.case.case import Case, Done
from diagnose.case.fields import allowed_of
from diagnose.case.observation import Conditions, Observation
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError, Problem
from diagnose.intake.complaints import complaints, shown, unknown_field
from diagnose.intake.names import FIELDS, VALUES, Names, observable, plain, repairs
from diagnose.yamlfile import Document, Path_

if TYPE_CHECKING:
    from diagnose.knowledge.knowledge import Knowledge

_NOT_TEXT = ("on", "times", "of", "answer", "expect", "vehicle", "observations", "done")


class Reader:
    """Reads one document part by part, so that one slip does not hide the next."""

    def __init__(self, document: Document, knowledge: Knowledge) -> None:
        self.document = document
        self.knowledge = knowledge
        self.names = observable(knowledge)
        self.problems: list[Problem] = []

    def case(self) -> tuple[Case, list[Problem]]:
        """The case as far as it can be read, and everything that is wrong with it."""
        raw = {FIELDS.get(str(k), str(k)): v for k, v in self.document.data.items()}
        parts: dict[str, Any] = {k: v for k, v in raw.items() if k not in ("vehicle", "observations", "done")}
        vehicle = self._mapping(Vehicle, raw.get("vehicle"), ("vehicle",), "a field of the vehicle")
        placed = list(self._observations(raw.get("observations")))
        done = tuple(d for d in self._done(raw.get("done")) if d is not None)
        case: Case | None = self._model(Case, parts, (), "a part of a case")
        observations = tuple(o for o, _ in placed if o is not None)
        case = (case or Case()).model_copy(update={"vehicle": vehicle, "observations": observations, "done": done})
        self._answers(case, [path for o, path in placed if o is not None])
        return case, self.problems

    def _say(self, path: Path_, message: str, allowed: str = "") -> None:
        self.problems.append(self.document.problem(path, message, allowed))

    def _model(self, model: type[BaseModel], raw: dict[str, Any], path: Path_, what: str) -> Any:
        ready = _prepared(model, raw)
        try:
            if isinstance(ready.get("on"), (int, float)):  # else a bare number would be taken for seconds since 1970
                self._say((*path, "on"), f"on: '{ready.pop('on')}' is not a day", "Write it as 2026-11-25.")
            return model.model_validate(ready)
        except ValidationError as why:
            self.problems += complaints(why, model, ready, self.document, path, what)
            return None

    def _mapping(self, model: type[BaseModel], raw: Any, path: Path_, what: str) -> Any:
        if raw is None:
            return model()
        if not isinstance(raw, dict):
            self._say(
                path, f"{path[-1]}: lines of 'field: value' are needed, not '{shown(raw)}'", f"Allowed: {', '.join(model.model_fields)}."
            )
            return model()
        return self._model(model, raw, path, what) or model()

    def _observations(self, raw: Any) -> Iterator[tuple[Observation | None, Path_]]:
        path: Path_ = ("observations",)
        if raw is None:
            return
        if isinstance(raw, dict):
            for name, answer in raw.items():
                item = {"of": name, **answer} if isinstance(answer, dict) and "answer" in answer else {"of": name, "answer": answer}
                yield self._observation(item, (*path, name)), (*path, name)
        elif isinstance(raw, list):
            for i, item in enumerate(raw):
                yield self._observation(item, (*path, i)), (*path, i)
        else:
            self._say(path, f"observations: a list is needed, not '{shown(raw)}'", "Write each as '- name: answer' on its own line.")

    def _observation(self, raw: Any, path: Path_) -> Observation | None:
        if not isinstance(raw, dict):
            self._say(path, f"'{shown(raw)}' has no answer", "Write '- name: answer', for example '- white_exhaust: no'.")
            return None
        raw = {FIELDS.get(str(k), str(k)): v for k, v in raw.items()}
        named = self._named(raw, path)
        if named is None:
            return None
        word, answer, conditions = named
        found = self.names.find(word)
        if not found.id:
            allowed = found.allowed or "'diagnose new' lists all that may be looked at."
            self._say(path if word not in raw else (*path, word), found.message, allowed)
        made = self._model(Observation, {**conditions, "of": found.id or "x", "answer": answer}, path, "a condition")
        return made if found.id and isinstance(made, Observation) else None

    def _named(self, raw: dict[str, Any], path: Path_) -> tuple[str, Any, dict[str, Any]] | None:
        """What the observation is about, its answer, and its conditions."""
        fields = Conditions.model_fields
        conditions = {k: v for k, v in raw.items() if k in fields}
        if "of" in raw:
            others = [k for k in raw if k not in fields and k not in ("of", "answer")]
            self._not_conditions(others, path)
            return str(raw["of"]), raw.get("answer"), conditions
        rest = [k for k in raw if k not in fields and k != "answer"]
        known = [k for k in rest if self.names.find(k).id]
        if len(rest) == 1:
            return rest[0], raw[rest[0]], conditions
        if not rest:
            self._say(path, "names nothing that was looked at", "Write '- name: answer', with its conditions below.")
        elif len(known) == 1:
            self._not_conditions([k for k in rest if k not in known], path)
            return known[0], raw[known[0]], conditions
        elif known:
            self._say(path, f"names more than one thing: {', '.join(known)}", "Start each with '-' on its own line.")
        else:
            self._say(path, f"names nothing known here: {', '.join(shown(k) for k in rest)}", self.names.find(rest[0]).allowed)
        return None

    def _not_conditions(self, words: list[str], path: Path_) -> None:
        for word in words:
            self._say((*path, word), *unknown_field(word, sorted(Conditions.model_fields), "a condition of an observation"))

    def _done(self, raw: Any) -> Iterator[Done | None]:
        path: Path_ = ("done",)
        if raw is not None and not isinstance(raw, list):
            self._say(path, "done: a list is needed", "Write each as '- repair: name' or '- what: in your own words'.")
            return
        known: Names | None = None
        for i, item in enumerate(raw or ()):
            entry = {"what": item} if isinstance(item, str) else item
            if not isinstance(entry, dict) or not (entry.get("repair") or entry.get("what")):
                self._say((*path, i), "says not what was done", "Write '- repair: name' or '- what: in your own words'.")
                continue
            if entry.get("repair"):
                known = known or repairs(self.knowledge)
                found = known.find(str(entry["repair"]))
                if not found.id:
                    self._say((*path, i, "repair"), found.message, f"{found.allowed} Or write what: in your own words.".strip())
                entry = {**entry, "repair": found.id or "x"}
            if entry.get("found") is not None:
                entry = {**entry, "found": self._found(entry["found"], (*path, i, "found"))}
            yield self._model(Done, entry, (*path, i), "a part of what was done")

    def _found(self, raw: Any, path: Path_) -> tuple[str, ...]:
        """What was really wrong: faults by id or name."""
        names = Names({f.id: (f.name,) for f in self.knowledge.faults.values() if f.kind != "event"}, "fault or harmless cause")
        out = []
        for word in raw if isinstance(raw, list) else [raw]:
            found = names.find(str(word))
            if found.id:
                out.append(found.id)
            else:
                self._say(path, found.message, found.allowed)
        return tuple(out)

    def _answers(self, case: Case, paths: list[Path_]) -> None:
        """Answers that no figure can take, each at its line."""
        from diagnose.figures.figures import derive

        try:
            derive(case, self.knowledge)
        except InputError as whole:
            before = len(self.problems)
            for observation, path in zip(case.observations, paths, strict=True):
                try:
                    derive(case.model_copy(update={"observations": (observation,)}), self.knowledge)
                except InputError as why:
                    self.problems += [self.document.problem(_answer_path(self.document, path), p.message, p.allowed) for p in why.problems]
            if len(self.problems) == before:
                self.problems += [Problem(p.message, self.document.file, 0, p.allowed) for p in whole.problems]


def _answer_path(document: Document, path: Path_) -> Path_:
    return (*path, "answer") if (*path, "answer") in document.lines else path


def _prepared(model: type[BaseModel], raw: dict[str, Any]) -> dict[str, Any]:
    """Other words for fields and values put right; numbers where text is wanted (cylinder: 3) made text."""
    allowed = allowed_of(model)
    ready: dict[str, Any] = {}
    for key, value in raw.items():
        name = FIELDS.get(plain(key), key) if key not in allowed else key
        takes = allowed.get(name)
        if takes and takes.words and isinstance(value, str) and plain(value) not in takes.words:
            value = VALUES.get(plain(value), value)
        elif takes and not takes.words and not takes.unit and name not in _NOT_TEXT and isinstance(value, (int, float)):
            value = f"{value:g}" if isinstance(value, float) else str(value)
        ready[name] = value
    return ready
