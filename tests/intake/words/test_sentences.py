"""What people say, measured. Expected answers: common practice, no source; sentences.yaml was written before any phrase.

Scored once, before their errors were read: the 80 held out of sentences.yaml: precision 0.94, recall 0.95, 1 negation turned round;
the 60 of fresh.yaml: 0.98, 0.92, none; the 40 of fresh_2.yaml: 0.91, 0.97, none. Their errors have since been mended, so the
scores below are of sentences that are known.

The third set was written by somebody who had seen no phrase, much of it by mechanics about their tests. First scores: the 80 of
fresh_3.yaml 0.79, 0.69, 2 turned round; the 80 of fresh_3_aside.yaml 0.84, 0.74, none. After the errors of fresh_3.yaml alone were mended
(now 0.99, 0.99, none), fresh_3_aside.yaml scores 0.81, 0.77, none: that is what to expect of sentences nobody has seen, short of
the 0.95 and 0.90 that are wanted. What fails in fresh_3_aside.yaml is not read by whoever adjusts phrases.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from word_score import Score, band, score

from diagnose.intake.words.observe import understand
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import load
from diagnose.yamlfile import read

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load()


def _rows(name: str) -> list[dict[str, Any]]:
    return list(read(HERE / name).data)


def _score(rows: list[dict[str, Any]], knowledge: Knowledge) -> Score:
    return score(rows, lambda text: understand(text, knowledge))


@pytest.mark.parametrize("name", ["sentences.yaml", "fresh.yaml", "fresh_2.yaml", "fresh_3.yaml"])
def test_precision_and_recall(name: str, knowledge: Knowledge) -> None:
    """At least 0.95 of what is said is right and 0.90 of what should be heard is heard; no negation is turned round."""
    result = _score(_rows(name), knowledge)
    shown = "\n".join(result.errors)
    assert result.precision >= 0.95, shown
    assert result.recall >= 0.90, shown
    assert not result.reversed, shown
    assert result.elsewhere_right >= 0.9 * result.elsewhere, shown
    assert result.circumstances_right == result.circumstances, shown


def test_set_aside_is_not_lost(knowledge: Knowledge) -> None:
    """The set that nobody mends by: no worse than it was, and nothing turned round. Says no sentence, so that none is tuned to."""
    result = _score(_rows("fresh_3_aside.yaml"), knowledge)
    assert result.precision >= 0.79
    assert result.recall >= 0.74
    assert not result.reversed, f"{len(result.reversed)} turned round"


@pytest.mark.parametrize(("name", "precision", "recall"), [("fresh_4.yaml", 0.79, 0.72), ("fresh_5.yaml", 0.87, 0.71)])
def test_two_later_sets_are_not_lost_and_nothing_is_turned_round(name: str, precision: float, recall: float, knowledge: Knowledge) -> None:
    """Sets of others that are mended by and still short of 0.95 and 0.90: no worse than they were."""
    result = _score(_rows(name), knowledge)
    assert result.precision >= precision
    assert result.recall >= recall
    assert not result.reversed, result.reversed


def test_contraries_are_not_turned_round(knowledge: Knowledge) -> None:
    """Denied, asked, feared, cured, of another car: never the contrary."""
    result = _score(_rows("contraries.yaml"), knowledge)
    shown = "\n".join(result.errors)
    assert len(_rows("contraries.yaml")) >= 60
    assert not result.reversed, shown
    assert result.precision >= 0.95, shown
    assert result.recall >= 0.95, shown


@pytest.mark.slow
def test_three_ways_of_saying_each_finding(knowledge: Knowledge) -> None:
    """What people say for each finding is heard, and never as its contrary."""
    wrong, turned = [], []
    rows = _rows("ways.yaml")
    for row in rows:
        said = {o.of: band(o) for o in understand(row["text"], knowledge).observations}
        got = said.get(row["finding"], "nothing")
        if got != row["answer"]:
            wrong.append(f"{row['text']!r}: {row['finding']} is {got}, not {row['answer']}")
        if {got, row["answer"]} == {"yes", "no"}:
            turned.append(row["text"])
    assert len(rows) >= 600
    assert not turned
    assert len(wrong) <= 0.02 * len(rows), "\n".join(wrong)


def test_enough_sentences_of_each_kind() -> None:
    """A score over few or one-sided sentences says nothing."""
    rows = _rows("sentences.yaml")
    answers = [str(a) for r in rows for a in (r.get("expect") or {}).values()]
    assert len(rows) >= 220
    assert sum(a.startswith("no") for a in answers) >= 30
    assert sum("unsure" in a for a in answers) >= 6
    assert sum(r.get("elsewhere") == "yes" for r in rows) >= 12
    assert sum(r.get("held_out") == "yes" for r in rows) >= 70


def test_the_measure_can_fail(knowledge: Knowledge) -> None:
    """A deaf listener has no recall, one that hears everything as its contrary reverses."""
    deaf = score(_rows("fresh.yaml"), lambda text: understand("nothing here", knowledge))
    assert deaf.recall < 0.1
    wrong = score([{"text": "it never overheats", "expect": {"gauge_hot": "yes"}}], lambda text: understand(text, knowledge))
    assert wrong.reversed
