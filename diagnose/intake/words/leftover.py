"""What nothing was made of, told apart into words about the vehicle's cooling and words about something else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.intake.words.match import Tagged
from diagnose.intake.words.scope import Cue
from diagnose.intake.words.tokens import FILLERS, Clause
from diagnose.intake.words.wordlist import words

_SMALL_TALK = words(
    "hi hello hey thanks thank please cheers help car van truck vehicle engine motor driver customer says said states state "
    "advises reports morning know think noticed problem issue fine ok okay good day today yesterday yes no not"
)


def leftovers(
    text: str,
    tagged: Tagged,
    clauses: Sequence[Clause],
    cues: Mapping[Clause, Sequence[Cue]],
    covered: Sequence[frozenset[int]],
    dropped: Sequence[frozenset[int]],
) -> tuple[list[str], list[str]]:
    """(not understood, not about cooling): clauses as they were written, in order."""
    not_understood: list[str] = []
    elsewhere: list[str] = []
    used = frozenset().union(*covered) if covered else frozenset()
    for clause in clauses:
        inside = set(range(clause.first, clause.last))
        other = [s for s in tagged.elsewhere if s[0] in inside and not used & set(range(*s))]
        said = text[tagged.tokens[clause.first].start : tagged.tokens[clause.last - 1].end]
        if other:
            elsewhere.append(said)
        elif any(p & inside for p in dropped):
            not_understood.append(said)
        elif not used & inside:
            cued = {p for c in cues[clause] for p in range(*c.at)}
            rest = [p for p in inside - cued if tagged.tokens[p].word not in FILLERS | _SMALL_TALK and tagged.tokens[p].word.isalnum()]
            if rest:
                not_understood.append(said)
    return not_understood, elsewhere
