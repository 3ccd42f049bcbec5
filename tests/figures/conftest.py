"""A case in a few words, and what its readings amount to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.case.case import Case
from diagnose.figures.derived import Derived
from diagnose.figures.figures import derive
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load

Read = Callable[..., "dict[str, list[Derived]]"]


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The knowledge that comes with the program."""
    return load(cache=False)


@pytest.fixture(scope="session")
def read(knowledge: Knowledge) -> Read:
    """read(vehicle, observation, …) -> finding id to what was derived for it, in the order of the observations."""

    def run(vehicle: dict[str, Any], *observations: dict[str, Any], done: list[dict[str, Any]] | None = None) -> dict[str, list[Derived]]:
        case = Case.model_validate({"vehicle": vehicle, "observations": list(observations), "done": done or []})
        out: dict[str, list[Derived]] = {}
        for item in derive(case, knowledge):
            out.setdefault(item.finding, []).append(item)
        return out

    return run
