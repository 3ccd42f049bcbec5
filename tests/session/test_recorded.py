"""The recorded sessions in cases/sessions: the same lines typed again come to the same decision."""

from __future__ import annotations

from pathlib import Path

import pytest
from record import FOLDER, decision, read_back, scenario

from diagnose.knowledge import load as loading
from diagnose.knowledge.knowledge import Knowledge

RECORDED = sorted(FOLDER.glob("*.txt"))
AGAIN = "the program asks or decides otherwise now: read what changed, then record again with python tests/session/record.py"


def test_there_are_four_of_different_kinds() -> None:
    texts = {p.stem: p.read_text(encoding="utf-8") for p in RECORDED}
    assert len(texts) >= 4
    assert sum("The engine is hot" in t for t in texts.values()) >= 1
    assert sum("The look over" in t for t in texts.values()) >= 1
    assert any(all(f"\n> {word}" in t for word in ("why", "undo", "suppose")) for t in texts.values())
    assert any("Unproven: buy and open nothing on a guess." in t for t in texts.values())
    assert all(t.startswith("# An invented vehicle") for t in texts.values())


@pytest.mark.slow
@pytest.mark.parametrize("path", RECORDED, ids=lambda p: p.stem)
def test_the_same_lines_come_to_the_same_decision(
    path: Path, knowledge: Knowledge, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    from diagnose.cli.main import run

    monkeypatch.setattr(loading, "load", lambda directory=None, cache=True: knowledge)
    monkeypatch.chdir(tmp_path)
    text = path.read_text(encoding="utf-8")
    (tmp_path / "typed.txt").write_text("\n".join(read_back(text)) + "\n", encoding="utf-8")
    code = run([scenario(path.stem).command, "--answers", "typed.txt", "--width", "80"])
    shown = capfd.readouterr()
    assert code == 0, f"{shown.err}\n{AGAIN}"
    assert decision(shown.out) == decision(text), AGAIN
    assert "Written: session.yaml" in shown.out, AGAIN
