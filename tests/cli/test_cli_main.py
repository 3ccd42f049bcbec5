"""Every end of the command line: exit code, one clear message, one JSON document; and what it must not import."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from cli_shell import Command

import diagnose
from diagnose.cli.lazy import COMMANDS
from diagnose.errors import InputError, KnowledgeError

HEAVY = ("numpy", "experta", "pint", "networkx", "rich", "pydantic", "yaml", "rapidfuzz")


def _python(*words: str, **settings: str) -> subprocess.CompletedProcess[str]:
    root = Path(diagnose.__file__).parents[1]
    env = {**os.environ, "PYTHONPATH": str(root), **settings}
    return subprocess.run([sys.executable, *words], capture_output=True, text=True, env=env, timeout=60, check=False)


@pytest.mark.parametrize("words", [["--help"], ["--version"]], ids=str)
def test_help_and_version_import_nothing_heavy(words: list[str]) -> None:
    text = f"import sys; from diagnose.cli.main import run; run({words!r}); print([m for m in {HEAVY!r} if m in sys.modules])"
    ended = _python("-c", text)
    assert ended.stdout.splitlines()[-1] == "[]", ended.stderr


def test_version(command: Command) -> None:
    assert command("--version").out == f"diagnose {diagnose.__version__}\n"


def test_help_names_every_command_and_every_exit_code(command: Command) -> None:
    text = command("--help").out
    assert all(f"  {name} " in text for name in COMMANDS)
    assert all(f"{code} " in text for code in (0, 1, 2, 3, 4, 130))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_option_is_explained(name: str) -> None:
    import typer

    from diagnose.cli.lazy import LazyGroup

    root = LazyGroup(name="diagnose")
    context = root.make_context("diagnose", ["x"], resilient_parsing=True)
    todo = [(name, root.get_command(context, name))]
    while todo:
        said, found = todo.pop()
        assert found.help, said
        for option in found.params:
            assert option.name == "help" or getattr(option, "help", None), f"{said} {option.name}"
        todo += [(f"{said} {n}", c) for n, c in getattr(found, "commands", {}).items()]
    assert typer


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_is_plain_text(command: Command, name: str) -> None:
    result = command(name, "--help")
    assert result.code == 0
    assert result.out.startswith(f"Usage: diagnose {name}")
    assert not set(result.out) & set("╭╮╰╯│─")


USAGE = {
    "unknown command": (["asess"], "Did you mean assess?"),
    "unknown option": (["assess", "--demmo"], "--demmo"),
    "no case": (["assess"], "one case is needed"),
    "case and demo": (["assess", "--demo", "x.yaml"], "one case is needed"),
    "brief and full": (["assess", "--demo", "--brief", "--full"], "exclude each other"),
    "too narrow": (["assess", "--demo", "--width", "10"], "--width"),
    "rate of nothing": (["assess", "--demo", "--labour-rate", "0"], "--labour-rate: 0 is not a price"),
    "rate not a number": (["assess", "--demo", "--labour-rate", "nan"], "not a price"),
    "rate in words": (["assess", "--demo", "--labour-rate", "much"], "--labour-rate"),
    "unknown tool": (["assess", "--demo", "--tools", "multimetre,torch"], "Did you mean multimeter?"),
    "settings not there": (["assess", "--demo", "--settings", "no-such.yaml"], "no such file"),
    "price of what": (["assess", "--demo", "--price", "replace_kap=20"], "Did you mean"),
    "price in words": (["assess", "--demo", "--price", "replace_cap=much"], "--price: 'replace_cap=much' cannot be used"),
    "refused what": (["assess", "--demo", "--refused", "leakage_tset"], "Did you mean leakage_test?"),
    "budget in words": (["assess", "--demo", "--budget", "20,lots"], "an amount, or a list of amounts"),
    "unknown skill": (["assess", "--demo", "--skill", "guru"], "home, workshop, specialist"),
    "missing file": (["assess", "no-such-case.yaml"], "no such file"),
    "schema of what": (["schema", "cow"], "case, assessment, error"),
    "unknown fault": (["knowledge", "apart", "zzzqqq", "cap_weak"], "'zzzqqq' is not"),
}


@pytest.mark.parametrize("name", USAGE)
def test_a_usage_error_is_one_short_message_and_exit_2(command: Command, name: str) -> None:
    words, said = USAGE[name]
    result = command(*words)
    assert (result.code, result.out) == (2, "")
    assert said in result.err
    assert result.err.startswith("diagnose: ")
    assert result.err.count("\n") == 1
    assert "Traceback" not in result.err


@pytest.mark.parametrize("name", [n for n, (words, _) in USAGE.items() if words[0] != "knowledge"])
def test_with_json_a_usage_error_is_one_document(command: Command, name: str) -> None:
    words, said = USAGE[name]
    result = command(*words, "--json")
    assert (result.code, result.err) == (2, "")
    document = result.document
    assert (document["format"], document["exit_code"]) == ("error 1", 2)
    assert set(document["problems"][0]) == {"file", "line", "message", "allowed"}
    assert said in " ".join(p["message"] + p["allowed"] for p in document["problems"])


def test_without_words_it_shows_the_help(command: Command) -> None:
    result = command()
    assert (result.code, result.out.startswith("Usage: diagnose")) == (2, True)


def test_json_behind_a_double_dash_is_a_file_name(command: Command) -> None:
    result = command("assess", "--", "--json")
    assert (result.code, result.out) == (2, "")
    assert "no such file" in result.err


def test_knowledge_that_is_not_there_ends_with_3(command: Command, tmp_path: Path) -> None:
    result = command("assess", "--demo", "--knowledge", str(tmp_path / "none"), "--json")
    assert (result.code, result.document["exit_code"]) == (3, 3)


def test_knowledge_that_cannot_be_read_ends_with_3_and_its_line(command: Command, tmp_path: Path) -> None:
    (tmp_path / "effects").mkdir()
    (tmp_path / "effects" / "a.yaml").write_text("- id: x\n  nmae: y\n")
    result = command("assess", "--demo", "--knowledge", str(tmp_path))
    assert result.code == KnowledgeError.exit_code
    assert "a.yaml:2: x: nmae: 'nmae' is not a key here. Did you mean name?" in result.err


def test_a_defect_says_that_it_is_ours_and_what_to_report(command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("nobody thought of it")

    monkeypatch.delenv("DIAGNOSE_DEBUG", raising=False)
    monkeypatch.setattr("diagnose.intake.casefile.read_case", broken)
    result = command("assess", "--demo")
    assert (result.code, result.out) == (4, "")
    assert all(word in result.err for word in ("defect in the program", "ZeroDivisionError", "report", diagnose.__version__))
    assert "Traceback" not in result.err
    assert command("assess", "--demo", "--json").document["exit_code"] == 4
    monkeypatch.setenv("DIAGNOSE_DEBUG", "1")
    assert "Traceback" in command("assess", "--demo").err


def test_a_json_answer_that_was_begun_is_not_followed_by_another(command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def half(_: object) -> None:
        print('{"half": ')
        raise InputError("the rest is missing")

    monkeypatch.setattr("diagnose.intake.formats.model_schema", half)
    result = command("schema", "error", "--json")
    assert (result.code, result.document["problems"][0]["message"]) == (2, "the rest is missing")


def test_ctrl_c_is_quiet(command: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("diagnose.intake.casefile.read_case", stopped)
    result = command("assess", "--demo")
    assert (result.code, result.out, result.err.strip()) == (130, "", "")


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_a_closed_pipe_is_quiet() -> None:
    root = Path(diagnose.__file__).parents[1]
    line = f"{sys.executable} -m diagnose new | head -1"
    ended = subprocess.run(["sh", "-c", line], cwd=root, capture_output=True, text=True, timeout=60, check=False)
    assert (ended.stdout.count("\n"), ended.stderr) == (1, "")


def test_the_module_runs_like_the_command() -> None:
    ended = _python("-m", "diagnose", "assess", "no-such-case.yaml")
    assert (ended.returncode, ended.stderr) == (2, "diagnose: no-such-case.yaml: no such file.\n")
