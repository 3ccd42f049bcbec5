"""What the program says of one worked case, cut down to what is scored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.assess import assess
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge

QUIET = ("nothing_wrong", "harmless")  # verdicts that say that nothing is wrong
PROPOSED = 3  # how many of the proposed tests are looked at
LIKELY = 0.6  # chance from which a fault is called likely


@dataclass(frozen=True)
class Told:
    """The list in its order, chances of all that was told, chance of being needed, urgency, verdict, what the next tests give."""

    order: tuple[str, ...]
    chance: Mapping[str, float]
    accounts: Mapping[str, float]
    faults: frozenset[str]
    urgency: str
    verdict: str
    gives: frozenset[str] | None = None

    @property
    def nothing_wrong(self) -> bool:
        """Whether it says that nothing is wrong."""
        return self.verdict in QUIET

    @property
    def likely(self) -> list[str]:
        """Faults that it calls likely."""
        return [n for n in self.order if n in self.faults and self.chance[n] >= LIKELY]


def tell(knowledge: Knowledge, task: tuple[Case, bool]) -> Told:
    """Assess the case of `task`; the plan is made only where its second part asks for it."""
    case, plan = task
    told = assess(case, knowledge, plan=plan)
    gives = frozenset(f for p in told.next[:PROPOSED] for f in knowledge.procedures[p.id].gives) if plan else None
    return Told(
        order=tuple(c.id for c in told.ranking),
        chance={c.id: c.chance for c in [*told.ranking, *told.beside]},
        accounts={c.id: c.accounts for c in told.ranking},
        faults=frozenset(c.id for c in told.ranking if c.kind == "fault"),
        urgency=told.urgency,
        verdict=told.verdict,
        gives=gives,
    )
