"""The knowledge does what the register says that it is about; and the register has a line for everything.

The register (register/rules.txt, register/links.txt) is a second book, kept by people: facts of the trade without numbers, common
practice, no source. It is not made from the knowledge when the tests run, so what is spoilt in one stands against the other.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.schema import Link, Rule

from . import link_lines, register, rule_lines

SHARES = 6


@cache
def kept_rules() -> dict[str, tuple[str, str]]:
    return register.rules()


@pytest.mark.parametrize("share", range(SHARES))
def test_every_rule_speaks_in_its_situation_and_is_silent_where_one_part_of_it_is_missing(share: int, real_knowledge: Knowledge) -> None:
    names = sorted({*real_knowledge.rules, *kept_rules()})[share::SHARES]
    told = register.complaints(real_knowledge, kept_rules(), list(link_lines.drafts(real_knowledge)), names)
    assert not told, "\n".join(told)


def test_every_link_event_urgency_and_need_is_in_the_register_and_the_other_way_round(real_knowledge: Knowledge) -> None:
    told = register.complaints(real_knowledge, {}, register.links(), [])
    assert not told, "\n".join(told)


def test_what_is_missing_is_told_with_the_command_that_drafts_it(real_knowledge: Knowledge) -> None:
    without = {k: v for k, v in kept_rules().items() if k != "vapour_in_the_cold"}
    told = register.complaints(real_knowledge, without, register.links(), ["vapour_in_the_cold"])
    assert len(told) == 1
    assert register.COMMAND in told[0]
    assert "observed white_exhaust answer=yes!no" in told[0]
    told = register.complaints(real_knowledge, {}, register.links()[1:], [])
    assert len(told) == 1
    assert register.COMMAND in told[0]


def test_the_command_drafts_what_is_missing_and_leaves_what_is_there(
    real_knowledge: Knowledge, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = register.links()
    other = "head_gasket_gas is next_service"
    monkeypatch.setattr(register, "RULES", tmp_path / "rules.txt")
    monkeypatch.setattr(register, "LINKS", tmp_path / "links.txt")
    assert len(register.write_missing(real_knowledge)) == len(lines) + len(real_knowledge.rules)
    kept = [line for line in lines if line not in ("head_gasket_gas is stop_now", "brakes_binding is stop_now")]
    register.LINKS.write_text("\n".join([*kept, other, "no_such_fault > wet_carpet"]), encoding="utf-8")
    assert register.write_missing(real_knowledge) == ["brakes_binding is stop_now"]
    assert other in register.links()
    assert register.drop_gone(real_knowledge) == ["no_such_fault > wet_carpet"]


def spoilt(knowledge: Knowledge, rule: Rule) -> list[str]:
    other = replace(knowledge, rules={**knowledge.rules, rule.id: rule})
    return list(rule_lines.broken(rule.id, kept_rules()[rule.id], other))


def test_a_dropped_or_turned_condition_is_noticed(real_knowledge: Knowledge) -> None:
    rule = real_knowledge.rules["vapour_in_the_cold"]
    item = dict(rule.when[0])
    for changed in ({**item, "answer": "no"}, {k: v for k, v in item.items() if k != "ambient"}, {**item, "ambient": {"above": 10}}):
        assert spoilt(real_knowledge, rule.model_copy(update={"when": (changed,)}))
    full = {"trust": "white_exhaust", "how_much": "full"}
    assert spoilt(real_knowledge, rule.model_copy(update={"then": (full, *rule.then[1:])}))


def test_a_limit_moved_a_little_needs_no_new_line(real_knowledge: Knowledge) -> None:
    rule = real_knowledge.rules["vapour_in_the_cold"]
    moved = {**rule.when[0], "ambient": {"below": "11 degC"}}
    assert not spoilt(real_knowledge, rule.model_copy(update={"when": (moved,)}))


def test_a_number_of_a_link_needs_no_new_line_and_another_sign_does(real_knowledge: Knowledge) -> None:
    effect = real_knowledge.effects["gas_in_coolant"]
    first: Link = effect.shows[0]
    for update, told in (({"chance": 0.83}, False), ({"finding": "wet_carpet"}, True)):
        other = effect.model_copy(update={"shows": (first.model_copy(update=update), *effect.shows[1:])})
        knowledge = replace(real_knowledge, effects={**real_knowledge.effects, effect.id: other})
        assert bool(register.complaints(knowledge, {}, register.links(), [])) is told


def test_a_line_that_cannot_be_read_and_a_second_line_are_refused() -> None:
    with pytest.raises(ValueError, match="not a line"):
        rule_lines.read_lines("vapour_in_the_cold observed white_exhaust")
    line = "a_rule: observed white_exhaust answer=yes!no => note\n"
    with pytest.raises(ValueError, match="second one"):
        rule_lines.read_lines(line + line)
