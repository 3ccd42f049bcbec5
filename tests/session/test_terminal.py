"""The program itself, in a terminal: killed without warning, left by key, resized."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytest.importorskip("pty")
import fcntl
import pty
import termios

pytestmark = pytest.mark.slow


class Screen:
    """The program in a pseudo-terminal."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.master, slave = pty.openpty()
        env = {**os.environ, "COLUMNS": "60", "HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "OMP_NUM_THREADS": "1"}
        env["PYTHONPATH"] = str(Path(__file__).parents[2])
        self.child = subprocess.Popen(
            [sys.executable, "-m", "diagnose", *words],
            cwd=folder,
            env=env,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),  # the keys that stop a program reach it
        )
        os.close(slave)
        self.text = ""

    def wait(self, words: str, seconds: float = 60.0) -> None:
        """Read until `words` stand on screen."""
        import select

        until = time.monotonic() + seconds
        while words not in self.text:
            assert time.monotonic() < until, f"'{words}' never came:\n{self.text}"
            if select.select([self.master], [], [], 0.2)[0]:
                try:
                    self.text += os.read(self.master, 65536).decode(errors="replace")
                except OSError:
                    break
        assert words in self.text, self.text

    def type(self, text: str, then: str) -> None:
        self.text = ""
        os.write(self.master, text.encode())
        self.wait(then)

    def end(self) -> int:
        code = self.child.wait(60)
        os.close(self.master)
        return code


def test_killed_at_the_prompt_it_offers_to_go_on_and_has_every_answer(tmp_path: Path) -> None:
    first = Screen(tmp_path, "session")
    first.wait("What is wrong with it?")
    first.type("\n", "How is the engine now?")
    first.type("cold\n", "What is it?")
    first.type("diesel\n", "What of this is so?")
    first.type("gauge_hot: no\n", "Noted:")
    first.type("white_ex", "white_ex")
    first.child.send_signal(signal.SIGKILL)
    first.end()
    second = Screen(tmp_path, "session")
    second.wait("Go on with it?")
    second.type("y\n", "What of this is so?")
    second.type("list\n", "gauge or display shows hot: no")
    assert "fuel diesel" in second.text
    second.type("\x03", "Go on with: diagnose session")  # Ctrl-C
    assert second.end() == 130
    assert "gauge_hot" in (tmp_path / "session.yaml").read_text()
    third = Screen(tmp_path, "session", "session.yaml", "--resume")
    third.wait("What of this is so?")
    other = Screen(tmp_path, "session", "session.yaml", "--resume")
    other.wait("another session on this case is open")
    assert other.end() == 2
    third.type("\x04", "Saved: session.yaml")  # Ctrl-D
    assert third.end() == 0
    assert "Traceback" not in first.text + second.text + third.text + other.text


def test_one_key_answers_and_a_word_behind_it_is_a_word(tmp_path: Path) -> None:
    screen = Screen(tmp_path, "session")
    screen.wait("What is wrong with it?")
    screen.type("\n", "How is the engine now?")
    screen.type("1", "What is it?")  # no Enter
    screen.type("diesel\n", "What of this is so?")
    screen.type("note brought in late\n", "Kept with the complaint.")  # begins with the key for "none of them"
    screen.type("n", "Noted: none of them.")
    screen.type("\n", "NEXT:")  # an Enter out of habit neither answers nor asks again
    screen.type("\x04", "Saved: session.yaml")
    assert screen.end() == 0
    assert "brought in late" in (tmp_path / "session.yaml").read_text()


def test_without_keys_every_answer_wants_enter(tmp_path: Path) -> None:
    screen = Screen(tmp_path, "session", "--no-keys")
    screen.wait("What is wrong with it?")
    screen.type("\n", "How is the engine now?")
    screen.type("1", "1")
    time.sleep(1.0)
    assert "What is it?" not in screen.text
    screen.type("\n", "What is it?")
    screen.type("\x03", "Go on with: diagnose session")
    assert screen.end() == 130
