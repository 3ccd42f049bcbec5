"""What one finding would tell, roughly: which question of a group comes first, and what to offer where the plan names nothing.

The plan (`diagnose.plan`) is the judge of procedures. This is only for what it does not list: the findings within a procedure, and
procedures that remain when the engine's state or the mechanic's answers rule out all that the plan put forward. Chances along the
likeliest causal path, other causes left out; it orders questions and never ranks a fault.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log2

from diagnose.assessment import Assessment
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Push

FAINT = 0.02  # chance along a path below which it is not followed (estimate)
MOST = 8
REST = 0.1  # weight of "something else, or nothing" among the suspects (estimate)


def strength(push: Push) -> float:
    """The chance that a link shows at all, its bands taken together."""
    return min(1.0, sum(push.values())) if isinstance(push, Mapping) else float(push)


class Worth:
    """For one knowledge. Paths are followed once for each suspect and kept."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._paths: dict[str, dict[str, float]] = {}
        self._events: dict[str, float] = {}

    def shows(self, suspect: str) -> dict[str, float]:
        """Findings that `suspect` brings about, each with its chance along the likeliest path."""
        if suspect not in self._paths:
            best: dict[str, float] = {suspect: 1.0}
            found: dict[str, float] = {}
            todo = [suspect]
            while todo:
                name = todo.pop()
                for link in self.knowledge.links_from(name):
                    chance = best[name] * strength(link.chance)
                    seen = found if link.finding else best
                    if chance >= FAINT and chance > seen.get(link.to, 0.0):
                        seen[link.to] = chance
                        if link.effect:
                            todo.append(link.to)
            for event, chance in self._past(suspect):
                for link in self.knowledge.links_from(event):
                    if link.finding:
                        found[link.to] = max(found.get(link.to, 0.0), chance * strength(link.chance))
            self._paths[suspect] = found
        return self._paths[suspect]

    def _past(self, suspect: str) -> list[tuple[str, float]]:
        """Past events that make `suspect` likelier, with the chance that each happened, given that the suspect is there."""
        fault = self.knowledge.faults.get(suspect)
        out = []
        for after in fault.likelier_after if fault else ():
            event, own = self.knowledge.faults[after.event].prior.complaint, fault.prior.complaint if fault else 0.0
            there = 1.0 - (1.0 - own) * (1.0 - after.chance)
            out.append((after.event, event * there / (event * there + (1.0 - event) * own)))
        return out

    def _base(self, finding: str) -> float:
        """Chance of the finding without any of the suspects: a misreading, or a past event that has nothing to do with it."""
        if not self._events:
            for fault in self.knowledge.faults.values():
                for link in fault.links if fault.kind == "event" else ():
                    if link.finding:
                        self._events[link.to] = self._events.get(link.to, 0.0) + fault.prior.complaint * strength(link.chance)
        return min(0.9, strength(self.knowledge.findings[finding].misread) + self._events.get(finding, 0.0))

    def suspects(self, assessment: Assessment) -> list[tuple[str, float]]:
        """What is to be told apart, with weights; before anything is known, what most often goes wrong."""
        found = [(c.id, max(c.accounts, 0.001)) for c in assessment.ranking[:MOST]]
        if found:
            return found
        faults = [(f.id, f.prior.complaint) for f in self.knowledge.faults.values() if f.kind == "fault"]
        return sorted(faults, key=lambda x: (-x[1], x[0]))[:MOST]

    def bits(self, finding: str, suspects: list[tuple[str, float]]) -> float:
        """Expected bits about which suspect it is."""
        leak = self._base(finding)
        rows = [(w, max(leak, self.shows(name).get(finding, 0.0))) for name, w in suspects] + [(REST, leak)]
        total = sum(w for w, _ in rows)
        before = _entropy([w / total for w, _ in rows])
        after = 0.0
        for joint in ([w / total * p for w, p in rows], [w / total * (1.0 - p) for w, p in rows]):
            chance = sum(joint)
            if chance > 0.0:
                after += chance * _entropy([j / chance for j in joint])
        return max(0.0, before - after)


def _entropy(shares: list[float]) -> float:
    return -sum(p * log2(p) for p in shares if p > 0.0)
