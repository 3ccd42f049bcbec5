"""What was done to the vehicle, and whether it is proven: shown before what it may be now."""

from __future__ import annotations

from diagnose.assessment import Assessment
from diagnose.report.paper import Paper, sentence

STATES = {
    "confirmed": "PROVEN",
    "unproven": "NOT YET PROVEN",
    "reopened": "OPEN AGAIN",
    "second_fault": "A SECOND FAULT IS LIKELY",
}


def repaired(assessment: Assessment, paper: Paper) -> None:
    """One entry for each repair in the case, with what became of it and what was found wrong."""
    if not assessment.after_repair:
        return
    paper.heading("What was done")
    for proven in assessment.after_repair:
        day = f" ({proven.on})" if proven.on else ""
        state = f": {STATES[proven.state]}. {proven.text}" if proven.repair else "."
        paper.say(f"{sentence(proven.name)[:-1]}{day}{state}", mark="- ")
        if proven.found:
            paper.say(f"Found wrong: {'; '.join(proven.found)}. {proven.feedback}", 2)
        if proven.voided:
            paper.say(f"Seen before and void now: {'; '.join(proven.voided)}.", 2)
        if proven.aged:
            paper.say(f"Seen before, so it counts only a little now: {'; '.join(proven.aged)}.", 2)
