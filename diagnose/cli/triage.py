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


def told(result: Triage) -> str:
    """The triage as lines for a person; no meaning in colour, each line stands by itself."""
    out = _understood(result.understanding, result)
    if not result.understanding.observations:
        return "\n".join([*out, "", "Nothing was understood about the cooling system, so nothing is concluded.", *_questions(result)])
    out += ["", f"How urgent: {_URGENCY.get(result.urgency, result.urgency)}"]
    out += [f"  because {line}" for line in result.because]
    out += ["May it be driven:", *(f"  - {line}" for line in result.drive)]
    out += ["Tell the customer now:", *(f"  - {line}" for line in result.tell)]
    out += ["Likeliest causes, before anybody has looked:", *(f"  - {c.name}: {c.said} ({c.percent})" for c in result.causes)]
    out += _questions(result)
    out += ["First in the workshop:", *(f"  - {line}" for line in result.first)]
    if result.cautions:
        out.append(f"{len(result.cautions)} cautions hold for the workshop; --json and the full assessment list them.")
    return "\n".join(out)


def _understood(understanding: Understanding, result: Triage) -> list[str]:
    out = ["Understood; correct it before you rely on it:"] if understanding.heard else []
    for line in result.lines:
        out.append(
            f'  - {line.finding}: {line.answer.replace("_", " ")} [{line.name}]; from "{line.words}"'
            + (f"; {line.when}" if line.when else "")
        )
    if understanding.spelling:
        out.append("  Read as: " + ", ".join(f"{a} = {b}" for a, b in sorted(understanding.spelling.items())))
    if understanding.not_understood:
        out += ["Not understood; ask again in other words:", *(f'  - "{said}"' for said in understanding.not_understood)]
    if understanding.not_about_cooling:
        out += ["Not about cooling:", *(f'  - "{said}"' for said in understanding.not_about_cooling)]
    return out


def _questions(result: Triage) -> list[str]:
    return ["Ask on the phone:", *(f"  {i}. {q}" for i, q in enumerate(result.questions, 1))] if result.questions else []


def _json(result: Triage) -> str:
    import json

    from diagnose.intake.words.triage import plain

    return json.dumps(plain(result), ensure_ascii=False, indent=2)
