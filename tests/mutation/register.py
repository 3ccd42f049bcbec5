"""The register: what every rule and link is about, in two files kept beside this one and read by people; and its command.

`python -m tests.mutation --write-missing` drafts lines for what has none, takes away those of what is gone, and leaves every other
line alone, so that a line once read is never rewritten behind its reader's back.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.language import RuleMistake

from . import link_lines, rule_lines

HERE = Path(__file__).parent / "register"
RULES, LINKS = HERE / "rules.txt", HERE / "links.txt"
COMMAND = "python -m tests.mutation --write-missing"
HEADS = {
    RULES: "# What every rule is about: see tests/mutation/rule_lines.py. Common practice, no source. Read each line before keeping it.\n",
    LINKS: "# What every link is about: see tests/mutation/link_lines.py. Common practice, no source. Read each line before keeping it.\n",
}


def rules() -> dict[str, tuple[str, str]]:
    """Rule id -> (situation, what it says)."""
    return rule_lines.read_lines(RULES.read_text(encoding="utf-8"))


def links() -> list[str]:
    """All lines about links."""
    return link_lines.lines_in(LINKS.read_text(encoding="utf-8"))


def complaints(
    knowledge: Knowledge, kept_rules: dict[str, tuple[str, str]], kept_links: list[str], only: list[str] | None = None
) -> list[str]:
    """Where the knowledge and the register differ. `only`: ids of rules to look at; left out, all of them."""
    out = []
    for name in only if only is not None else sorted({*knowledge.rules, *kept_rules}):
        if name not in kept_rules:
            out.append(f"rules.txt: no line for {name}. Run '{COMMAND}', then read the line: {_drafted(name, knowledge)}")
        else:
            out += [f"rules.txt: {name}: {why}" for why in rule_lines.broken(name, kept_rules[name], knowledge)]
    return out + list(_links(knowledge, kept_links))


def _drafted(name: str, knowledge: Knowledge) -> str:
    try:
        return rule_lines.draft(knowledge.rules[name], knowledge)
    except (KeyError, RuleMistake):
        return "(the rule cannot be read)"


def _links(knowledge: Knowledge, kept: list[str]) -> Iterator[str]:
    now = set(link_lines.drafts(knowledge))
    for line in sorted(now - set(kept)):
        yield f"links.txt: not in the register: '{line}'. Run '{COMMAND}' if the trade says so, and read the line."
    for line in sorted(set(kept) - now):
        yield f"links.txt: in the register, and not in the knowledge: '{line}'."


def write_missing(knowledge: Knowledge) -> list[str]:
    """Draft what is missing and drop what is gone; the lines that are new, to be read."""
    kept = rules() if RULES.exists() else {}
    lines = {name: f"{name}: {situation} => {says}" for name, (situation, says) in kept.items() if name in knowledge.rules}
    fresh = {name: rule_lines.draft(rule, knowledge) for name, rule in knowledge.rules.items() if name not in lines}
    _write(RULES, [*lines.values(), *fresh.values()])
    held = set(links()) if LINKS.exists() else set()
    now = set(link_lines.drafts(knowledge))
    _write(LINKS, now)
    return [*fresh.values(), *sorted(now - held)]


def _write(path: Path, lines: list[str] | set[str]) -> None:
    path.parent.mkdir(exist_ok=True)
    path.write_text(HEADS[path] + "\n".join(sorted(lines)) + "\n", encoding="utf-8")
