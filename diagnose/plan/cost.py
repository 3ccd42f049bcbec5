"""What tests, repairs and being wrong cost, in hours of labour worth, for this vehicle, this person and these prices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.knowledge.condition import hold
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Procedure, Repair
from diagnose.plan.settings import Settings

FIXED_MINUTES = 3.0  # walking to the vehicle, noting the result (estimate)
HELPER = 0.5  # a helper's minute against one's own (estimate)
SKILL_MINUTES = {"home": 0.0, "workshop": 5.0, "specialist": 60.0}  # fetching somebody who can (estimate)
PROOF_HOURS = 0.5  # warming up twice, pressure held, level after a night: the work in it, not the waiting (estimate)
JOINED = 0.5  # hours of a repair that is done along with another, against doing it alone; its parts cost the same (estimate)
# prices that are asked for by name
ASKED = ("price_in_vain", "price_comeback", "price_unknown")
LEFT = "price_left_"  # and one for leaving a fault of each urgency
ELSEWHERE = "elsewhere"  # a cause that is none of those named


UNDONE = {"engine_warm": "price_cooling_down", "system_open": "price_closed_night"}
WARM = ("warm", "opened_running", "loaded")


def left_behind(procedure: Procedure) -> frozenset[str]:
    """What a procedure leaves behind: an engine that is warm, a system that was opened."""
    warm = procedure.engine in WARM or procedure.driven == "yes" or "engine_warm" in procedure.leaves
    opened = "system_open" in procedure.leaves or "cap" in procedure.opens
    return frozenset({"engine_warm"} if warm else set()) | frozenset({"system_open"} if opened else set())


def not_stood(procedure: Procedure) -> frozenset[str]:
    """What left behind by an earlier step must be waited out before a procedure: it needs a cold engine, or a system kept closed."""
    cold = procedure.engine in ("cold", "opened_running")
    return frozenset({"engine_warm"} if cold else set()) | frozenset(procedure.spoilt_by)


@dataclass(frozen=True)
class Costs:
    """Prices for one vehicle (`facts`: its fields) and one person."""

    knowledge: Knowledge
    settings: Settings
    facts: Mapping[str, Any]

    def procedure(self, procedure: Procedure) -> float:
        """Hours of doing it, without what must be opened first."""
        own = self._own(procedure.id)
        if own is not None:
            return own
        helper = HELPER * procedure.minutes if procedure.helper == "yes" else 0.0
        minutes = FIXED_MINUTES + procedure.minutes + helper + SKILL_MINUTES[procedure.skill]
        return minutes / 60.0 + procedure.consumables * self.settings.parts_factor

    def repair(self, repair: Repair) -> float:
        """Hours and the middle of the parts band, without the proof; what it opens is in it."""
        own = self._own(repair.id)
        return own if own is not None else repair.hours + sum(repair.parts) / 2.0 * self.settings.parts_factor

    def joined(self, repair: Repair) -> float:
        """Hours and parts of a repair that is done along with another that belongs to it."""
        own = self._own(repair.id)
        return own if own is not None else JOINED * repair.hours + sum(repair.parts) / 2.0 * self.settings.parts_factor

    def undo(self) -> dict[str, float]:
        """Hours that it costs to wait until what a step left behind is gone: a warm engine, an opened system."""
        return {what: self.price(name) for what, name in UNDONE.items()}

    def _own(self, name: str) -> float | None:
        price = self.settings.prices.get(name)
        return None if price is None else price / (self.settings.labour_rate or 1.0)

    def opening(self) -> dict[str, float]:
        """Hours of opening each place and closing it again."""
        return {a.place: a.minutes / 60.0 for a in self.knowledge.access.values()}

    def places(self, repair: str) -> frozenset[str]:
        """Places that a repair opens."""
        return frozenset(a.place for a in self.knowledge.access.values() if repair in a.repairs)

    def price(self, name: str) -> float:
        """A price of being wrong by id, for this vehicle; nothing where the knowledge does not hold it."""
        entry = self.knowledge.prices.get(name)
        if entry is None:
            return 0.0
        hours = entry.hours
        for variant in entry.in_context:
            if hold(variant.when.tests, self.facts):
                hours = variant.hours
        return hours if entry.labour == "yes" else hours * self.settings.parts_factor

    def cheapest(self, fault: str) -> float:
        """Hours of the cheapest repair that removes a fault; nothing where there is none."""
        return min((self.repair(r) for r in self.knowledge.repairs.values() if fault in r.removes), default=0.0)

    def leave(self, fault: str, urgency: str) -> float:
        """Price of leaving a fault unmended: its repair comes anyway, the comeback, and what breaks meanwhile. Harmless: nothing."""
        if fault == ELSEWHERE:
            return self.price("price_unknown") + self.price("price_comeback")
        if self.knowledge.faults[fault].kind != "fault":
            return 0.0
        extra = sum(self.price(p.id) for p in self.knowledge.prices.values() if fault in p.of)
        return self.cheapest(fault) + PROOF_HOURS + self.price("price_comeback") + self.price(f"{LEFT}{urgency}") + extra
