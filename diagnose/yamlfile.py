"""YAML with line numbers: what both knowledge and case files are read with.

Stricter than YAML itself, because people write these files by hand: no anchors or aliases (they hide facts and can blow up),
no doubled keys, and `yes`, `no`, `on`, `off` stay words instead of turning into true and false.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diagnose.errors import DiagnoseError, InputError, Problem

MOST_BYTES = 2_000_000
DEEPEST = 20
_NUMBER = re.compile(r"[-+]?(\d[\d_]*)(\.\d*)?([eE][-+]?\d+)?|[-+]?\.\d+([eE][-+]?\d+)?")
_LOADER: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Path_ = tuple[str | int, ...]


@dataclass
class Document:
    """Plain data (dict, list, str, int, float, None) with the line on which each part starts."""

    data: Any
    file: str
    lines: dict[Path_, int] = field(default_factory=dict)

    def line(self, path: Path_) -> int:
        """Line of the nearest part at or above `path` (1 for the first line)."""
        for length in range(len(path), -1, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return 1

    def problem(self, path: Path_, message: str, allowed: str = "") -> Problem:
        """A problem placed at `path`."""
        return Problem(message, self.file, self.line(path), allowed)


def read(path: Path, error: type[DiagnoseError] = InputError) -> Document:
    """Read one YAML file. Raises `error` with file, line and reason; never anything else for a bad file."""
    name = str(path)
    try:
        if path.is_dir():
            raise error(Problem("is a folder, not a file", name))
        raw = path.read_bytes()
    except FileNotFoundError:
        raise error(Problem("no such file", name)) from None
    except OSError as why:
        raise error(Problem(f"cannot be read: {why.strerror or why}", name)) from None
    if len(raw) > MOST_BYTES:
        raise error(Problem(f"is {len(raw):,} bytes long; at most {MOST_BYTES:,} are read", name))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        line = raw[: why.start].count(b"\n") + 1
        raise error(Problem("is not a text file in UTF-8", name, line)) from None
    return parse(text, name, error)


def parse(text: str, name: str, error: type[DiagnoseError] = InputError) -> Document:
    """As `read`, for text already in memory; `name` stands for the file in messages."""
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
                line = event.start_mark.line + 1 if event.start_mark else 0
                raise error(Problem("anchors (&) and aliases (*) are not allowed", name, line, "Write the value out."))
        nodes = list(yaml.compose_all(text, Loader=_LOADER))
    except yaml.MarkedYAMLError as why:
        mark = why.problem_mark or why.context_mark
        reason = why.problem or why.context or "cannot be understood"
        raise error(Problem(f"is not valid YAML: {reason}", name, mark.line + 1 if mark else 0)) from None
    except yaml.YAMLError as why:
        raise error(Problem(f"is not valid YAML: {str(why).splitlines()[0]}", name)) from None
    except RecursionError:
        raise error(Problem(f"is nested deeper than {DEEPEST} levels", name)) from None
    if len(nodes) > 1:
        raise error(Problem("holds more than one document", name, nodes[1].start_mark.line + 1, "Leave out the line '---'."))
    document = Document(None, name)
    if nodes:
        document.data = _build(nodes[0], (), document, error)
    return document


def _build(node: yaml.Node, path: Path_, document: Document, error: type[DiagnoseError]) -> Any:
    line = node.start_mark.line + 1
    document.lines[path] = line
    if len(path) > DEEPEST:
        raise error(Problem(f"is nested deeper than {DEEPEST} levels", document.file, line))
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*path, i), document, error) for i, item in enumerate(node.value)]
    result: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key_line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            raise error(Problem("a key must be a single word", document.file, key_line))
        key = str(key_node.value)
        here = (*path, key)
        if key in result:
            first = document.lines[here]
            raise error(Problem(f"'{key}' is given twice (first on line {first})", document.file, key_line, "Keep one."))
        result[key] = _build(value_node, (*path, key), document, error)
        document.lines[here] = key_line
    return result


def _scalar(node: yaml.ScalarNode) -> Any:
    text = node.value
    if node.style in ("'", '"', "|", ">"):
        return text
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if _NUMBER.fullmatch(text):
        plain = text.replace("_", "")
        return int(plain) if re.fullmatch(r"[-+]?\d+", plain) and len(plain) < 19 else float(plain)
    return text
