"""Numbers in words: chances, weights, answers, money."""

from __future__ import annotations

from diagnose.case.observation import Observation
from diagnose.knowledge.knowledge import Knowledge
from diagnose.plan.settings import cost_word

URGENCY_WORDS = {
    "stop_now": "Stop now",
    "do_not_drive_far": "Do not drive far",
    "this_week": "This week",
    "next_service": "At the next service",
    "none": "Nothing urgent",
}
WEIGHTS = ((3.0, "very strongly"), (1.6, "strongly"), (0.7, "clearly"), (0.2, "a little"), (0.0, "hardly"))


def chance_word(chance: float, knowledge: Knowledge) -> str:
    """The word for a chance, from the scale `said` of the knowledge."""
    scale = knowledge.chances.get("said")
    for word, least in sorted(scale.words.items(), key=lambda x: -x[1]) if scale else ():
        if chance >= least:
            return word
    return ""


def weight_word(weight: float) -> str:
    """How strongly a weight of evidence speaks."""
    return next(word for least, word in WEIGHTS if abs(weight) >= least)


def percent(chance: float) -> str:
    """A chance for people: never 0 % or 100 %.

    >>> percent(0.0004), percent(0.237), percent(0.9997)
    ('<1 %', '24 %', '>99 %')
    """
    if chance < 0.01:
        return "<1 %"
    return ">99 %" if chance > 0.99 else f"{chance:.0%}".replace("%", " %")


def answer_word(observation: Observation) -> str:
    """The answer as it was given, with the circumstances that were given."""
    answer = observation.answer
    if isinstance(answer, dict):
        return ", ".join(f"{k}: {v}" for k, v in answer.items())
    return f"{answer:g}" if isinstance(answer, float) else answer.replace("_", " ")


__all__ = ["URGENCY_WORDS", "WEIGHTS", "answer_word", "chance_word", "cost_word", "percent", "weight_word"]
