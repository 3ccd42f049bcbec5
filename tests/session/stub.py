"""An assessment in no time, for tests of the session itself: it depends on the case and on nothing else, and means nothing."""

from __future__ import annotations

from zlib import crc32

from diagnose.assessment import Assessment, Candidate, Outcome, Procedure
from diagnose.case.case import Case
from diagnose.knowledge.knowledge import Knowledge


class Stub:
    """`assess(case, plan)`; counts how often it was asked."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.faults = [f for f in sorted(knowledge.faults) if knowledge.faults[f].kind == "fault"]
        self.calls = 0

    def __call__(self, case: Case, plan: bool) -> Assessment:
        self.calls += 1
        said = [(o.of, str(o.answer)) for o in case.observations if o.answer not in ("unknown", "not_looked_at")]
        seed = crc32(repr(said).encode())
        ranking = [self._candidate(self.faults[(seed + 7 * i) % len(self.faults)], 0.4 / (i + 1)) for i in range(3)]
        stop = ("boiled_over", "yes") in said
        return Assessment(
            title="", invented=False, complaint=case.complaint or "", urgency="stop_now" if stop else "this_week", urgency_because=[],
            drive=[], verdict="unproven", headline="Stub.", understood=[], ranking=ranking, beside=[], leaders=[], effects=[],
            unexplained=[], disagrees=[], cautions=[], notes=[], next=self._next(case, seed) if plan else [], not_now=[], together=[],
            rules_fired=[], exact=True, method="stub", **({"masks": []} if "masks" in Assessment.model_fields else {}),
        )  # fmt: skip

    def _candidate(self, name: str, chance: float) -> Candidate:
        fault = self.knowledge.faults[name]
        return Candidate(
            id=name, name=fault.name, kind="fault", chance=chance, said="", before=0.01, accounts=chance, urgency=fault.urgency
        )

    def _next(self, case: Case, seed: int) -> list[Procedure]:
        seen = {o.of for o in case.observations}
        fit = [p for p in self.knowledge.procedures.values() if set(p.gives) - seen]
        out = []
        for p in sorted(fit, key=lambda p: crc32(f"{seed}{p.id}".encode()))[:6]:
            finding = next(f for f in p.gives if f not in seen)
            outcomes = [Outcome(finding=finding, result=r, chance=0.5, then="something") for r in ("present", "absent")]
            out.append(
                Procedure(
                    id=p.id, name=p.name, why="", minutes=p.minutes, cost="", tools=list(p.tools), skill=p.skill, engine=p.engine,
                    how=list(p.how), cautions=list(p.cautions), outcomes=outcomes, gain=0.5,
                )
            )  # fmt: skip
        return out
