"""From somebody's words to observations. Nothing is concluded here, and nothing is guessed without saying so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from diagnose.case.observation import Observation
from diagnose.intake.words.asked import unsaid
from diagnose.intake.words.circumstances import circumstances
from diagnose.intake.words.leftover import leftovers
from diagnose.intake.words.match import Match, Tagged, fullest, matches_in
from diagnose.intake.words.phrases import Book, Pattern, folder, load, pattern
from diagnose.intake.words.readings import readings_in
from diagnose.intake.words.scope import Cue, cues_of, excepted_inside, judge, negative
from diagnose.intake.words.speaker import speaker
from diagnose.intake.words.spelling import put_right
from diagnose.intake.words.together import Item, resolve
from diagnose.intake.words.tokens import FILLERS, Clause, clauses_of, tokens_of
from diagnose.intake.words.understanding import Heard, Understanding
from diagnose.intake.words.wordlist import words
from diagnose.knowledge.knowledge import Knowledge

LONGEST = 20_000  # characters of one complaint; far more than anybody tells at a counter
_ACROSS = 3  # slots from which a phrase may reach over two clauses of a sentence
# "never overheats normally, but does in traffic": said anew
_ANEW = words("does do did is was are has")
# what a name keeps though it counts for nothing elsewhere: "gone again" is not "gone", "back" not the front
_TELLING = words("down up out off back gone again still about around on keep keeps from")
_FULL = 2  # words from which a name in the findings counts as a phrase


@dataclass(frozen=True)
class _Text:
    """A text taken apart."""

    text: str
    tagged: Tagged
    clauses: tuple[Clause, ...]
    cues: dict[Clause, tuple[Cue, ...]]
    sentence_of: tuple[int, ...]
    book: Book

    def clauses_at(self, places: frozenset[int]) -> list[Clause]:
        return [c for c in self.clauses if places & set(range(c.first, c.last))]

    def words(self, first: int, last: int) -> str:
        return self.text[self.tagged.tokens[first].start : self.tagged.tokens[last - 1].end]


def understand(text: str, knowledge: Knowledge, directory: Path | None = None) -> Understanding:
    """What `text` says about the cooling system of one vehicle, in the words of `knowledge`.

    `directory`: the complaints/ folder to read phrases from; left out, the one that comes with the program.
    Raises InputError for a text that is too long and KnowledgeError for phrases that cannot be used.
    """
    if len(text) > LONGEST:
        from diagnose.errors import InputError, Problem

        raise InputError(Problem(f"the text is {len(text):,} characters long", allowed=f"At most {LONGEST:,} are read."))
    book = book_of(knowledge, directory)
    tokens, spelling = put_right(tokens_of(text), book)
    if not tokens:
        return Understanding()
    clauses = clauses_of(tokens)
    sentence_of = [0] * len(tokens)
    for clause in clauses:
        sentence_of[clause.first : clause.last] = [clause.sentence] * (clause.last - clause.first)
    silent = unsaid(tokens, clauses)
    cues = {c: (*cues_of(tokens, c.first, c.last), *silent[c]) for c in clauses}
    spoken = frozenset(p for said in cues.values() for c in said if c.at[1] - c.at[0] > 1 for p in range(*c.at))
    taken = _Text(text, Tagged(tokens, book, spoken), clauses, cues, tuple(sentence_of), book)
    return _understand(taken, knowledge, spelling)


def book_of(knowledge: Knowledge, directory: Path | None = None) -> Book:
    """The phrases for `knowledge`, its findings' own other names among them. Raises KnowledgeError."""
    findings = tuple((name, tuple(f.bands)) for name, f in sorted(knowledge.findings.items()))
    names = tuple((name, f.also) for name, f in sorted(knowledge.findings.items()) if not f.bands)
    return _book(directory or folder(), findings, names)


@lru_cache(maxsize=4)
def _book(directory: Path, findings: tuple[tuple[str, tuple[str, ...]], ...], names: tuple[tuple[str, tuple[str, ...]], ...]) -> Book:
    book = load(directory, findings)
    for name, also in names:
        for said in also:
            made = _alias(name, said, book)
            if made:
                book.patterns.append(made)
                for slot in made.slots:
                    book.vocabulary.setdefault(slot, slot)
    return book


