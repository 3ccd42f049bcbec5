"""Sessions recorded as text from the program itself, in a pseudo-terminal. Run: python tests/session/record.py [NAME …]

`cases/sessions/NAME.yaml` says what somebody would find there (invented); the answers are worked out from it, typed into the
program one by one, and what stands on the screen is kept as `cases/sessions/NAME.txt`. The test beside this file types the same
answers again and holds the decision against the recorded one.
"""

from __future__ import annotations

import contextlib
import os
import re
import select
import subprocess
import sys
import tempfile
import time
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from mechanic import Memory  # noqa: E402

from diagnose.assess import Sketcher, assess  # noqa: E402
from diagnose.case.case import Case  # noqa: E402
from diagnose.knowledge.knowledge import Knowledge  # noqa: E402
from diagnose.knowledge.load import load  # noqa: E402
from diagnose.plan.settings import Settings  # noqa: E402
from diagnose.session.ask import Gone  # noqa: E402
from diagnose.session.conversation import Conversation  # noqa: E402
from diagnose.session.course import Course  # noqa: E402
from diagnose.session.questions import FollowUp, Question  # noqa: E402
from diagnose.session.replies import Leave  # noqa: E402
from diagnose.yamlfile import read  # noqa: E402

FOLDER = Path(__file__).parents[2] / "cases" / "sessions"
STATES = {"cold": "1", "warm": "2", "hot": "3", "away": "4"}
PROMPT = "> "


@dataclass(frozen=True)
class Scenario:
    """What somebody would say and find. `after`: what is typed besides, at the prompt of that number (from 1)."""

    command: str
    engine: str
    vehicle: str = ""
    complaint: str = ""
    finds: dict[str, str] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    after: dict[int, list[str]] = field(default_factory=dict)


def scenario(name: str) -> Scenario:
    """The scenario of a recorded session."""
    raw: dict[str, Any] = dict(read(FOLDER / f"{name}.yaml").data)
    raw.pop("invented"), raw.pop("why")
    raw["finds"] = {str(k): str(v) for k, v in raw.get("finds", {}).items()}
    raw["unknown"] = tuple(raw.get("unknown", ()))
    raw["after"] = {int(k): [str(x) for x in v] for k, v in raw.get("after", {}).items()}
    return Scenario(**raw)


class Oracle:
    """Answers each question from the scenario, and keeps what it typed."""

    attended = False

    def __init__(self, given: Scenario) -> None:
        self.given, self.talk, self.typed = given, None, []  # type: ignore[var-annotated]
        self._extra: list[str] = []
        self._prompts = 0

    def line(self, prompt: str, keys: Collection[str] = ()) -> str:
        """The next line; what is to be typed besides comes first."""
        if not self._extra:
            self._prompts += 1
            self._extra = list(self.given.after.get(self._prompts, ()))
            self._extra.append("")
        text = self._extra.pop(0)
        if not self._extra:
            text = self._answer()
        self.typed.append(text)
        return text

    def _answer(self) -> str:
        asked = self.talk.asked
        if isinstance(asked, str):
            said = {"complaint": self.given.complaint, "engine": STATES[self.given.engine], "vehicle": self.given.vehicle}
            return {**said, "understood": "y", "cool": "cold", "decision": ""}[asked]
        if isinstance(asked, FollowUp):
            return {"ambient": "14 C dry", "after_refill": "n", "blank_done": "y", "liquid_carried_over": "n"}.get(asked.field, "?")
        if isinstance(asked, Question):
            return self._one(asked)
        marks = [f"{i}" for i, f in enumerate(asked.findings, 1) if self.given.finds.get(f.id) == "yes"]
        marks += [f"{i}?" for i, f in enumerate(asked.findings, 1) if self.given.finds.get(f.id) == "unsure"]
        marks += [f"-{i}" for i, f in enumerate(asked.findings, 1) if f.id in self.given.unknown]
        return " ".join(marks) or "n"

    def _one(self, asked: Question) -> str:
        finding = asked.finding
        if finding.id in self.given.unknown:
            return "?"
        said = self.given.finds.get(finding.id, finding.bands[0] if finding.bands else "no")
        if finding.bands and said in ("yes", "no"):
            said = finding.bands[-1 if said == "yes" else 0]
        if finding.bands and said in finding.bands:
            return str(finding.bands.index(said) + 1)
        return {"yes": "y", "no": "n", "unsure": "m"}.get(said, said)


