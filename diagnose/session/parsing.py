"""What somebody typed at a question, made into observations. Nothing is guessed: what is not understood is said with what is allowed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from diagnose.case.case import Case
from diagnose.case.observation import Observation
from diagnose.errors import InputError
from diagnose.knowledge.knowledge import Knowledge
from diagnose.session.questions import FollowUp, Question, Sweep

YES, NO, UNSURE = ("y", "yes"), ("n", "no"), ("m", "maybe", "unsure", "perhaps")
UNKNOWN = ("?", "unknown", "u", "dont know", "don't know", "not known")
CANNOT = ("x", "cannot", "can't", "can't do that", "cant")
LATER = ("l", "later")
SKIP = ("s", "skip")
DAMP, DRY = ("damp", "rain", "raining", "fog", "foggy", "wet"), ("dry", "sunny")
NONE = ("n", "no", "none", "nothing", "0")


@dataclass(frozen=True)
class Given:
    """Observations as plain data; or one of the words cannot, later, skip; or what is wrong."""

    observations: tuple[dict[str, Any], ...] = ()
    word: str = ""
    wrong: str = ""
    fields: dict[str, Any] = field(default_factory=dict)


def single_keys(asked: Question | Sweep | FollowUp | str) -> frozenset[str]:
    """Answers that one key gives; words stand for prompts that ask about no finding.

    Digits only where no number of several digits and no list of numbers is an answer.
    """
    if isinstance(asked, str):
        return frozenset({"engine": "1234?", "understood": "y"}.get(asked, ""))
    if isinstance(asked, FollowUp):
        return frozenset("?") if asked.unit else frozenset("yn?")
    if isinstance(asked, Sweep):
        return frozenset("n?xl")
    if not asked.finding.bands:
        return frozenset("ynm?xls")
    return frozenset("?xls") | (frozenset() if asked.takes_numbers else frozenset("123456789"[: len(asked.finding.bands)]))


def given(text: str, asked: Question | Sweep | FollowUp, knowledge: Knowledge, engine: str | None) -> Given:
    """What `text` means as an answer to `asked`. `engine`: the engine's state as it is written with the answer."""
    low = " ".join(text.lower().split())
    if not low:
        return Given(wrong="Nothing was typed.")
    if not isinstance(asked, FollowUp):
        for word, words in (("cannot", CANNOT), ("later", LATER), ("skip", SKIP)):
            if low in words:
                return Given(word=word)
    if isinstance(asked, Question):
        return _single(low, text.strip(), asked, knowledge, engine)
    return _follow_up(low, asked) if isinstance(asked, FollowUp) else _sweep(low, asked, engine)


def allowed(asked: Question | Sweep | FollowUp) -> str:
    """What may be typed, in one sentence."""
    if isinstance(asked, FollowUp):
        return "Type it with its unit, such as: 12 C, or: 4 C damp, or: ?" if asked.unit else "Type y, n or ? (unknown)."
    if isinstance(asked, Sweep):
        return f"Type the numbers of what you find (1 to {len(asked.findings)}), n for none of them, or ? if nobody looked."
    if not asked.finding.bands:
        return "Type y, n, m (maybe), ? (unknown), x (can't do that) or l (later)."
    number = " or a number with its unit," if asked.takes_numbers else ""
    return f"Type 1 to {len(asked.finding.bands)},{number} ? (unknown), x (can't do that) or l (later)."


def _made(name: str, answer: Any, engine: str | None) -> dict[str, Any]:
    made: dict[str, Any] = {"of": name, "answer": answer}
    if engine and answer not in ("unknown", "not_looked_at"):
        made["engine"] = engine
    return made


def _single(low: str, text: str, asked: Question, knowledge: Knowledge, engine: str | None) -> Given:
    finding = asked.finding
    if low in UNKNOWN:
        return Given((_made(finding.id, "unknown", engine),))
    if not finding.bands:
        for answer, words in (("yes", YES), ("no", NO), ("unsure", UNSURE)):
            if low in words:
                return Given((_made(finding.id, answer, engine),))
        return Given(wrong=f"'{text}' is not an answer here. {allowed(asked)}")
    if low.isdigit() and 1 <= int(low) <= len(finding.bands):
        return Given((_made(finding.id, finding.bands[int(low) - 1], engine),))
    if low.replace(" ", "_") in finding.bands:
        return Given((_made(finding.id, low.replace(" ", "_"), engine),))
    if low in UNSURE:
        return Given((_made(finding.id, "unknown", engine),), word="unsure_band")
    if asked.takes_numbers and any(c.isdigit() for c in low) and any(c.isalpha() or c in "%°." for c in low):
        return refused(_made(finding.id, text, engine), knowledge)
    return Given(wrong=f"'{text}' is not an answer here. {allowed(asked)}")


def refused(made: dict[str, Any], knowledge: Knowledge) -> Given:
    """The observation where figures can be made of it; what is wrong with it otherwise."""
    from diagnose.figures.figures import derive

    try:
        observation = Observation.model_validate(made)
        derive(Case(observations=(observation,)), knowledge)
    except InputError as why:
        problem = why.problems[0]
        return Given(wrong=f"{problem.message}. {problem.allowed}".replace("..", "."))
    except ValueError as why:
        return Given(wrong=f"That cannot be read: {str(why).splitlines()[-1]}")
    return Given((made,))


_ITEM = re.compile(r"(-?)(\d+)([?m]?)")


def _sweep(low: str, asked: Sweep, engine: str | None) -> Given:
    names = [f.id for f in asked.findings]
    if low in UNKNOWN:
        return Given(tuple(_made(n, "unknown", engine) for n in names))
    answers = dict.fromkeys(names, "no")
    if low in NONE:
        return Given(tuple(_made(n, a, engine) for n, a in answers.items()))
    for word in re.split(r"[\s,;]+", low.replace(" ?", "?")):
        match = _ITEM.fullmatch(word)
        if not match or not 1 <= int(match[2]) <= len(names):
            return Given(wrong=f"'{word}' is not one of them. {allowed(asked)}")
        answers[names[int(match[2]) - 1]] = "not_looked_at" if match[1] else "unsure" if match[3] else "yes"
    return Given(tuple(_made(n, a, engine) for n, a in answers.items()))


def _follow_up(low: str, asked: FollowUp) -> Given:
    if low in (*UNKNOWN, *SKIP, *LATER, *CANNOT):
        return Given(word="unknown")
    if not asked.unit:
        if low in YES or low in NO:
            return Given(fields={asked.field: "yes" if low in YES else "no"})
        return Given(wrong=f"'{low}' is not an answer here. {allowed(asked)}")
    from diagnose.case.quantity import parse

    words = re.split(r"[\s,;]+", low)
    weather = {w: ("yes" if w in DAMP else "no") for w in words if w in (*DAMP, *DRY)}
    number = " ".join(w for w in words if w and w not in weather and w != "and")
    damp = {"damp_air": next(iter(weather.values()))} if weather else {}
    if damp and not number:
        return Given(fields=damp)
    try:
        return Given(fields={asked.field: parse(number, asked.unit), **damp})
    except InputError as why:
        return Given(wrong=f"{why.problems[0].message}. {why.problems[0].allowed}")
