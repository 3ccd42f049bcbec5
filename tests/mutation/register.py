"""The register: what every rule and link is about, in two files kept beside this one and read by people; and its command.

`python -m tests.mutation --write-missing` drafts lines for what has none and leaves every other line alone, so that a line once read is
never rewritten behind its reader's back; a line that the trade has overtaken is changed by hand. `--drop-gone` takes away the lines
of what is gone, and says which.
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
DROP = "python -m tests.mutation --drop-gone"
HEADS = {
    "rules.txt": "# What every rule is about: see rule_lines.py. Common practice, no source. Read each line before keeping it.\n",
    "links.txt": "# What every link is about: see link_lines.py. Common practice, no source. Read each line before keeping it.\n",
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
        yield f"links.txt: not in the register: '{line}'. If the trade says so, run '{COMMAND}' and read the line, or change the old one."
    for line in sorted(set(kept) - now):
        yield f"links.txt: in the register, and not in the knowledge: '{line}'. If the trade says so, change the line, or run '{DROP}'."


def write_missing(knowledge: Knowledge) -> list[str]:
    """Draft lines for what has none, and return them to be read. Lines that are there stay, even where the knowledge differs."""
    held_rules, held = (rules() if RULES.exists() else {}), (links() if LINKS.exists() else [])
    fresh = [rule_lines.draft(rule, knowledge) for name, rule in knowledge.rules.items() if name not in held_rules]
    _write(RULES, [*_told(held_rules), *fresh])
    about = {link_lines.about(line) for line in held}
    new = [line for line in link_lines.drafts(knowledge) if link_lines.about(line) not in about]
    _write(LINKS, [*held, *new])
    return sorted([*fresh, *new])


def drop_gone(knowledge: Knowledge) -> list[str]:
    """Take away lines about what the knowledge no longer holds, and return them to be read."""
    now = {link_lines.about(line) for line in link_lines.drafts(knowledge)}
    gone_rules = {name: line for name, line in rules().items() if name not in knowledge.rules}
    gone = [line for line in links() if link_lines.about(line) not in now]
    _write(RULES, _told({name: line for name, line in rules().items() if name not in gone_rules}))
    _write(LINKS, [line for line in links() if line not in gone])
    return sorted([*_told(gone_rules), *gone])


def _told(kept: dict[str, tuple[str, str]]) -> list[str]:
    return [f"{name}: {situation} => {says}" for name, (situation, says) in kept.items()]


def _write(path: Path, lines: list[str]) -> None:
    path.parent.mkdir(exist_ok=True)
    path.write_text(HEADS[path.name] + "\n".join(sorted(lines)) + "\n", encoding="utf-8")
