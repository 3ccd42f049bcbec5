"""Carrying a session through: whoever answers, where it is kept, how it ends."""

from __future__ import annotations

import gc
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from diagnose.cli.options import load_knowledge
from diagnose.errors import InputError, Problem
from diagnose.session.ask import Asker, Gone, Lines, Terminal, terminal_there
from diagnose.session.opening import Place, afresh, begin, edited, place, save

if TYPE_CHECKING:
    from diagnose.assessment import Assessment
    from diagnose.case.case import Case
    from diagnose.knowledge.knowledge import Knowledge
    from diagnose.plan.settings import Settings
    from diagnose.session.course import Course
    from diagnose.session.journal import Journal

STOPPED = 130


@dataclass(frozen=True)
class Wanted:
    """What the command line asks for."""

    case: Path | None
    words: str | None
    answers: str | None
    out: Path | None
    given: dict[str, Any]
    resume: bool
    fresh: bool
    knowledge: Path | None
    width: int | None
    walk: bool
    settings: Path | None = None
    keys: bool = True


def conduct(wanted: Wanted) -> int:
    """Run a session and return its exit code. Raises InputError, StorageError, KnowledgeError."""
    if wanted.resume and wanted.fresh:
        raise InputError(Problem("--resume and --fresh exclude each other", allowed="Give one of them."))
    asker = _asker(wanted.answers, wanted.keys)
    from diagnose.intake.settingsfile import owned

    known = load_knowledge(wanted.knowledge)
    gc.freeze()  # what was read stays to the end: looking through it for rubbish again and again costs a tenth of each answer
    settings = owned(known, wanted.given, wanted.settings)
    where = place(wanted.case, wanted.out, Path())
    if where.found:
        where = _resumed(where, wanted, asker)
    case = _case(wanted, known) if not where.found else None
    from diagnose.case.case import Case

    journal = begin(where, case or Case(), wanted.walk)
    try:
        return _talk(wanted, known, settings, journal, where, asker)
    finally:
        journal.close()


def _asker(answers: str | None, keys: bool) -> Asker:
    if answers is None:
        if not terminal_there():
            raise InputError(
                Problem(
                    "nobody is there to answer: this is not a terminal",
                    allowed="Run it in a terminal, or give --answers FILE (- for standard input).",
                )
            )
        return Terminal(keys)
    return Lines(_lines(answers), typer.echo)


def _lines(answers: str) -> Iterable[str]:
    if answers == "-":
        from diagnose.intake.casefile import standard_input

        return standard_input().splitlines()
    try:
        return Path(answers).read_text(encoding="utf-8-sig").splitlines()
    except OSError as why:
        raise InputError(Problem(f"cannot be read: {why.strerror or why}", answers)) from None
    except UnicodeDecodeError:
        raise InputError(Problem("is not text in UTF-8", answers)) from None


def _resumed(where: Place, wanted: Wanted, asker: Asker) -> Place:
    """Go on with the session that was left, or begin anew."""
    if wanted.resume:
        return where
    if wanted.fresh:
        return afresh(where)
    if not asker.attended:
        hint = "Give --resume to go on with it, or --fresh to begin anew."
        raise InputError(Problem("a session was left here unfinished", str(where.journal), allowed=hint))
    typer.echo(f"A session was left here unfinished: {where.out} ({where.found} entries).")
    while True:
        try:
            text = asker.line("Go on with it? y, or n to begin anew (the old one is kept aside) > ").strip().lower()
        except Gone:
            raise InputError(Problem("left before anything was asked", allowed="The unfinished session is still there.")) from None
        if text in ("y", "yes", ""):
            return where
        if text in ("n", "no"):
            return afresh(where)


def _case(wanted: Wanted, known: Knowledge) -> Case:
    from diagnose.case.case import Case
    from diagnose.intake.casefile import read_case

    case = read_case(wanted.case, None, known) if wanted.case is not None and wanted.case.exists() else Case()
    if wanted.walk and not case.complaint and not case.observations:
        case = case.model_copy(update={"why_here": "routine"})
    return case


def _course(known: Knowledge, settings: Settings, journal: Journal) -> Course:
    from diagnose.session.course import Course

    def assess(case: Case, plan: bool) -> Assessment:
        from diagnose.assess import assess as assessed

        return assessed(case, known, settings, plan)

    from diagnose.assess import Sketcher

    course = Course(known, settings, journal, assess, sketch=Sketcher(known, settings))
    if journal.events[0].get("walk"):
        from diagnose.session.walk_round import order

        course.walk = tuple(order(known, settings, course.state.vehicle_facts()))
    return course


def _talk(wanted: Wanted, known: Knowledge, settings: Settings, journal: Journal, where: Place, asker: Asker) -> int:
    from diagnose.session.conversation import Conversation
    from diagnose.session.replies import Leave

    course = _course(known, settings, journal)
    talk = Conversation(course, asker, typer.echo, wanted.width)
    _welcome(talk, wanted, where, journal)
    code, finished = 0, False
    try:
        if wanted.words and not course.state.complaint:
            course.record("complaint", text=wanted.words)
            talk.replies.heard(wanted.words)
        talk.run()
    except Leave as leave:
        finished = leave.how == "finish"
    except Gone as gone:
        typer.echo("")
        from diagnose.session.course import Decision

        finished = gone.how == "end" and not asker.attended and isinstance(course.step(), Decision)
        code = STOPPED if gone.how == "interrupt" else 0
    except KeyboardInterrupt:
        typer.echo("")
        code = STOPPED
    _end(talk, where, journal, finished, wanted)
    return code


def _welcome(talk: Any, wanted: Wanted, where: Place, journal: Journal) -> None:
    say = talk.replies.say
    if where.found:
        say(f"Going on with {where.out}.")
        if journal.damaged:
            lost = ", ".join(map(str, journal.damaged))
            say(f"The journal was damaged in line {lost}; what stood there is lost, the rest is used. Type list and look what is missing.")
        if edited(where, journal):
            say("The case file was changed by hand meanwhile; those changes are not read here.")
    elif wanted.walk:
        say("The look over: cold things first, then warm ones. Nothing is opened but the cap of a cold engine.")
    else:
        say("One question at a time. Type help at any prompt for the words; every answer is kept at once.")
    say("The vehicle's manual and local rules come first.")


def _end(talk: Any, where: Place, journal: Journal, finished: bool, wanted: Wanted) -> None:
    case = talk.course.state.case()
    save(where, journal, case, finished)
    say = talk.replies.say
    if not finished:
        say(f"Saved: {where.out}. Go on with: diagnose session {where.out}")
        return
    talk.ended()
    options = "" if wanted.settings is None else f" --settings {wanted.settings}"
    options += _given(wanted.given)
    say(f"Written: {where.out}. The whole assessment: diagnose assess {where.out}{options}")


def _given(given: dict[str, Any]) -> str:
    """The options about the person and the prices as they were given; what the settings file says is found there again."""
    from diagnose.intake.settingsfile import option_of

    out = ""
    for field, value in given.items():
        if field == "helper":
            out += {"yes": " --helper", "no": " --no-helper"}.get(value or "", "")
        elif value is not None:
            for one in value if isinstance(value, list) else [value]:
                out += f" --{option_of(field)} {one}"
    return out
