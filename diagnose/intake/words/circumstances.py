"""When and in what circumstances something was seen: engine state, weather, minutes since the start, after a refill, engine speed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from diagnose.intake.words.quantities import minutes_of, numbers_in
from diagnose.intake.words.tokens import Token

_COLD_DAY = "5 degC"  # a cold morning or cold weather, where no figure is said; shown as an assumption. Common practice, no source.
_ENGINE: tuple[tuple[str, str], ...] = (
    ("opened_running", r"\b(cap|lid) (is |was |taken )?off\b|\bwithout the cap\b"),
    ("hot_off", r"\b(after|when|once) (i |you |he |she |we |it is |it's |its )?"
     r"(just )?(switch|turn|park|stopp|shut)\w*( (the )?(it|car|engine|truck|van))?( off)?\b"
     r"|\bafter (parking|a run|a drive|a long drive|stopping|shutdown)\b"),
    ("cold", r"\b(stone cold|with (a |the )?cold engine|"
     r"when (it's |its |it is |the engine is )?(still )?cold|from (stone )?cold|engine('s| is)? cold)\b"),
    ("warming", r"\b(first thing|start ?up|cold start|when i start|when you start|when it starts|starting (it )?up|warming up|"
     r"first minutes?"
     r"|(cold|frosty|winter|chilly|damp)( \w+)? (mornings?|morning|start)|in the mornings?|every morning|on starting)\b"),
    ("loaded", r"\b(uphill|up hills?|"
     r"towing|tow|hills|motorway|freeway|highway|interstate|under load|hard acceleration|pulling|flat out)\b"),
    ("warm", r"\b((warmed|warms|warm) (it )?up|(properly|fully|nice and|thoroughly) (warm|hot)|(up to|at|operating|running) temp\w*|"
     r"when (it's |its |it is |it gets |it |the engine is )?(really |properly )?(warm|hot)"
     r"|once (it's |its |it is )?(warm|hot)|after (a|an|half an?) (half )?(hour|mile|while)|traffic|with (a |the )?(warm|hot) engine)\b"),
)  # fmt: skip
_NOT_REFILL = r"\b(since|after|ever since)\b"
_WORK = r"\b(chang|replac|fitt|flush|refill|drain|new |renew|repair|swap|done|service)\w*"


def circumstances(tokens: Sequence[Token], first: int, last: int) -> tuple[dict[str, Any], list[str]]:
    """Conditions said in tokens[first:last], as fields of an observation, and remarks about what was assumed."""
    said = " ".join(t.word for t in tokens[first:last])
    out: dict[str, Any] = {}
    remarks: list[str] = []
    for state, shape in _ENGINE:
        if re.search(shape, said):
            out["engine"] = state
            break
    if re.search(r"\b(cold|frosty|chilly|winter) (\w+ )?(mornings?|morning|weather|days?|nights?)\b", said):
        out["ambient"] = _COLD_DAY
        remarks.append(f"cold weather taken as about {_COLD_DAY.replace('degC', '°C')}; say the temperature if you know it")
    if re.search(r"\b(damp|foggy|fog|drizzl\w*|rain\w*|misty) (\w+ )?(mornings?|days?|weather|air)\b|\bin the rain\b", said):
        out["damp_air"] = "yes"
    if (
        re.search(_NOT_REFILL, said)
        and re.search(_WORK, said)
        and re.search(r"\bcoolant|antifreeze|radiator|rad|hose|thermostat|stat|pump|flush|system|water\b", said)
    ):
        out["after_refill"] = "yes"
    for number in numbers_in(tokens, first, last):
        before = tokens[number.at[0] - 1].word if number.at[0] > first else ""
        earlier = {t.word for t in tokens[max(first, number.at[0] - 3) : number.at[0]]}
        minutes = minutes_of(number)
        if minutes is not None and {"after", "within"} & earlier:
            following = {t.word for t in tokens[number.at[1] : number.at[1] + 5]}
            ends = {"switching", "switch", "turn", "turning", "parking", "stopping", "off", "stop"} & following
            out["minutes_since_stop" if ends else "minutes_since_start"] = minutes
        if number.unit == "rpm" and number.value >= 400:
            out["rpm"] = number.value
        if before in ("cylinder", "number", "no") and number.value <= 16 and number.value == int(number.value):
            out["cylinder"] = f"{number.value:g}"
    if out.get("engine") == "warm" and out.get("minutes_since_start", 99) < 3:
        del out["engine"]
    return out, remarks
