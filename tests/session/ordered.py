"""A session that goes through procedures in a fixed order instead of the plan's: what the plan is measured against.

The questions within a procedure, the minutes they cost and the end are the same. The engine's state never stands in the way of the
fixed order (it costs nothing to let an engine cool), which is to its advantage.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.assessment import Assessment
from diagnose.knowledge.condition import surely_fail
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.cost import Costs
from diagnose.plan.settings import Settings
from diagnose.session.choosing import Choice
from diagnose.session.course import Assess, Course, Sink, Sketch
from diagnose.session.questions import open_in
from diagnose.yamlfile import read

FILE = Path(__file__).parents[1] / "plan" / "expert_order.yaml"


class Ordered(Course):
    """A course whose next procedure is the first of `order` that is not blocked and has something left to ask."""

    def __init__(self, knowledge: Knowledge, settings: Settings, kept: Sink, assess: Assess, order: Sequence[str], sketch: Sketch) -> None:
        super().__init__(knowledge, settings, kept, assess, sketch=sketch)
        self.order = tuple(order)

    def _history(self) -> None:
        return None

    def _chosen(self, assessment: Assessment) -> Choice | None:
        closed = {c.id for c in assessment.not_now}
        facts = self.state.vehicle_facts()
        for name in self.order:
            procedure = self.knowledge.procedures.get(name)
            if procedure is None or name in closed | self.state.swept | self.state.cannot:
                continue
            if procedure.needs and surely_fail(procedure.needs.tests, facts):
                continue
            if open_in(procedure, self.knowledge, self.state):
                return Choice(procedure, 1.0)
        return None

    def _waiting(self) -> Choice | None:
        return None


def expert(said: Sequence[str]) -> list[str]:
    """The expert's order for what the customer named first."""
    told = _frozen()
    kind = next((told["starts_with"][name] for name in said if name in told["starts_with"]), "other")
    return [str(p) for p in told["order"][kind]]


def _frozen() -> Mapping[str, Any]:
    data: Any = read(FILE).data
    return dict(data)


def cheapest(knowledge: Knowledge, settings: Settings, facts: Mapping[str, Any]) -> list[str]:
    """Every procedure, the cheapest first."""
    costs = Costs(knowledge, settings, facts)
    opening = costs.opening()
    price = {p.id: costs.procedure(p) + sum(opening.get(x, 0.05) for x in p.opens) for p in knowledge.procedures.values()}
    return sorted(price, key=lambda p: (price[p], p))
