"""A blank case to fill in by hand: every field with what it takes, every finding with its answers, all from models and knowledge."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from diagnose.case.case import Case
from diagnose.case.fields import Allowed, allowed_of
from diagnose.case.observation import Conditions
from diagnose.case.vehicle import Vehicle
from diagnose.errors import InputError, Problem
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import PLACES, Finding

_HEAD = """\
# A case for the second mechanic. Fill in what you know, save it, then run: diagnose assess THIS-FILE
# A field left empty is unknown; it never means "has not". A line that starts with # is not read.
title:
why_here: complaint   # {why}
complaint:            # what was said, in the customer's words
#proposal: head gasket # what somebody wants to do, for diagnose second-opinion
"""
_HOW = """\
# What was seen, smelt, heard or measured. Take the # from a line and write the answer behind the colon.
#   yes, no         where somebody looked and it could have shown
#   unsure          a yes with doubt
#   unknown, not_looked_at     say nothing, and cost nothing
#   0.55 V, 13 psi, -34 °F     a number with its unit; {1: 11.2 bar, 2: 6.0 bar} a series with labels
# Circumstances go below an answer, two spaces deeper; each is optional, and some change what the answer is worth:
#   - white_exhaust: yes
#     engine: warm
#     ambient: 12 degC
"""
_DONE = """\
# What was done to the vehicle since, in time. Leave it out where nothing was done.
#done:
#  - repair: replace_cap      # a repair known here; or what: in your own words
#    on: 2026-11-25            # give the observations their day too (on:), so that it is known what was seen before and what since
#    found: cap_weak           # what was really wrong, once it has been seen: kept as feedback
"""


_EXAMPLES = {
    "degC": "20 degC", "bar": "1.1 bar", "m": "400 m", "km": "120000 km", "L": "6 L", "min": "10 min", "rpm": "2000 rpm", "days": "70 days",
}  # fmt: skip


def takes(allowed: Allowed) -> str:
    """What a field takes, short enough for the end of a line."""
    if allowed.words:
        return ", ".join(allowed.words)
    return f"such as {_EXAMPLES.get(allowed.unit, '1 ' + allowed.unit)}" if allowed.unit else "text"


def blank(knowledge: Knowledge) -> str:
    """The text of a blank case. It reads as a case about which nothing is known."""
    why = takes(allowed_of(Case)["why_here"])
    lines = [_HEAD.format(why=why), "vehicle:\n", *_fields(Vehicle, "  {name}:", ("name",)), "\n", _HOW]
    lines += _fields(Conditions, "#     {name}", ())
    lines.append("\nobservations:\n")
    for place in PLACES:
        found = [f for f in knowledge.findings.values() if f.place == place]
        if found:
            lines.append(f"\n  # ---- {place.replace('_', ' ')}\n")
            lines += [_finding(f) for f in found]
    if knowledge.readings:
        lines.append("\n  # ---- figures measured or worked out\n")
        lines += [f"{'  # - ' + r.id + ':':<38} # {r.name}: a number in {r.unit}\n" for r in knowledge.readings.values()]
        lines.append(f"{'  # - temperature_log:':<38} # a logger's CSV file, lying beside this case\n")
    repair = next(iter(knowledge.repairs), "renew_cap")
    lines.append("\n" + _DONE.replace("renew_cap", repair))
    return "".join(lines)


def _fields(model: type[BaseModel], shape: str, first: tuple[str, ...]) -> Iterator[str]:
    allowed = allowed_of(model)
    for name in [*first, *(n for n in allowed if n not in first)]:
        said = model.model_fields[name].description
        note = "" if name == "on" else "a whole number" if name == "times" else takes(allowed[name])
        yield f"{shape.format(name=name):<26} # {'; '.join(part for part in (note, said) if part)}\n"


def answers(finding: Finding) -> str:
    """The answers that a finding takes, besides unsure, unknown and not_looked_at."""
    if not finding.bands:
        return "yes, no"
    words = ", ".join(finding.along or finding.bands)
    return f"{words}, or a number in {finding.unit}" if finding.unit and finding.edges else words


def _finding(finding: Finding) -> str:
    return f"{'  # - ' + finding.id + ':':<38} # {finding.name}: {answers(finding)}\n"


def write_blank(path: Path, text: str, force: bool) -> None:
    """Write `text` to a new file. Raises InputError where one is there already (unless `force`) or it cannot be written."""
    try:
        with path.open("w" if force else "x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except FileExistsError:
        raise InputError(
            Problem("is there already and is left as it is", str(path), allowed="Give another name, or --force to overwrite it.")
        ) from None
    except OSError as why:
        raise InputError(Problem(f"cannot be written: {why.strerror or why}", str(path))) from None
