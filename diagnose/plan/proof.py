"""After a repair: is it proven, still to be proven, or did the trouble go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose import assessment as a
from diagnose.case.case import Done
from diagnose.explain.words import percent
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Repair
from diagnose.rules.interpret import PAST, changed_by

if TYPE_CHECKING:
    from diagnose.explain.compose import Parts

REOPENED = 0.25  # chance that what it should have removed is there, from which the case is open again (estimate)
CONFIRMED = 2  # signs of it looked for after the repair and gone, from which it counts as proven (estimate)


def proofs(parts: Parts) -> list[a.Proven]:
    """One entry for each repair that was done, and for each thing done at which it was seen what was wrong, in the case's order."""
    return [_proof(parts, i, done) for i, done in enumerate(parts.case.done) if done.repair in parts.knowledge.repairs or done.found]


def _proof(parts: Parts, position: int, done: Done) -> a.Proven:
    repair = parts.knowledge.repairs.get(done.repair or "")
    state, text = _state(parts, repair, done) if repair else ("unproven", "")
    voided, aged = _earlier(parts, repair, done)
    return a.Proven(
        repair=repair.id if repair else "",
        name=repair.name if repair else done.what or "",
        state=state,
        text=text,
        on=done.on.isoformat() if done.on else "",
        found=[parts.knowledge.faults[f].name for f in done.found],
        feedback=_feedback(parts, position, done),
        voided=voided,
        aged=aged,
    )


def _state(parts: Parts, repair: Repair, done: Done) -> tuple[str, str]:
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
        return "reopened", f"{', '.join(there)}: {percent(accounts[worst])} that it is still {name}; new parts fail too."
    if there:
        what = ", ".join(there)
        return "second_fault", f"Something goes on ({what}), but hardly for the old reason: what was mended is unlikely now."
    if len(gone) >= CONFIRMED:
        return "confirmed", f"Gone since: {', '.join(gone)}. Look again after a week."
    return "unproven", f"Proof: {repair.prove}"


def _earlier(parts: Parts, repair: Repair | None, done: Done) -> tuple[list[str], list[str]]:
    """Findings from before this was done: those that it made void, and those that count only a little now."""
    voided: set[str] = set()
    aged: set[str] = set()
    void = changed_by(repair, parts.knowledge) if repair else set()
    for name, found in parts.seen.findings.items():
        days = [parts.case.observations[o].on for o in found.observations]
        if done.on is not None and days and all(day is not None and day < done.on for day in days):
            if parts.knowledge.findings[name].place == PAST:
                continue
            (voided if name in void else aged).add(parts.knowledge.findings[name].name)
    return sorted(voided), sorted(aged)


def _feedback(parts: Parts, position: int, done: Done) -> str:
    """Where what was really wrong stood before: feedback for whoever keeps the case and the knowledge."""
    before = parts.before.get(position, {})
    kinds = parts.knowledge.faults
    order = sorted((n for n in before if n in kinds and kinds[n].kind != "event"), key=lambda n: (-before[n], n))
    out = []
    for fault in done.found:
        if fault in order:
            place = order.index(fault) + 1
            said = "led the list" if place == 1 else f"stood in place {place}"
            out.append(f"Before, {kinds[fault].name} {said} here at {percent(before[fault])}.")
        else:
            out.append(f"Before, {kinds[fault].name} was not thought of here: this vehicle was taken not to be able to have it.")
    repair = parts.knowledge.repairs.get(done.repair or "")
    if repair and done.found and not set(done.found) & set(repair.removes):
        out.append("What was done does not mend that.")
    return " ".join(out)


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