def _alias(name: str, said: str, book: Book) -> Pattern | None:
    """Another name of a finding as a phrase: its words of meaning, in order. A test's name says nothing of its result."""
    parts = [w for w in said.lower().replace("-", " ").replace("/", "").split() if w not in FILLERS or w in _TELLING]
    if "test" in parts or (len(parts) < _FULL and not (parts and parts[0][:1] == "p" and parts[0][1:].isdigit())):
        return None
    if not all(w.replace("'", "").isalnum() for w in parts):
        return None
    over = ("<no_longer>",) if "no_longer" in book.families else ()
    return replace(pattern(" > ".join(parts), name, "yes", book.entries.get(name)), alias=True, without=over)


def _understand(taken: _Text, knowledge: Knowledge, spelling: dict[str, str]) -> Understanding:
    found: list[Match] = []
    possible, before = taken.tagged.possible, -1
    for i, clause in enumerate(taken.clauses):
        here = matches_in(taken.tagged, possible, clause.first, clause.last)
        found += here
        if i and taken.clauses[i - 1].sentence == clause.sentence:
            least = _ACROSS if here and before else _ACROSS - 1
            both = matches_in(taken.tagged, possible, taken.clauses[i - 1].first, clause.last, least)
            found += [m for m in both if m.pattern.answer != "no" or len(m.pattern.slots) >= _ACROSS]
        before = len(here)
    matches = fullest(found, taken.sentence_of)
    items: list[Item] = []
    dropped: list[frozenset[int]] = []
    for match in matches:
        item = _item(taken, match, knowledge)
        if item is None:
            dropped.append(match.places)
        else:
            items.append(item)
    items += _readings(taken, knowledge) + _topics(taken, items)
    kept = resolve(items, taken.book)
    covered = [i.places for i in items]
    not_understood, elsewhere = leftovers(taken.text, taken.tagged, taken.clauses, taken.cues, covered, dropped)
    loose: dict[str, Any] = {}
    for clause in taken.clauses:
        if not any(p & set(range(clause.first, clause.last)) for p in covered):
            loose |= circumstances(taken.tagged.tokens, clause.first, clause.last)[0]
    heard = tuple(_heard(taken, item) for item in sorted(kept, key=lambda i: (min(i.places), i.finding)))
    return Understanding(heard, loose, tuple(not_understood), tuple(elsewhere), spelling)


def _cues_for(taken: _Text, places: frozenset[int]) -> tuple[list[Cue], int]:
    """The cues of the clauses in which something is said, with a hedge that stands alone in the next or the previous clause."""
    clauses = taken.clauses_at(places)
    opening = {t.word for t in taken.tagged.tokens[clauses[-1].first : clauses[-1].first + 2]}
    anew = opening & _ANEW or taken.tagged.tokens[clauses[-1].last - 1].word in _ANEW
    speaking = clauses[-1:] if len(clauses) > 1 and anew else clauses
    cues = [c for clause in speaking for c in taken.cues[clause]]
    order = list(taken.clauses)
    for beside in (order.index(clauses[-1]) + 1, order.index(clauses[0]) - 1):
        if 0 <= beside < len(order) and order[beside].sentence == clauses[0].sentence and _only_hedge(taken, order[beside]):
            cues += [
                Cue(c.kind, c.at, (clauses[0].first, clauses[-1].last), c.word)
                for c in taken.cues[order[beside]]
                if c.kind in ("hedge", "unlooked", "unknown", "after", "ended")
            ]
    following = order.index(clauses[-1]) + 1
    if following < len(order) and order[following].sentence == clauses[-1].sentence:
        cured = [c for c in taken.cues[order[following]] if c.kind == "cured"]
        cues += [Cue("ended", c.at, (clauses[0].first, clauses[-1].last), c.word) for c in cured]
    return cues, clauses[-1].last


def _only_hedge(taken: _Text, clause: Clause) -> bool:
    inside = {p for c in taken.cues[clause] for p in range(*c.at)}
    return bool(inside) and not any(taken.tagged.known(p) for p in range(clause.first, clause.last) if p not in inside)