def answers(given: Scenario, knowledge: Knowledge) -> list[str]:
    """What has to be typed, worked out by going through the session in this process."""
    settings = Settings()
    walk = given.command == "look-over"
    kept = Memory([{"t": "start", "case": (Case(why_here="routine") if walk else Case()).model_dump(mode="json", exclude_none=True)}])
    course = Course(knowledge, settings, kept, lambda c, p: assess(c, knowledge, settings, p), sketch=Sketcher(knowledge, settings))
    if walk:
        from diagnose.session.walk_round import order

        course.walk = tuple(order(knowledge, settings, {}))
    oracle = Oracle(given)
    talk = Conversation(course, oracle, lambda text: None, 80)
    oracle.talk = talk
    with contextlib.suppress(Leave, Gone):
        talk.run()
    return oracle.typed


def typed_in(words: list[str], lines: list[str]) -> str:
    """What stands on the screen when these lines are typed into the program, each at its prompt."""
    import pty

    master, slave = pty.openpty()
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "HOME": folder, "XDG_CONFIG_HOME": folder, "TERM": "dumb", "COLUMNS": "80", "INPUTRC": "/dev/null"}
        env["PYTHONPATH"] = str(Path(__file__).parents[2])
        child = subprocess.Popen(
            [sys.executable, "-m", "diagnose", *words], cwd=folder, env=env, stdin=slave, stdout=slave, stderr=slave, start_new_session=True
        )
        os.close(slave)
        text = ""
        for line in lines:
            text += _until(master, text)
            os.write(master, f"{line}\n".encode())
        text += "".join(_rest(master))
        child.wait(60)
    os.close(master)
    return _clean(text)


def _until(master: int, before: str) -> str:
    """What comes until a new prompt stands and nothing more follows."""
    text, until = "", time.monotonic() + 120
    while time.monotonic() < until:
        if select.select([master], [], [], 0.6)[0]:
            text += os.read(master, 65536).decode(errors="replace")
        elif text.replace("\r", "\n").rstrip("\n").endswith("\n> "):
            return text
    raise TimeoutError(f"no prompt came:\n{before[-500:]}{text}")


def _rest(master: int) -> Iterator[str]:
    while select.select([master], [], [], 60)[0]:
        try:
            part = os.read(master, 65536)
        except OSError:
            return
        if not part:
            return
        yield part.decode(errors="replace")


def _clean(text: str) -> str:
    """Lines as they stand on the screen: what was drawn over is gone."""
    text = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", text.replace("\r\n", "\n"))
    shown = [line.rsplit("\r", 1)[-1].rstrip() for line in text.split("\n")]
    return "\n".join(shown).strip() + "\n"


def read_back(text: str) -> list[str]:
    """The lines that were typed in a recorded session."""
    return [line[2:] if line != ">" else "" for line in text.split("\n") if line == ">" or line.startswith("> ")]


def decision(text: str) -> str:
    """The last decision shown: its urgency and its headline."""
    lines = text.split("The decision\n")[-1].split("\n")
    after = [line for line in lines[1:] if line]
    wrapped = " ".join(after[1:12])
    for end in (" What it may be", " Why ", " Enter ends", " >"):
        wrapped = wrapped.split(end)[0]
    return wrapped


def main(names: list[str]) -> None:
    """Record the named sessions, or all."""
    knowledge = load()
    for name in names or sorted(p.stem for p in FOLDER.glob("*.yaml")):
        given = scenario(name)
        lines = answers(given, knowledge)
        text = typed_in([given.command], lines)
        head = f"# An invented vehicle. Recorded in a terminal 80 wide: diagnose {given.command}\n# What was there to find: {name}.yaml\n\n"
        (FOLDER / f"{name}.txt").write_text(head + text, encoding="utf-8")
        print(f"{name}: {len(lines)} lines typed; {decision(text)[:120]}")


if __name__ == "__main__":
    main(sys.argv[1:])
