"""How the rooms stand to each other: imports run one way, and what the program infers with holds no knowledge of its own."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.knowledge.knowledge import Knowledge

PACKAGE = Path(__file__).parents[1] / "diagnose"
MODULES = sorted(PACKAGE.rglob("*.py"))
# From the faces down. A room imports from its own floor and from the floors below, never from above.
FLOORS: tuple[tuple[str, ...], ...] = (
    ("__main__",),
    ("cli",),
    ("session", "score"),
    ("report",),
    ("intake",),
    ("second_opinion",),
    ("assess",),
    ("compiled", "explain", "plan"),
    ("rules", "rank"),
    ("figures",),
    ("knowledge",),
    ("case",),
    ("assessment", "yamlfile", "errors", "derive"),
)
FACES = ("cli", "session", "score", "report", "intake")
INFERENCE = ("assess.py", "compiled.py", "rank", "rules", "plan", "explain")


def room(module: str) -> str:
    """`diagnose.rank.build` is in the room `rank`."""
    return module.split(".")[1] if "." in module else ""


def name_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path) -> Iterator[tuple[str, int]]:
    """Every module that `path` imports when it runs, with the line; what stands under `if TYPE_CHECKING:` does not run."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    only_typed = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and ast.unparse(node.test) in ("TYPE_CHECKING", "typing.TYPE_CHECKING")
        for statement in node.body
        for inner in ast.walk(statement)
    }
    for node in ast.walk(tree):
        if id(node) in only_typed:
            continue
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            parts = name_of(path).split(".")
            package = parts if path.name == "__init__.py" else parts[:-1]
            above = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*above, *([node.module] if node.module else [])])
            for alias in node.names:
                whole = f"{module}.{alias.name}"
                here = PACKAGE.parent / Path(*whole.split("."))
                yield (whole if here.is_dir() or here.with_suffix(".py").is_file() else module, node.lineno)


def project_imports(path: Path) -> list[tuple[str, int]]:
    return [(name, line) for name, line in imports(path) if name == "diagnose" or name.startswith("diagnose.")]


def test_there_is_something_to_look_at() -> None:
    assert len(MODULES) > 50
    assert any(project_imports(path) for path in MODULES)


def test_every_room_has_its_floor() -> None:
    known = {name for floor in FLOORS for name in floor}
    rooms = {room(name_of(path)) for path in MODULES} - {"", "data"}
    assert rooms <= known, f"say in FLOORS who may import {sorted(rooms - known)}"


def test_imports_run_one_way() -> None:
    height = {name: i for i, floor in enumerate(FLOORS) for name in floor}
    wrong = []
    for path in MODULES:
        own = room(name_of(path))
        for imported, line in project_imports(path):
            other = room(imported)
            if own and other and other != own and height[other] < height[own]:
                wrong.append(f"{path.relative_to(PACKAGE.parent)}:{line}: {own} imports {other}")
    assert not wrong, "\n".join(wrong)


def test_derivations_stand_alone() -> None:
    wrong = [
        f"{path}:{line}: {name}"
        for path in MODULES
        if room(name_of(path)) == "derive"
        for name, line in project_imports(path)
        if room(name) != "derive"
    ]
    assert not wrong, wrong


def test_nothing_imports_the_faces() -> None:
    wrong = [
        f"{path}:{line}: {name}"
        for path in MODULES
        if room(name_of(path)) not in (*FACES, "__main__")
        for name, line in project_imports(path)
        if room(name) in FACES
    ]
    assert not wrong, wrong


def test_ranking_knows_no_words_and_no_files() -> None:
    """Only `build` reads the knowledge, and `check` measures over cases; all else holds ids and numbers."""
    wrong = [
        f"{path.name}:{line}: {name}"
        for path in MODULES
        if room(name_of(path)) == "rank" and path.name not in ("build.py", "check.py")
        for name, line in project_imports(path)
        if room(name) != "rank"
    ]
    assert not wrong, wrong


def test_only_one_module_imports_the_rule_engine() -> None:
    users = [path.relative_to(PACKAGE).as_posix() for path in MODULES for name, _ in imports(path) if name.split(".")[0] == "experta"]
    assert set(users) == {"rules/engine.py"}


@pytest.mark.parametrize("heavy", ["pint", "networkx"])
def test_heavy_libraries_are_imported_only_when_needed(heavy: str) -> None:
    """A units library costs 130 to 250 ms of every start, a graph library 100: never at the head of a module."""
    wrong = []
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in tree.body:
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) and node.module else []
            wrong += [f"{path}:{node.lineno}" for name in names if name.split(".")[0] == heavy]
    assert not wrong, wrong


def literals(path: Path) -> Iterator[tuple[str, int]]:
    """Every string of the module but its documentation."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documentation = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documentation:
            yield node.value, node.lineno


def test_inference_names_no_fault_effect_or_finding(real_knowledge: Knowledge) -> None:
    ids = {*real_knowledge.faults, *real_knowledge.effects, *real_knowledge.findings, *real_knowledge.procedures, *real_knowledge.repairs}
    files = [p for p in MODULES if p.relative_to(PACKAGE).parts[0] in INFERENCE]
    assert len(files) > 20
    wrong = [f"{path}:{line}: '{text}'" for path in files for text, line in literals(path) if text in ids]
    assert not wrong, "\n".join(wrong)


def test_the_program_runs_on_the_oldest_python_it_names() -> None:
    """No syntax newer than the oldest version that pyproject.toml promises."""
    for path in MODULES:
        ast.parse(path.read_text(encoding="utf-8"), feature_version=(3, 10))
    assert sys.version_info >= (3, 10)
