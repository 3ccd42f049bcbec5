"""The smaller lists: places to open, what logs show, what people propose. Nothing in them is idle, doubled or out of range."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import did_you_mean
from diagnose.knowledge.check.report import Report, error, warning
from diagnose.knowledge.knowledge import Knowledge


def check_lists(knowledge: Knowledge) -> Iterator[Report]:
    """Access, logs, proposals, readings."""
    yield from _access(knowledge)
    yield from _logs(knowledge)
    yield from _proposals(knowledge)


def _access(knowledge: Knowledge) -> Iterator[Report]:
    opened = {place for procedure in knowledge.procedures.values() for place in procedure.opens}
    first: dict[str, str] = {}
    for access in knowledge.access.values():
        if access.place in first:
            message = f"its place is also that of {first[access.place]}, so one of the two prices is never used."
            yield error(knowledge, "duplicate", access.id, message, "Keep one entry a place.")
        first.setdefault(access.place, access.id)
        if access.place not in opened and not access.repairs:
            message = f"no procedure and no repair opens '{access.place}'."
            yield warning(knowledge, "unread", access.id, message, "Name it in opens: of a procedure, or take it away.")


def _logs(knowledge: Knowledge) -> Iterator[Report]:
    first: dict[str, str] = {}
    for log in knowledge.logs.values():
        if log.pattern in first:
            message = f"its pattern is also that of {first[log.pattern]}; only one of them is read."
            yield error(knowledge, "duplicate", log.id, message, "Keep one entry a pattern.")
        first.setdefault(log.pattern, log.id)
        for name, answer in log.shows.items():
            finding = knowledge.findings.get(name)
            allowed = finding.bands[1:] if finding and finding.bands else ("yes",)
            if finding and answer not in allowed:
                hint = f"{did_you_mean(answer, allowed)} Allowed: {', '.join(allowed)}.".strip()
                yield error(knowledge, "band", log.id, f"shows: '{answer}' is not something that {name} shows as.", hint)


def _proposals(knowledge: Knowledge) -> Iterator[Report]:
    owner: dict[str, str] = {}
    for proposal in knowledge.proposals.values():
        for words in dict.fromkeys(" ".join(w.casefold().split()) for w in (proposal.name, *proposal.also)):
            if owner.setdefault(words, proposal.id) != proposal.id:
                message = f"also: '{words}' means {owner[words]} as well."
                yield error(knowledge, "ambiguous", proposal.id, message, "Keep it where people mean it more often.")
