"""After a repair: is it proven, still to be proven, or did the trouble go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose import assessment as a
from diagnose.case.case import Done
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

REOPENED = 0.25  # chance that what it should have removed is there, from which the case is open again (estimate)
CONFIRMED = 2  # signs of it looked for after the repair and gone, from which it counts as proven (estimate)


def proofs(parts: Parts) -> list[a.Proven]:
    """One entry for each repair that was done, in the case's order."""
    return [_proof(parts, done) for done in parts.case.done if done.repair in parts.knowledge.repairs]


def _proof(parts: Parts, done: Done) -> a.Proven:
    repair = parts.knowledge.repairs[done.repair or ""]
    signs = _signs(parts.knowledge, repair.removes)
    gone: list[str] = []
    there: list[str] = []
    for name, found in sorted(parts.seen.findings.items()):
        said = found.level in ("present", "absent") and name in signs and bool(found.observations)
        if said and all(_since(parts, o, done) for o in found.observations):
            (there if found.level == "present" else gone).append(parts.knowledge.findings[name].name)
    accounts = {f: parts.ranking.accounts.get(f, 0.0) for f in repair.removes}
    worst = max(sorted(accounts), key=accounts.__getitem__)
    if there and accounts[worst] >= REOPENED:
        name = parts.knowledge.faults[worst].name
        text = f"Open again: {', '.join(there)}. {percent(accounts[worst])} that it is still {name}: new parts fail too."
        return a.Proven(repair=repair.id, name=repair.name, state="reopened", text=text)
    if there:
        what = ", ".join(there)
        text = f"Something goes on ({what}), but hardly for the old reason: what was mended is unlikely now. Look for a second fault."
        return a.Proven(repair=repair.id, name=repair.name, state="second_fault", text=text)
    if len(gone) >= CONFIRMED:
        return a.Proven(
            repair=repair.id, name=repair.name, state="confirmed", text=f"Gone since: {', '.join(gone)}. Look again after a week."
        )
    return a.Proven(repair=repair.id, name=repair.name, state="unproven", text=f"Still to be proven: {repair.prove}")


def _since(parts: Parts, observation: int, done: Done) -> bool:
    on = parts.case.observations[observation].on
    return on is not None and done.on is not None and on >= done.on


def _signs(knowledge: Knowledge, faults: tuple[str, ...]) -> set[str]:
    """All findings that the faults lead to."""
    reach, waiting = set(faults), sorted(faults)
    while waiting:
        for link in knowledge.links_from(waiting.pop()):
            if link.to not in reach:
                reach.add(link.to)
                if link.to in knowledge.effects:
                    waiting.append(link.to)
    return reach & set(knowledge.findings)
