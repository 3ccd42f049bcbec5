"""`triage`: a complaint in plain words to how urgent it is, what to say, what to ask and what to do first."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import InputError, Problem

if TYPE_CHECKING:
    from diagnose.intake.words.triage import Triage
    from diagnose.intake.words.understanding import Understanding

Words = Annotated[str | None, typer.Argument(help="What was said, in quotes; '-' or nothing reads it from a pipe.")]
File = Annotated[Path | None, typer.Option("--file", "-f", help="Read what was said from a file.")]
Fuel = Annotated[str | None, typer.Option(help="petrol, diesel or gas, if known.")]
KnowledgeDir = Annotated[Path | None, typer.Option("--knowledge", help="Use this folder of knowledge.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]

_URGENCY = {
    "stop_now": "Stop now: do not run the engine.",
    "do_not_drive_far": "Do not drive it far.",
    "this_week": "This week.",
    "next_service": "At the next service.",
    "none": "Nothing urgent in what was said.",
}

_REASONS = 2  # at the counter; --json has them all

app = typer.Typer(add_completion=False, help="A complaint in plain words: how urgent, what to say now, what to ask.")


@app.command()
def triage(words: Words = None, file: File = None, fuel: Fuel = None, knowledge_dir: KnowledgeDir = None, as_json: Json = False) -> None:
    """Triage a complaint: what was understood, how urgent, what to say now, three questions, what to do first."""
    from diagnose.intake.words.triage import triage_of
    from diagnose.knowledge.load import load

    text = _text(words, file)
    result = triage_of(text, load(knowledge_dir), fuel, knowledge_dir / "complaints" if knowledge_dir else None)
    typer.echo(_json(result) if as_json else told(result))


def _text(words: str | None, file: Path | None) -> str:
    """What was said, from where it was given. Raises InputError where there is nothing."""
    if file is not None and words not in (None, "-"):
        raise InputError(Problem("words and --file are both given", allowed="Give one of them."))
    if file is not None:
        text = _read(file)
    elif words is not None and words != "-":
        text = words
    elif sys.stdin is None or sys.stdin.isatty():
        raise InputError(
            Problem("nothing was said", allowed='Write the complaint in quotes: triage "it overheats in traffic", or give --file.')
        )
    else:
        try:
            text = sys.stdin.read()
        except UnicodeDecodeError:
            raise InputError(Problem("what came through the pipe is not text in UTF-8")) from None
    if not text.strip():
        raise InputError(Problem("nothing was said", allowed='Write the complaint in quotes: triage "it overheats in traffic".'))
    return text


def _read(file: Path) -> str:
    try:
        return file.read_bytes()[:200_000].decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Problem("is not a text file in UTF-8", str(file))) from None
    except OSError as why:
        raise InputError(Problem(f"cannot be read: {why.strerror or why}", str(file))) from None


def told(result: Triage, width: int | None = None) -> str:
    """The triage as lines for a person, what is urgent first; no meaning in colour, each line stands by itself."""
    from diagnose.cli.options import page_width

    return "\n".join(_wrapped(line, page_width(width)) for line in _lines(result))


def _lines(result: Triage) -> list[str]:
    if not result.understanding.observations:
        nothing = "Nothing was understood about the cooling system, so nothing is concluded."
        return [nothing, *_questions(result), *_understood(result.understanding, result)]
    out = [f"How urgent: {_URGENCY.get(result.urgency, result.urgency)}"]
    out += [f"  - {line}" for line in result.because[:_REASONS]]
    out += ["May it be driven:", *(f"  - {line}" for line in result.drive)] if result.drive else []
    out += ["Tell the customer now:", *(f"  - {line}" for line in result.tell)]
    causes = [f"  - {c.name} ({c.percent})" for c in result.causes]
    out += ["Likeliest causes, before anybody has looked:", *causes] if causes else []
    out += _questions(result)
    out += ["First in the workshop:", *(f"  - {line}" for line in result.first)]
    return [*out, "", *_understood(result.understanding, result)]


def _wrapped(line: str, width: int) -> str:
    """A line folded under its own bullet or number."""
    import re
    import textwrap

    lead = re.match(r" *(- |\d+\. )?", line)
    return textwrap.fill(line, width, subsequent_indent=" " * (lead.end() if lead else 0), break_on_hyphens=False)


def _understood(understanding: Understanding, result: Triage) -> list[str]:
    out = ["Understood as follows; say so if it is wrong:"] if understanding.heard else []
    for line in result.lines:
        out.append(f'  - {line.name}: {line.answer.replace("_", " ")} ("{line.words}"{"; " + line.when if line.when else ""})')
    if understanding.spelling:
        out.append("Read as: " + ", ".join(f"{a} = {b}" for a, b in sorted(understanding.spelling.items())))
    if understanding.not_understood:
        out += ["Not taken as something seen; ask again in other words:", *(f'  - "{said}"' for said in understanding.not_understood)]
    if understanding.not_about_cooling:
        out += ["Not about cooling:", *(f'  - "{said}"' for said in understanding.not_about_cooling)]
    return out


def _questions(result: Triage) -> list[str]:
    return ["Ask on the phone:", *(f"  {i}. {q}" for i, q in enumerate(result.questions, 1))] if result.questions else []


def _json(result: Triage) -> str:
    import json

    from diagnose.intake.words.triage import plain

    return json.dumps(plain(result), ensure_ascii=False, indent=2)
