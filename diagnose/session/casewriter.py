"""A case as a file that people can read and that reads back to the very same case."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import yaml

from diagnose.case.case import Case, Done
from diagnose.case.fields import allowed_of
from diagnose.case.observation import Observation
from diagnose.case.vehicle import Vehicle
from diagnose.errors import Problem
from diagnose.session.journal import StorageError, said, sync_folder

_HEAD = "# Written by a session. It may be edited by hand; 'diagnose assess' reads it.\n"


class _Plain(yaml.SafeDumper):
    """Writes yes and no as words, lists indented: as people write case files, and as this program reads them."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow, False)


_Plain.yaml_implicit_resolvers = {
    first: [(tag, shape) for tag, shape in found if tag != "tag:yaml.org,2002:bool"]
    for first, found in yaml.SafeDumper.yaml_implicit_resolvers.items()
}


def ordered(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """Observations in the order of their names, those of one name by what they say."""
    return tuple(sorted(observations, key=lambda o: (o.of, o.model_dump_json(exclude_none=True))))


def written(case: Case) -> str:
    """The text of a case file. `read_case` makes the same case of it."""
    data: dict[str, Any] = {}
    for name in ("title", "invented", "why_here", "complaint", "proposal"):
        if getattr(case, name) is not None:
            data[name] = getattr(case, name)
    vehicle = _fields(case.vehicle.model_dump(exclude_none=True), Vehicle)
    if vehicle:
        data["vehicle"] = vehicle
    observations = [_observation(o) for o in case.observations]
    if observations:
        data["observations"] = observations
    if case.done:
        data["done"] = [_done(d) for d in case.done]
    return _HEAD + yaml.dump(data, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=120)


def _done(done: Done) -> dict[str, Any]:
    return {k: list(v) if isinstance(v, tuple) else v for k, v in done.model_dump(exclude_defaults=True).items()}


def _observation(observation: Observation) -> dict[str, Any]:
    """`name: answer` with its conditions below, as people write it."""
    conditions = _fields(observation.model_dump(exclude_none=True, exclude={"of", "answer"}), Observation)
    if observation.of in Observation.model_fields:
        return {"of": observation.of, "answer": observation.answer, **conditions}
    return {observation.of: observation.answer, **conditions}


def _fields(raw: dict[str, Any], model: type[Any]) -> dict[str, Any]:
    allowed = allowed_of(model)
    return {k: f"{v!r} {allowed[k].unit}" if isinstance(v, float) and k in allowed and allowed[k].unit else v for k, v in raw.items()}


def write(path: Path, case: Case) -> None:
    """Write the case file so that at any instant the old or the new one is whole on disk. Raises StorageError."""
    spare = path.with_name(f"{path.name}.new")
    try:
        with spare.open("w", encoding="utf-8", newline="\n") as file:
            file.write(written(case))
            file.flush()
            os.fsync(file.fileno())
        os.replace(spare, path)
        sync_folder(path.parent)
    except OSError as why:
        with contextlib.suppress(OSError):
            spare.unlink()
        raise StorageError(
            Problem(f"the case file could not be written: {said(why)}", str(path), allowed="The answers are safe in the journal beside it.")
        ) from None