def _item(taken: _Text, match: Match, knowledge: Knowledge) -> Item | None:
    """A match with its answer, or nothing where it was feared, asked, or turned into what cannot be said."""
    cues, last = _cues_for(taken, match.places)
    judged = judge(match.places, cues, taken.tagged.tokens, last)
    entry, about, answer = match.pattern.entry, match.pattern.about, match.pattern.answer
    if judged.feared or (judged.negated and _torn(taken, match.places)):
        return None
    if answer == "no" and excepted_inside(match.places, taken.tagged.tokens):
        answer = "yes"
    if judged.negated:
        turned = {"yes": "no", "no": "yes"} | (entry.negated if entry else {})
        if answer not in turned:
            return None
        answer = turned[answer]
    finding = taken.book.themes.get(about, about)
    if judged.silent:
        return Item(about, finding, judged.silent, match.places, len(match.pattern.slots), entry)
    remark = ""
    ordinary = ("no", *knowledge.findings[finding].bands[:1])
    if judged.hedged or (judged.denied and answer not in ordinary):
        remark = "not sure"
        answer = "unknown" if answer in ordinary else "unsure"
    return Item(about, finding, answer, match.places, len(match.pattern.slots), entry, remark, judged.past)


def _torn(taken: _Text, places: frozenset[int]) -> bool:
    """Whether a negation stands in one of several clauses over which a phrase is spread: whom it turns round cannot be said."""
    clauses = taken.clauses_at(places)
    denied = [c for c in clauses if any(cue.kind in ("not", "deny", "past") and not places & set(range(*cue.at)) for cue in taken.cues[c])]
    return len(clauses) > 1 and 0 < len(denied) < len(clauses) and denied[0] is clauses[0]


def _readings(taken: _Text, knowledge: Knowledge) -> list[Item]:
    out = []
    for clause in taken.clauses:
        ends = [c.last for c in taken.clauses if c.sentence == clause.sentence]
        for read in readings_in(taken.tagged, taken.book, clause.first, clause.last, max(ends)):
            if read.finding in knowledge.findings:
                cues, last = _cues_for(taken, read.places)
                unsure = judge(read.places, cues, taken.tagged.tokens, last).hedged
                remark = "; ".join(r for r in (read.remark, "not sure" if unsure else "") if r)
                out.append(Item(read.finding, read.finding, read.answer, read.places, 9, None, remark))
    return out


def _topics(taken: _Text, items: Sequence[Item]) -> list[Item]:
    """'I haven't checked the oil': what is left open."""
    out = []
    for clause in taken.clauses:
        kinds = {c.kind for c in taken.cues[clause]}
        if not kinds & {"unlooked", "unknown"} or any(i.places & set(range(clause.first, clause.last)) for i in items):
            continue
        for match in matches_in(taken.tagged, taken.book.topics, clause.first, clause.last):
            answer = "not_looked_at" if "unlooked" in kinds else "unknown"
            out.append(Item(match.pattern.about, match.pattern.about, answer, match.places, 1, None))
    return out


def _with_denial(taken: _Text, first: int, least: int) -> int:
    """Where the words to be shown begin: with the "never" of "never overheats", which is no part of the phrase."""
    return next((i for i in range(first - 1, max(least, first - 3) - 1, -1) if negative(taken.tagged.tokens[i].word)), first)


def _heard(taken: _Text, item: Item) -> Heard:
    """An observation with its circumstances, who says so, and the words it was taken from."""
    conditions: dict[str, Any] = dict(item.entry.circumstances) if item.entry else {}
    remarks = [item.remark] if item.remark else []
    clauses = taken.clauses_at(item.places)
    for clause in clauses:
        said, assumed = circumstances(taken.tagged.tokens, clause.first, clause.last)
        conditions |= said
        remarks += assumed
    who = speaker(taken.words(clauses[0].first, clauses[-1].last))
    if who:
        conditions["by"] = who
    if item.finding.startswith("history_") or item.answer in ("unknown", "not_looked_at"):
        conditions = {k: v for k, v in conditions.items() if k == "by"}
        remarks = [r for r in remarks if "weather" not in r]
    note = "; ".join(remarks)
    said_words = taken.words(_with_denial(taken, min(item.places), clauses[0].first), max(item.places) + 1)
    observation = Observation.model_validate({"of": item.finding, "answer": item.answer, **conditions, **({"note": note} if note else {})})
    return Heard(observation, said_words, tuple(remarks))
