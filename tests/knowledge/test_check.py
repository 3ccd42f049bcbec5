"""The check of knowledge: each class of problem once, in a small knowledge that is otherwise sound; then the real one.

Classes after Suwa, Scott and Shortliffe (1982) and Nguyen, Perkins, Laffey and Pecora (1987), both from memory.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from knowledge_gallery import FILES, SOUND, knowledge_of, picture

from diagnose.case.case import Case
from diagnose.errors import KnowledgeError
from diagnose.intake.words.check import CODE, check_complaints
from diagnose.knowledge.check import check
from diagnose.knowledge.check.report import Report
from diagnose.knowledge.check.separation import signature, telling
from diagnose.knowledge.check.summary import expected_faults, information, summary
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import folder, load
from diagnose.plan.check import check_prices
from diagnose.rank.check import told, widths
from diagnose.rules.check import check_rules

ROOT = Path(__file__).parents[2] / "diagnose"


def everything(knowledge: Knowledge, root: Path) -> list[Report]:
    return [*check(knowledge), *check_rules(knowledge), *check_prices(knowledge), *check_complaints(root, knowledge)]


@pytest.fixture(scope="module")
def real() -> Knowledge:
    return load(folder(), cache=False)


@pytest.fixture(scope="module")
def reports(real: Knowledge) -> list[Report]:
    return everything(real, folder())


def test_a_sound_knowledge_gets_no_report(tmp_path: Path) -> None:
    assert [str(r) for r in everything(knowledge_of(SOUND, tmp_path), tmp_path)] == []


@pytest.mark.parametrize("file", FILES, ids=lambda p: p.stem)
def test_the_gallery_of_broken_knowledge(file: Path, tmp_path: Path) -> None:
    shown = picture(file)
    if shown.severity == "refused":
        with pytest.raises(KnowledgeError) as caught:
            knowledge_of(shown.data, tmp_path)
        told = [p for p in caught.value.problems if shown.id in p.message]
        assert told
        assert all(p.file and p.line for p in told)
        assert any(all(word in str(p) for word in shown.words) for p in told), str(caught.value)
        return
    found = everything(knowledge_of(shown.data, tmp_path), tmp_path)
    told_ = [r for r in found if (r.severity, r.code, r.id) == (shown.severity, shown.code, shown.id)]
    assert any(all(word in str(r) for word in shown.words) for r in told_), "\n".join(map(str, found))
    assert all(r.file.endswith(".yaml") and r.line > 0 for r in told_)


def test_every_code_has_its_picture() -> None:
    sources = [*(ROOT / "knowledge" / "check").glob("*.py"), *(ROOT / "rules" / "check").glob("*.py"), ROOT / "plan" / "check.py"]
    used = {c for s in sources for c in re.findall(r'(?:error|warning)\(\s*knowledge, "(\w+)"', s.read_text(encoding="utf-8"))}
    used |= {"banned_word", "spelling", CODE}  # told by one function; of the phrases
    assert used == {picture(f).code for f in FILES} - {""}


def test_a_note_that_names_the_code_explains_a_warning(tmp_path: Path) -> None:
    shown = picture(Path(__file__).parent / "broken" / "a_part_with_one_state.yaml")
    hose = next(e for e in shown.data["faults"] if e["id"] == "hose_leaks")
    hose["note"] = "[one_state] its other states are still to be written."
    found = everything(knowledge_of(shown.data, tmp_path), tmp_path)
    assert [(r.code, r.explained) for r in found] == [("one_state", True)]
    assert summary(found) == "0 errors, 0 warnings, 1 more explained in place."


def test_a_note_explains_no_error(tmp_path: Path) -> None:
    shown = picture(Path(__file__).parent / "broken" / "a_fault_that_shows_nothing.yaml")
    next(e for e in shown.data["faults"] if e["id"] == "spilt_at_filling")["note"] = "[shows_nothing] on purpose."
    found = [r for r in everything(knowledge_of(shown.data, tmp_path), tmp_path) if r.code == "shows_nothing"]
    assert [r.explained for r in found] == [False]


def test_the_expected_number_of_faults_is_the_sum_of_priors_of_real_faults(tmp_path: Path) -> None:
    knowledge = knowledge_of(SOUND, tmp_path)
    assert expected_faults(knowledge, "complaint") == pytest.approx(0.06 + 0.006 + 0.06)
    assert any("0.13" in line for line in information(knowledge))


def test_the_real_knowledge_has_no_error(reports: list[Report]) -> None:
    assert [str(r) for r in reports if r.severity == "error"] == []


def test_every_warning_about_the_real_knowledge_is_explained_in_place(reports: list[Report]) -> None:
    assert [str(r) for r in reports if not r.explained] == []


def test_the_real_priors_expect_about_one_fault_behind_a_complaint(real: Knowledge) -> None:
    """A vehicle with a complaint has about one fault on average, and fewer at a routine look (common practice, no source)."""
    assert 0.5 <= expected_faults(real, "complaint") <= 2.0
    assert expected_faults(real, "routine") < expected_faults(real, "complaint")


def test_the_widest_clique_is_told_with_its_case(tmp_path: Path) -> None:
    knowledge = knowledge_of(SOUND, tmp_path)
    seen = Case.model_validate({"observations": [{"puddle": "yes"}, {"level_cold": "low"}, {"hot_smell": "unknown"}]})
    found = widths(knowledge, {"a wet floor": seen, "nothing looked at": Case()})
    assert [w.case for w in found] == ["a wet floor"]
    assert found[0].exact
    assert found[0].width >= 2 * 3  # at least a yes/no finding or a three-banded one beside a cause
    assert "a wet floor" in told(found)
    assert "all 1 cases are exact" in told(found)


def test_the_finding_that_tells_two_faults_apart_is_named(tmp_path: Path) -> None:
    knowledge = knowledge_of(SOUND, tmp_path)
    finding, differs = telling(knowledge, signature(knowledge, "spilt_at_filling"), signature(knowledge, "cap_stuck"))
    assert finding == "hot_smell"
    # by hand: P(smell | spilt) = 1 - 0.95 × 0.05; P(smell | cap stuck) = the misreading, 0.05
    assert differs == pytest.approx((1 - 0.95 * 0.05) - 0.05)
