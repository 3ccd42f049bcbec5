"""Procedures: every finding can be got, none is done in vain, none asks where the answer could not show."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Finding, Procedure

SKILLS = ("home", "workshop", "specialist")
# a procedure's engine -> the engine states of an observation made by it
STATES = {
    "cold": {"cold"}, "warm": {"warm", "warming", "hot_off", "loaded"}, "opened_running": {"opened_running", "warm", "warming", "loaded"},
    "loaded": {"loaded", "warm"}, "off": {"cold", "hot_off"},
}  # fmt: skip
BY_HAND = {"hand", "eyes"}  # nobody lacks them


def check_procedures(knowledge: Knowledge) -> Iterator[Report]:
    """Findings that none gives or none can show; procedures that a cheaper one makes needless."""
    for finding in knowledge.findings.values():
        given = knowledge.procedures_for(finding.id)
        if not given:
            message = "no procedure gives it, so it can never be proposed."
            yield error(knowledge, "not_given", finding.id, message, "Add it to the gives: of a procedure.")
        elif not any(_can_show(p, finding) for p in given):
            names = ", ".join(f"{p.id} ({p.engine})" for p in given)
            message = f"it shows only with the engine {' or '.join(sorted(_engines(finding)))}, but it is looked for by {names}."
            yield warning(knowledge, "cannot_show", finding.id, message, "Mend the procedure's engine: or the finding's shows_when.")
    everything = list(knowledge.procedures.values())
    for procedure in everything:
        for other in everything:
            if dominates(other, procedure):
                message = f"{other.id} gives all that it gives, for no more time, tools or skill."
                yield warning(knowledge, "dominated", procedure.id, message, "Take one away, or say in note: what this one is for.")
        if procedure.misled and not set(procedure.misled.shows) <= set(procedure.gives):
            stray = ", ".join(sorted(set(procedure.misled.shows) - set(procedure.gives)))
            yield error(knowledge, "misled", procedure.id, f"misled names {stray}, which it does not give.", "Name only what is in gives.")


def _engines(finding: Finding) -> set[str]:
    if not finding.shows_when:
        return set()
    return {word for test in finding.shows_when.when.tests if test.field == "engine" for word in test.words}


def _can_show(procedure: Procedure, finding: Finding) -> bool:
    wanted = _engines(finding)
    return not wanted or bool(wanted & STATES.get(procedure.engine, wanted))


def dominates(better: Procedure, worse: Procedure) -> bool:
    """Whether `better` gives at least the same, in the same state of the engine, and nothing about it costs more."""
    if better.id == worse.id or not set(worse.gives) <= set(better.gives) or better.engine not in (worse.engine, "any"):
        return False
    if not (set(better.opens) <= set(worse.opens) and set(better.not_when) <= set(worse.not_when) and _no_pickier(better, worse)):
        return False
    if not set(better.tools) - BY_HAND <= set(worse.tools) or (better.helper == "yes" and worse.helper == "no"):
        return False
    if (better.misled.chance if better.misled else 0.0) > (worse.misled.chance if worse.misled else 0.0):
        return False
    costs = [(p.minutes, p.consumables, SKILLS.index(p.skill)) for p in (better, worse)]
    if any(b > w for b, w in zip(*costs, strict=True)):
        return False
    same = costs[0] == costs[1] and set(better.gives) == set(worse.gives) and dominates_same(better, worse)
    return not same or better.id < worse.id


def dominates_same(one: Procedure, other: Procedure) -> bool:
    """Whether the two ask for the same tools and the same opening: then one of them is a copy."""
    return set(one.tools) == set(other.tools) and set(one.opens) == set(other.opens) and one.needs == other.needs


def _no_pickier(better: Procedure, worse: Procedure) -> bool:
    return set(better.needs.tests if better.needs else ()) <= set(worse.needs.tests if worse.needs else ())
