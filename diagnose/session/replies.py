"""What the words typed at a prompt do. Each returns whether what is asked must be looked at afresh."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from diagnose.case.case import Case
from diagnose.errors import InputError, did_you_mean
from diagnose.report.paper import Paper, sentence
from diagnose.report.work import plain_why
from diagnose.session import screen
from diagnose.session.commands import WORDS
from diagnose.session.course import Course
from diagnose.session.engine_state import STATES
from diagnose.session.parsing import given, refused
from diagnose.session.questions import FollowUp, Question, Sweep, question

Asked = Question | Sweep | FollowUp | str  # a word: a prompt that asks about no finding
MOST_WHY = 3  # findings of a group whose answers are played through


class Leave(Exception):
    """The session is left. `how`: save, finish."""

    def __init__(self, how: str) -> None:
        super().__init__(how)
        self.how = how


class Replies:
    """Carries out commands on a course; `paper` makes a page of the present width, `show` puts it on screen."""

    def __init__(self, course: Course, paper: Callable[[], Paper], show: Callable[[Paper], None]) -> None:
        self.course = course
        self._paper = paper
        self._show = show

    def run(self, word: str, rest: str, asked: Asked) -> bool:
        """Do what `word` says. True where the state changed. Raises Leave."""
        if word in ("save", "finish"):
            raise Leave(word)
        done: bool = getattr(self, f"_{word}")(rest, asked)
        return done

    def say(self, *texts: str) -> bool:
        """Sentences on the screen; False, as nothing changed."""
        paper = self._paper()
        for text in texts:
            paper.say(text)
        self._show(paper)
        return False

    def _thinking(self) -> None:
        """Something on screen before what takes a second."""
        self.say("Working it out …")

    def _help(self, rest: str, asked: Asked) -> bool:
        paper = self._paper()
        if rest in WORDS:
            paper.say(WORDS[rest][1], 0, f"{rest} {WORDS[rest][0]}: ")
        else:
            screen.help_page(paper)
        self._show(paper)
        return False

    def _points(self, rest: str, asked: Asked) -> bool:
        self._thinking()
        paper = self._paper()
        screen.points(paper, self.course.whole())
        self._show(paper)
        return False

    def _result(self, rest: str, asked: Asked) -> bool:
        self._thinking()
        from diagnose.report.console import page

        paper = self._paper()
        assessment = self.course.whole()
        paper.gap()
        paper.lines += page(assessment, self.course.knowledge, paper.width, "usual" if rest == "full" else "brief").rstrip("\n").split("\n")
        self._show(paper)
        return False

    def _list(self, rest: str, asked: Asked) -> bool:
        paper = self._paper()
        screen.known(paper, self.course.state, self.course.knowledge)
        self._show(paper)
        return False

    def _why(self, rest: str, asked: Asked) -> bool:
        if isinstance(asked, FollowUp | str):
            return self.say("It changes what your answer is worth, or what may be asked next.")
        self._thinking()
        paper = self._paper()
        paper.gap()
        before = self.course.assessment(False)
        if asked.procedure is not None and self.course.latest is not None:
            proposed = next((p for p in self.course.latest.next if p.id == asked.procedure.id), None)
            if proposed is not None:
                paper.say(sentence(plain_why(proposed.why)))
        findings = [asked.finding] if isinstance(asked, Question) else list(asked.findings[:MOST_WHY])
        for finding in findings:
            if isinstance(asked, Sweep):
                screen.compared(paper, before, self.course.supposed([{"of": finding.id, "answer": "yes"}]), finding.name)
                continue
            paper.say(f"{sentence(finding.name)[:-1]}:")
            for answer in finding.bands or ("yes", "no"):
                screen.compared(paper, before, self.course.supposed([{"of": finding.id, "answer": answer}]), answer.replace("_", " "))
        self._show(paper)
        return False

    def _what(self, rest: str, asked: Asked) -> bool:
        if isinstance(asked, FollowUp | str):
            return self.say("There is nothing to explain here.")
        findings = [asked.finding] if isinstance(asked, Question) else list(asked.findings)
        number = int(rest) if rest.isdigit() else 1 if len(findings) == 1 else 0
        if not 1 <= number <= len(findings):
            return self.say(f"Type what with a number from 1 to {len(findings)}.")
        finding = findings[number - 1]
        looks = [f"{b.replace('_', ' ')}: {finding.band_is[b]}" for b in finding.bands] or [
            f"yes: {finding.yes_is}",
            f"no: {finding.no_is}",
        ]
        also = [f"Also called: {', '.join(finding.also)}."] if finding.also else []
        return self.say(f"{number}. {sentence(finding.name)} {finding.ask}", *looks, *also)

    def _suppose(self, rest: str, asked: Asked) -> bool:
        if not rest:
            return self.say("Type suppose with an answer behind it, such as: suppose y")
        try:
            direct = self.direct(rest)
        except InputError as why:
            return self.say(str(why))
        if direct is None:
            if isinstance(asked, FollowUp | str):
                return self.say("Type suppose with a name and an answer, such as: suppose white_exhaust: yes")
            found = given(rest, asked, self.course.knowledge, None)
            if found.wrong or not found.observations:
                return self.say(found.wrong or "Nothing follows from that.")
            direct = list(found.observations)
        paper = self._paper()
        paper.gap()
        screen.compared(paper, self.course.assessment(False), self.course.supposed(direct), f"Supposed: {rest}")
        self._show(paper)
        return False

    def _undo(self, rest: str, asked: Asked) -> bool:
        names = self._named(rest) if rest else list(self.course.state.last())
        if not names:
            return False if rest else self.say("There is nothing to take back.")
        came_from = self.course.state.by.get(names[-1], "")
        found = self.course.undo(names)
        if not found:
            return self.say("That was not answered.")
        again = " To tell it anew, type say and your words." if came_from == "words" else ""
        self.say("Taken back: " + "; ".join(self.course.knowledge.name_of(n) for n in found) + f".{again}")
        if not rest and came_from in self.course.knowledge.procedures:
            self.course.record("go", to=came_from)  # whoever takes the last answer back is asked it again
        return True

    def _named(self, rest: str) -> list[str]:
        """The one meant by a number of the list or by a name; says what is wrong where none is."""
        names = screen.known(Paper(80), self.course.state, self.course.knowledge)
        if rest.isdigit() and 1 <= int(rest) <= len(names):
            return [names[int(rest) - 1]]
        word = rest.lower().replace(" ", "_")
        if word in names:
            return [word]
        by_words = [n for n in names if self.course.knowledge.name_of(n).lower() == rest.lower()]
        if by_words:
            return by_words
        hint = did_you_mean(word, names) or "Type list to see the numbers."
        self.say(f"'{rest}' is not in the list. {hint}")
        return []

    def _change(self, rest: str, asked: Asked) -> bool:
        if not rest:
            return self.say("Type change with a number of the list, such as: change 2")
        names = self._named(rest)
        if not names or names[0] not in self.course.knowledge.findings:
            return False if not names else self.say(f"Type it as {names[0]}: and the new answer.")
        by = self.course.knowledge.procedures.get(self.course.state.by.get(names[0], ""))
        self.course.again = question(self.course.knowledge, names[0], by)
        return True

    def _note(self, rest: str, asked: Asked) -> bool:
        if not rest:
            return self.say("Type note with the words to keep behind it.")
        last = self.course.state.last()
        self.course.record("note", of=last[-1] if last else "", text=rest)
        return self.say("Kept" + (f" with: {self.course.knowledge.name_of(last[-1])}." if last else " with the complaint."))

    def _engine(self, rest: str, asked: Asked) -> bool:
        word = rest.lower()
        if word not in STATES:
            return self.say(f"Type engine and one of: {', '.join(STATES)}.")
        self.course.record("engine", **{"is": word})
        self.say(f"Engine: {STATES[word]}.")
        return True

    def _vehicle(self, rest: str, asked: Asked) -> bool:
        from diagnose.knowledge.condition import VEHICLE_FIELDS

        name, _, value = rest.partition(" ")
        name = name.lower().rstrip(":")
        if name not in VEHICLE_FIELDS or not value.strip():
            hint = did_you_mean(name, VEHICLE_FIELDS) if name and name not in VEHICLE_FIELDS else ""
            return self.say(f"{hint or 'Type vehicle, a field and its value.'} Fields: {', '.join(sorted(VEHICLE_FIELDS))}.")
        try:
            read = type(Case().vehicle).model_validate({name: value.strip()})
        except ValueError:
            return self.say(f"'{value.strip()}' does not fit {name}. Allowed: {VEHICLE_FIELDS[name]}.")
        self.course.record("vehicle", fields={name: getattr(read, name)})
        self.say(f"Vehicle: {name.replace('_', ' ')}: {value.strip()}.")
        return True

    def _more(self, rest: str, asked: Asked) -> bool:
        self.course.record("more")
        self.course.record("back")
        return True

    def _say(self, rest: str, asked: Asked) -> bool:
        if not rest:
            return self.say("Type say with your words behind it, such as: say white smoke when cold")
        return bool(self.heard(rest))

    def heard(self, text: str) -> list[str]:
        """Keep what free words say, show what was understood of them, and return the names."""
        made, lines = understood(text, self.course)
        if made:
            self.course.record("answer", obs=made, by="words")
        self.say(*lines)
        return [str(o["of"]) for o in made]

    def direct(self, text: str) -> list[dict[str, Any]] | None:
        """Observations of a line `name: answer`; None where the line is not of that form. Raises InputError for what cannot be read."""
        from diagnose.intake.names import observable

        name, colon, answer = text.partition(":")
        if not colon or not answer.strip() or len(name) > 60:
            return None
        found = observable(self.course.knowledge).find(name)
        if not found.id:
            raise InputError(f"{found.message}. {found.allowed or 'diagnose new lists all that may be looked at.'}")
        made = refused({"of": found.id, "answer": answer.strip()}, self.course.knowledge)
        if made.wrong:
            raise InputError(made.wrong)
        return [dict(o) for o in made.observations]


def understood(text: str, course: Course) -> tuple[list[dict[str, Any]], list[str]]:
    """Observations in free words, and what is said about them. Where the words cannot be read, they are kept as they are."""
    from diagnose.intake.words.observe import understand

    heard = understand(text, course.knowledge)
    made: dict[str, dict[str, Any]] = {}
    lines = []
    for item in heard.heard:
        name, raw = item.observation.of, item.observation.model_dump(exclude_none=True, mode="json")
        if name in made or refused(raw, course.knowledge).wrong:
            continue
        made[name] = raw
        remark = f" ({'; '.join(item.remarks)})" if item.remarks else ""
        answer = str(raw["answer"]).replace("_", " ")
        lines.append(f'{len(made)}. {course.knowledge.name_of(name)}: {answer} - from "{item.words}"{remark}')
    if heard.spelling:
        lines.append("Read as: " + ", ".join(f"{wrong} = {right}" for wrong, right in sorted(heard.spelling.items())) + ".")
    if heard.not_understood:
        lines.append(f"Kept but not understood: {'; '.join(heard.not_understood)}.")
    if heard.not_about_cooling:
        lines.append(f"Not about cooling: {'; '.join(heard.not_about_cooling)}.")
    return list(made.values()), lines or ["Kept, but nothing in it says what was found."]
