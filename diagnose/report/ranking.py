"""What it may be: the list with chances, and the leaders told in full."""

from __future__ import annotations

from diagnose.assessment import Arrow, Assessment, Candidate, Leader, Weight
from diagnose.explain.words import URGENCY_WORDS, percent
from diagnose.report.paper import Paper, sentence

SHOWN = 8  # lines of the list on the usual page; the rest is counted there, and shown by --full
SHOWN_BRIEF = 5
NEEDED = 0.5  # share of its chance that a cause must account for, below which that is said
SLIGHT = "hardly"  # the weakest weight word: counted on the usual page, named by --full
STORIES = 3  # ways from cause to sign told on the usual page


def ranking(assessment: Assessment, paper: Paper, detail: str) -> None:
    """Faults and harmless causes by how well they account for what was found."""
    every = assessment.ranking
    if not every:
        return
    paper.heading("What it may be")
    if detail != "brief":
        paper.say("First what explains most of what was found. More than one may be true at once.")
    shown = every if detail == "full" else every[: SHOWN_BRIEF if detail == "brief" else SHOWN]
    for candidate in shown:
        paper.say(candidate_words(candidate, detail == "full"), 0, f"{percent(candidate.chance):>5}  ")
    rest = len(every) - len(shown)
    if rest:
        paper.say(f"and {rest} that would explain less (all with --full)", 7)
    listed = {c.id for c in shown}
    beside = [c for c in assessment.beside if c.id not in listed]
    if beside and detail != "brief":
        paper.say("Likely too, but not the reason for what was found:")
        for candidate in beside:
            paper.say(candidate_words(candidate, detail == "full"), 0, f"{percent(candidate.chance):>5}  ")


def candidate_words(candidate: Candidate, full: bool) -> str:
    """Name, chance in words, how urgent it would be."""
    what = "harmless" if candidate.kind == "harmless" else URGENCY_WORDS[candidate.urgency].lower()
    little = ", explains little here" if candidate.accounts < NEEDED * candidate.chance else ""
    tail = f" [{candidate.id}; {percent(candidate.before)} before, needed {percent(candidate.accounts)}]" if full else ""
    return f"{candidate.name} ({candidate.said}{little}; {what}){tail}"


def leaders(assessment: Assessment, paper: Paper, full: bool) -> None:
    """The leading explanations: for, against, how it hangs together, what tells it from its look-alikes."""
    for place, leader in enumerate(assessment.leaders, 1):
        candidate = next(c for c in assessment.ranking if c.id == leader.id)
        paper.heading(f"{place}. {sentence(leader.name)[:-1]}: {percent(candidate.chance)}, {candidate.said}")
        if place == 1 or full:
            paper.say(leader.mechanism)
        _evidence("For it", leader.evidence_for, paper, full)
        _evidence("Against it", leader.evidence_against, paper, full)
        _story(leader, paper, full)
        if leader.told_apart:
            paper.say(f"Told apart: {leader.told_apart}")
        if leader.nearest:
            paper.say(f"Looks alike: {'; '.join(leader.nearest)}.")
        if leader.if_left:
            paper.say(f"If left: {leader.if_left}")


def _evidence(title: str, weights: list[Weight], paper: Paper, full: bool) -> None:
    told = [w for w in weights if full or w.said != SLIGHT]
    slight = len(weights) - len(told)
    tail = f" ({slight} more that hardly {'count' if slight > 1 else 'counts'})" if slight else ""
    if not told:
        paper.say(f"{title}: nothing that counts.{tail}")
        return
    groups: dict[str, list[str]] = {}
    for weight in told:
        number = f" ({weight.weight:+.2f})" if full else ""
        groups.setdefault(weight.said, []).append(weight.name + number)
    paper.say(f"{title}:{tail}")
    for said, names in groups.items():
        paper.say(f"{said}: {'; '.join(names)}", 2, "- ")


def _story(leader: Leader, paper: Paper, full: bool) -> None:
    if not leader.story:
        return
    paths = leader.story if full else _telling(leader)
    paper.say("How it hangs together:")
    told: set[str] = set()
    for path in paths:
        paper.say(_chain(path), 2, "- ")
        for arrow in path:
            if arrow.because not in told:
                told.add(arrow.because)
                source = f" [{arrow.source}; {arrow.where}]" if full else ""
                paper.say(f"{sentence(arrow.because)}{source}", 6)
    rest = len(leader.story) - len(paths)
    if rest:
        paper.say(f"and {rest} more ways to what was found (all with --full)", 4)


def _telling(leader: Leader) -> list[list[Arrow]]:
    """The ways that end in what speaks most for it."""
    order = {w.finding: i for i, w in enumerate(leader.evidence_for)}
    ends = [(order.get(path[-1].sign, len(order)), i, path) for i, path in enumerate(leader.story) if path]
    return [path for _, _, path in sorted(ends, key=lambda x: x[:2])[:STORIES]]


def _chain(path: list[Arrow]) -> str:
    """From what it brings about to what was found; the cause itself stands in the heading."""
    return " -> ".join(arrow.text.split(" → ")[-1] for arrow in path)
