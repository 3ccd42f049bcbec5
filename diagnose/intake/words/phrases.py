"""The phrases of knowledge/complaints: what people say, and which finding that is. Every complaint about them has file and line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError, model_validator

from diagnose.case.fields import Strict
from diagnose.case.observation import Conditions
from diagnose.errors import KnowledgeError, Problem, did_you_mean
from diagnose.intake.words.stored import cache_file, from_cache, to_cache
from diagnose.intake.words.tokens import stem
from diagnose.yamlfile import Document, read

_SLOT = re.compile(r"<([a-z_]+)>|>|-<([a-z_]+)>|[a-z0-9']+")
BUILT_IN = frozenset({"not", "number"})


class Word(Strict):
    """Ways of saying one thing: `<word>` stands for any of them in a phrase.

    A `part` keeps its words together: the "water" of a water pump is no coolant, the "radiator" of a radiator hose no radiator.
    """

    word: str
    said: tuple[str, ...]
    part: Literal["yes", "no"] = "no"


class Phrases(Strict):
    """What is said for each answer of a finding, or of a theme (`stands_for` the finding meant when nothing more precise is said)."""

    finding: str | None = None
    theme: str | None = None
    stands_for: str | None = None
    says: dict[str, tuple[str, ...]]
    negated: dict[str, str] = Field(default_factory=dict)
    was: str | None = None
    instead_of: tuple[str, ...] = ()
    circumstances: dict[str, str] = Field(default_factory=dict)
    source: str

    @model_validator(mode="after")
    def _one(self) -> Phrases:
        if (self.finding is None) == (self.theme is None):
            raise ValueError("an entry is about a finding or a theme, one of them")
        if self.theme is not None and self.stands_for is None:
            raise ValueError("a theme stands for a finding: stands_for is missing")
        return self


class Together(Strict):
    """Two things said in one complaint that together mean a third, said instead of them."""

    together: dict[str, str]
    means: dict[str, str]
    source: str


class Elsewhere(Strict):
    """Words about something that is not the cooling system."""

    elsewhere: str
    said: tuple[str, ...]


class Plain(Strict):
    """Ordinary words: never taken for a misspelt word of the trade."""

    plain: tuple[str, ...]


class Measured(Strict):
    """A number with a unit that is a reading of a finding when one of `near` is said with it."""

    measured: str
    unit: str
    units: tuple[str, ...]
    near: tuple[str, ...]
    source: str


class Topic(Strict):
    """A thing that somebody may say was not looked at or is not known: which finding is then left open."""

    topic: str
    said: tuple[str, ...]


_KINDS: dict[str, type[Strict]] = {
    "word": Word, "finding": Phrases, "theme": Phrases, "together": Together, "elsewhere": Elsewhere, "plain": Plain, "measured": Measured,
    "topic": Topic,
}  # fmt: skip


@dataclass(frozen=True)
class Pattern:
    """One phrase: slots that must all be said near each other; `ordered[i]`: slot i comes after slot i-1; `without`: must not be said."""

    text: str
    slots: tuple[str, ...]
    ordered: tuple[bool, ...]
    without: tuple[str, ...]
    about: str
    answer: str
    entry: Phrases | None
    alias: bool = False  # another name of the finding, as knowledge/findings has it


@dataclass
class Book:
    """All phrases, ready to match. `families`: word -> its sayings as stems."""

    families: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    parts: set[str] = field(default_factory=set)
    patterns: list[Pattern] = field(default_factory=list)
    themes: dict[str, str] = field(default_factory=dict)
    together: list[Together] = field(default_factory=list)
    elsewhere: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    plain: frozenset[str] = frozenset()
    plain_stems: frozenset[str] = frozenset()
    measured: list[Measured] = field(default_factory=list)
    topics: list[Pattern] = field(default_factory=list)
    vocabulary: dict[str, str] = field(default_factory=dict)
    entries: dict[str, Phrases] = field(default_factory=dict)


def stems(text: str) -> tuple[str, ...]:
    """The stems of a saying."""
    return tuple(stem(w) for w in re.findall(r"[a-z0-9']+|[-+]\d+", text.lower()))


def pattern(text: str, about: str, answer: str, entry: Phrases | None) -> Pattern:
    """Read one phrase. Raises ValueError for what is not one."""
    slots: list[str] = []
    ordered: list[bool] = []
    without: list[str] = []
    after = False
    rest = _SLOT.sub("", text).strip()
    if rest:
        raise ValueError(f"'{rest}' does not belong in a phrase")
    for match in re.finditer(r"-<[a-z_]+>|<[a-z_]+>|>|[a-z0-9']+", text):
        part = match[0]
        if part == ">":
            after = True
        elif part.startswith("-<"):
            without.append(part[1:])
        else:
            slots.append(part if part.startswith("<") else stem(part))
            ordered.append(after)
            after = False
    if not slots:
        raise ValueError(f"'{text}' says nothing")
    return Pattern(text, tuple(slots), tuple(ordered), tuple(without), about, answer, entry)


def folder(knowledge_root: Path | None = None) -> Path:
    """Where the phrases are: complaints/ below the knowledge that comes with the program, or below another."""
    from diagnose.knowledge.load import folder as knowledge_folder

    return (knowledge_root or knowledge_folder()) / "complaints"


@lru_cache(maxsize=4)
def load(directory: Path, findings: tuple[tuple[str, tuple[str, ...]], ...]) -> Book:
    """All phrases below `directory`; `findings`: id and bands (empty for yes/no) of everything that may be named.

    Raises KnowledgeError that lists every problem with file and line.
    """
    known = dict(findings)
    if not directory.is_dir():
        raise KnowledgeError(Problem("no such folder", str(directory), allowed="Phrases stand in complaints/ below the knowledge."))
    stored = cache_file(directory)
    raw = from_cache(stored) if stored else None
    if raw is not None:
        book = _quick(raw, known)
        if book is not None:
            return book
    book, problems = Book(), []
    items: list[tuple[Document, int, Any]] = []
    documents: list[Document] = []
    for path in sorted(directory.rglob("*.yaml")):
        document = read(path, KnowledgeError)
        documents.append(document)
        if not isinstance(document.data, list):
            raise KnowledgeError(Problem("is not a list of entries", document.file, 1, f"Entries start with one of: {', '.join(_KINDS)}."))
        for i, item in enumerate(document.data):
            entry, wrong = _entry(document, i, item)
            problems += wrong
            if entry is not None:
                items.append((document, i, entry))
    for document, i, entry in sorted(items, key=lambda x: not isinstance(x[2], Word)):
        problems += [document.problem((i,), message, allowed) for message, allowed in _add(book, entry, known)]
    if problems:
        raise KnowledgeError(*problems)
    _vocabulary(book)
    if stored:
        to_cache(stored, [item for d in documents for item in d.data])
    return book


def _quick(raw: list[Any], known: Mapping[str, tuple[str, ...]]) -> Book | None:
    """The book from entries that were read before; nothing where one does not fit any more, to be read again with its line."""
    book = Book()
    try:
        entries = [
            model.model_validate(item) for item in raw for key, model in _KINDS.items() if key == next(k for k in _KINDS if k in item)
        ]
    except (ValidationError, TypeError, StopIteration):
        return None
    for entry in sorted(entries, key=lambda e: not isinstance(e, Word)):
        if _add(book, entry, known):
            return None
    _vocabulary(book)
    return book


def _entry(document: Document, i: int, item: Any) -> tuple[Strict | None, list[Problem]]:
    kind = next((k for k in _KINDS if isinstance(item, dict) and k in item), None)
    if kind is None:
        return None, [document.problem((i,), "is no entry", f"An entry has one of: {', '.join(_KINDS)}.")]
    try:
        return _KINDS[kind].model_validate(item), []
    except ValidationError as why:
        out = []
        for error in why.errors(include_url=False):
            path = tuple(p for p in error["loc"] if isinstance(p, (str, int)))
            allowed = f"Allowed: {', '.join(_KINDS[kind].model_fields)}." if error["type"] == "extra_forbidden" else ""
            message = f"{item[kind]}: {'.'.join(map(str, path))}: {error['msg'].removeprefix('Value error, ')}"
            out.append(document.problem((i, *path), message, allowed))
        return None, out


def _add(book: Book, entry: Strict, known: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    """Put one entry into the book; what is wrong with it as (message, what is allowed)."""
    if isinstance(entry, Word):
        if entry.word in book.families or entry.word in BUILT_IN:
            return [(f"word '{entry.word}' is given twice", "Every word is given once.")]
        book.families[entry.word] = tuple(dict.fromkeys(stems(s) for s in entry.said))
        book.parts |= {entry.word} if entry.part == "yes" else set()
    elif isinstance(entry, Elsewhere):
        book.elsewhere[entry.elsewhere] = tuple(stems(s) for s in entry.said)
    elif isinstance(entry, Plain):
        book.plain |= frozenset(entry.plain)
        book.plain_stems |= frozenset(stem(w) for w in entry.plain)
    elif isinstance(entry, Together):
        book.together.append(entry)
        return [p for name in entry.means for p in _known(name, known)]
    elif isinstance(entry, Topic):
        wrong = _known(entry.topic, known) + [p for text in entry.said for p in _slots(book, text, entry.topic)]
        book.topics += [] if wrong else [pattern(text, entry.topic, "yes", None) for text in entry.said]
        return wrong
    elif isinstance(entry, Measured):
        book.measured.append(entry)
        return _known(entry.measured, known) + [p for n in entry.near for p in _slots(book, n, entry.measured)]
    elif isinstance(entry, Phrases):
        return _phrases(book, entry, known)
    return []


def _known(name: str, known: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    return [] if name in known else [(f"'{name}' is no finding", did_you_mean(name, known))]


def _slots(book: Book, text: str, about: str) -> list[tuple[str, str]]:
    try:
        made = pattern(text, about, "yes", None)
    except ValueError as why:
        return [(f"{about}: {why}", "")]
    names = [s[1:-1] for s in (*made.slots, *made.without) if s.startswith("<")]
    return [(f"{about}: <{n}> is no word", did_you_mean(n, book.families)) for n in names if n not in book.families and n not in BUILT_IN]


def _phrases(book: Book, entry: Phrases, known: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    about = entry.finding or entry.theme or ""
    finding = entry.finding or entry.stands_for or ""
    problems = [p for name in (finding, *([entry.was] if entry.was else [])) for p in _known(name, known)]
    allowed = ("yes", "no", *known.get(finding, ()))
    for answer in (*entry.says, *entry.negated, *entry.negated.values()):
        if answer not in allowed:
            problems.append((f"{about}: '{answer}' is not an answer", f"Allowed: {', '.join(allowed)}."))
    for name in entry.circumstances:
        if name not in Conditions.model_fields:
            problems.append((f"{about}: '{name}' is not a circumstance", did_you_mean(name, Conditions.model_fields)))
    wrong = [p for texts in entry.says.values() for text in texts for p in _slots(book, text, about)]
    if not wrong:
        for answer, texts in entry.says.items():
            book.patterns += [pattern(text, about, answer, entry) for text in texts]
    if entry.theme:
        book.themes[entry.theme] = finding
    book.entries[about] = entry
    return problems + wrong


def _vocabulary(book: Book) -> None:
    """Stem -> a word with that stem: everything that the book knows how to read."""
    sayings = [s for group in (*book.families.values(), *book.elsewhere.values()) for s in group]
    for saying in sayings:
        for part in saying:
            book.vocabulary.setdefault(part, part)
    for made in book.patterns:
        for slot in made.slots:
            if not slot.startswith("<"):
                book.vocabulary.setdefault(slot, slot)
