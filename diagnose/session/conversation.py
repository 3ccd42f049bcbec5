"""The conversation: show a step, take a line, keep it, show what follows. Everything decided is decided in the course."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from typing import Any

from diagnose.errors import InputError, Problem
from diagnose.report.paper import Paper
from diagnose.session import engine_state, screen
from diagnose.session.ask import Asker
from diagnose.session.commands import command
from diagnose.session.course import Cool, Course, Decision, Starter
from diagnose.session.ending import decision
from diagnose.session.parsing import Given, given, single_keys
from diagnose.session.questions import FollowUp, Question, Sweep
from diagnose.session.replies import Asked, Leave, Replies
from diagnose.session.vehicle_words import vehicle_words

PROMPT = "> "
HINT_EVERY = 8  # questions after which the words for any prompt are shown again


class Conversation:
    """Runs a course until it is left. `width`: fixed, or None to follow the terminal."""

    def __init__(self, course: Course, asker: Asker, show: Callable[[str], None], width: int | None = None) -> None:
        self.course = course
        self.asker = asker
        self._put = show
        self._width = width
        self.replies = Replies(course, self.paper, self.show)
        self.prompts = 0
        self._alarmed = False
        self._shown = ""
        self._questions = 0
        self.decided = False
        self.asked: Asked = ""  # what the prompt on screen is about

    def paper(self) -> Paper:
        """An empty page, as wide as the terminal is now."""
        width = self._width or shutil.get_terminal_size((80, 24)).columns
        return Paper(max(40, min(200 if self._width else 100, width)))

    def show(self, paper: Paper) -> None:
        """Put a page on screen."""
        if paper.lines:
            self._put(str(paper).rstrip("\n"))

    def run(self) -> None:
        """Ask until the session is left. Raises Leave("finish" or "save"), Gone, StorageError."""
        while True:
            step = self.course.step()
            self._alarm()
            if isinstance(step, Starter):
                self._starter(step)
            elif isinstance(step, Cool):
                self._cool(step)
            elif isinstance(step, Decision):
                self._decide(step)
            else:
                self._ask(step)
            again = self.course.again
            while again is not None:
                self.course.again = None
                self._ask(again)
                again = self.course.again

    def _alarm(self) -> None:
        due = self.course.latest is not None and self.course.latest.urgency == "stop_now"
        if due and not self._alarmed and self.course.latest is not None:
            paper = self.paper()
            screen.alarm(paper, self.course.latest)
            self.show(paper)
        elif self._alarmed and not due:
            self.replies.say("The reason to stop at once no longer holds on what is known now.")
        self._alarmed = due

    def _line(self, page: Callable[[Paper], None], asked: Asked, free: bool = False) -> str | None:
        """A line that is an answer; None where a command changed what is known. An empty line shows the question again."""
        self.asked = asked
        paper = self.paper()
        page(paper)
        self._put("")
        self.show(paper)
        keys = () if free else single_keys(asked)
        while True:
            text = self.asker.line(PROMPT, keys)
            words = command(text, free)
            if words is None:
                if not text.strip() and not free:
                    paper = self.paper()
                    page(paper)
                    self.show(paper)
                    continue
                if not free and self._direct(text):
                    return None
                self.prompts += 1
                return text.strip()
            if self.replies.run(*words, asked):
                return None

    def _direct(self, text: str) -> bool:
        """Whether the line was `name: answer`, now kept."""
        try:
            made = self.replies.direct(text)
        except InputError as why:
            self._wrong(str(why))
            return True
        if made is None:
            return False
        self.prompts += 1
        self.course.record("answer", obs=made, by="")
        self.replies.say(screen.noted(self.course.knowledge, made))
        return True

    def _wrong(self, text: str) -> None:
        """Say what was wrong with an answer; nobody is there to put it right in an unattended session."""
        if not self.asker.attended:
            raise InputError(Problem(text, "answers", getattr(self.asker, "number", 0)))
        self.replies.say(text)

    def _starter(self, step: Starter) -> None:
        text = self._line(lambda p: screen.starter(p, step.what), step.what, free=step.what != "engine")
        if text is None:
            return
        if step.what == "engine":
            words = list(engine_state.STATES)
            low = text.lower()
            found = words[int(low) - 1] if low in ("1", "2", "3", "4") else low
            if found in words:
                self.course.record("engine", **{"is": found})
            elif low in ("?", "unknown"):
                self.course.record("asked", what="engine")
            else:
                self._wrong(f"'{text}' is not an answer here. Type 1 to 4, one of {', '.join(words)}, or ? if nobody knows.")
            return
        if step.what == "vehicle":
            self._vehicle(text)
        elif text:
            self.course.record("complaint", text=text)
            self._confirm(self.replies.heard(text))
        self.course.record("asked", what=step.what)

    def _vehicle(self, text: str) -> None:
        fields, left = vehicle_words(text) if text not in ("?", "unknown") else ({}, [])
        if fields:
            self.course.record("vehicle", fields=fields)
            self.replies.say("Noted: " + ", ".join(f"{k.replace('_', ' ')} {v.replace('_', ' ')}" for k, v in fields.items()) + ".")
        if left:
            self.replies.say(f"Nothing was made of: {', '.join(left)}.")

    def _confirm(self, names: list[str]) -> None:
        """What was understood is put right before anything is concluded."""
        while names:
            text = self._line(lambda p: p.say("Right so? y, or the numbers to strike out, such as: 2 3"), "understood")
            if text is None or text.lower() in ("y", "yes"):
                return
            picked = text.replace(",", " ").split()
            if picked and all(w.isdigit() and 1 <= int(w) <= len(names) for w in picked):
                self.course.undo([names[int(w) - 1] for w in picked])
                self.replies.say("Struck out: " + "; ".join(self.course.knowledge.name_of(names[int(w) - 1]) for w in picked) + ".")
                return
            self._wrong(f"'{text}' is not an answer here. Type y or numbers from 1 to {len(names)}.")

    def _cool(self, step: Cool) -> None:
        def page(paper: Paper) -> None:
            paper.gap()
            paper.say(f"What is left wants a cold engine, first: {step.procedure.name}.")
            paper.say("Let it stand with the cap on, overnight or for some hours. Never hurry it with water.")
            paper.say("Type cold when it is cold to the hand at the block, finish for the decision on what is known, or save to leave.")

        text = self._line(page, "cool")
        if text is None:
            return
        if text.lower() in ("cold", "1"):
            self.course.record("engine", **{"is": "cold"})
        elif text.lower() in ("n", "no", "?", "x", "l", "later"):
            raise Leave("save" if text.lower() in ("l", "later") else "finish")
        else:
            self._wrong(f"'{text}' is not an answer here. Type cold, finish or save.")

    def _decide(self, step: Decision) -> None:
        self.decided = True

        def page(paper: Paper) -> None:
            decision(paper, self.course, step.why)
            paper.gap()
            paper.say("Enter ends the session. more goes on asking; result full shows everything; points, list, undo, note as always.")

        text = self._line(page, "decision", free=True)
        if text is None:
            return
        direct = self._direct(text) if text else False
        if not text or text.lower() in ("y", "yes", "end", "n", "no"):
            raise Leave("finish")
        if not direct:
            self._wrong(f"'{text}' is not an answer here. Press Enter to end, or type more.")

    def ended(self) -> None:
        """The decision, where the session was ended before it came to one."""
        if not self.decided:
            paper = self.paper()
            decision(paper, self.course, "You ended the questions here.")
            self.show(paper)

    def _ask(self, asked: Question | Sweep | FollowUp) -> None:
        procedure = None if isinstance(asked, FollowUp) else asked.procedure
        engine = self.course.state.engine
        self._questions += 1
        self.decided = False

        def page(paper: Paper) -> None:
            if procedure is not None and self._shown != procedure.id:
                if self.course.latest is not None:
                    paper.gap()
                    screen.standing(paper, self.course.latest)
                screen.going(paper, procedure, engine)
                self._shown = procedure.id
            screen.question(paper, asked)
            if self._questions % HINT_EVERY == 1:
                paper.say(screen.COMMANDS)

        text = self._line(page, asked)
        if text is None:
            return
        found = given(text, asked, self.course.knowledge, engine_state.condition(procedure, engine))
        if found.wrong:
            self._wrong(found.wrong)
        elif isinstance(asked, FollowUp):
            self._follow_up(asked, found)
        else:
            self._keep(asked, found)

    def _follow_up(self, asked: FollowUp, found: Given) -> None:
        if found.word:
            self.course.record("asked", what=f"{asked.field}:{'' if asked.around else asked.of}")
        elif asked.around:
            self.course.record("around", fields=found.fields)
        else:
            self.course.record("detail", of=asked.of, fields=found.fields)

    def _keep(self, asked: Question | Sweep, found: Given) -> None:
        procedure = asked.procedure
        if found.word == "later" and procedure is not None:
            self.course.record("later", what=procedure.id)
            self.replies.say("Put off; it comes back when nothing better is left.")
        elif found.word == "cannot":
            if isinstance(asked, Question):
                self.course.answer(asked, [{"of": asked.name, "answer": "not_looked_at"}])
            if procedure is not None:
                self.course.record("cannot", what=procedure.id)
            self.replies.say("Left out; it will not be asked again.")
        elif found.word in ("skip", "later"):
            names = [asked.name] if isinstance(asked, Question) else [f.id for f in asked.findings]
            for name in names:
                self.course.record("skip", what=name)
        else:
            observations: list[dict[str, Any]] = [dict(o) for o in found.observations]
            self.course.answer(asked, observations)
            tail = "Where you are between two of them, leave it at unknown." if found.word == "unsure_band" else ""
            self.replies.say(f"{screen.noted(self.course.knowledge, observations)} {tail}".strip())
