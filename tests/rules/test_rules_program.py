"""The rules decide something; the rule engine is fenced in; threads do not see each other's facts."""

from __future__ import annotations

import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random

import pytest
from simulate import draw

from diagnose.assess import assess
from diagnose.assessment import Assessment
from diagnose.case.case import Case
from diagnose.compiled import compiled
from diagnose.knowledge.knowledge import Knowledge
from diagnose.knowledge.load import folder, load
from diagnose.rules.engine import engine_class

ROOT = Path(__file__).parents[2]


def edited(tmp_path: Path, file: str, before: str, after: str) -> Knowledge:
    """The knowledge with one passage of one file changed."""
    copy = tmp_path / "knowledge"
    shutil.copytree(folder(), copy)
    path = copy / file
    text = path.read_text(encoding="utf-8")
    assert text.count(before) == 1, f"{before!r} stands {text.count(before)} times in {file}"
    path.write_text(text.replace(before, after), encoding="utf-8")
    return load(copy, cache=False)


# A float tester read in propylene glycol: the rule says that it proves nothing. Common practice, no source.
FLOAT_IN_PROPYLENE = Case.model_validate(
    {
        "why_here": "routine",
        "vehicle": {"fuel": "petrol", "cap_on": "radiator", "glycol": "propylene", "lowest_ambient": -30},
        "observations": [{"freeze_margin": "short", "instrument": "hydrometer", "scale": "ethylene", "sample_temperature": 20}],
    }
)


def chance(answer: Assessment, name: str) -> float:
    return next((c.chance for c in (*answer.ranking, *answer.beside) if c.id == name), 0.0)


def test_one_rule_edited_in_yaml_changes_interpretation_urgency_and_explanation(tmp_path: Path, real_knowledge: Knowledge) -> None:
    other = edited(
        tmp_path,
        "rules/interpret_coolant.yaml",
        'then:\n    - {trust: freeze_margin, how_much: none}\n    - {note: "Use a refractometer on its propylene scale."}\n'
        "    - {ask: freeze_margin}\n  because: A float is made for ethylene glycol;",
        'then:\n    - {trust: freeze_margin, how_much: full}\n    - {note: "Believe the float."}\n'
        "  because: The yard says that floats serve for everything;",
    )
    before, after = assess(FLOAT_IN_PROPYLENE, real_knowledge), assess(FLOAT_IN_PROPYLENE, other)
    assert before.understood[0].trust < 0.1 < 0.9 < after.understood[0].trust
    assert before.understood[0].level != after.understood[0].level == "present"
    assert chance(after, "coolant_weak") > chance(before, "coolant_weak") + 0.3
    assert before.urgency != after.urgency
    fired = {f.rule: f for f in after.rules_fired}
    assert "Believe the float." in {n.text for n in after.notes} - {n.text for n in before.notes}
    assert fired["float_in_propylene_frost"].because.startswith("The yard says")
    assert {leader.id for leader in after.leaders} - {leader.id for leader in before.leaders}


def test_one_advising_rule_edited_in_yaml_changes_the_urgency(tmp_path: Path, real_knowledge: Knowledge) -> None:
    case = Case.model_validate({"observations": [{"rough_after_night": "yes"}]})
    rule = "- {{any_fault: stop_now, at_least: {}}}\n  then:\n    - {{urgency: stop_now, for: case}}"
    timid = edited(tmp_path, "rules/urgency.yaml", rule.format("0.35"), rule.format("0.01"))
    before, after = assess(case, real_knowledge), assess(case, timid)
    assert before.urgency != after.urgency == "stop_now"
    assert [c.chance for c in before.ranking] == [c.chance for c in after.ranking]


# The import of the engine leaves nothing behind.


@pytest.mark.parametrize(
    ("what", "code"),
    [
        ("handlers", "import logging; h = logging.NullHandler(); logging.root.addHandler(h); {0}; assert logging.root.handlers == [h]"),
        ("no handler", "import logging; {0}; assert logging.root.handlers == [] and logging.root.level == logging.WARNING"),
        ("collections", "import collections; {0}; assert not hasattr(collections, 'Mapping')"),
    ],
)
def test_importing_the_engine_leaves_logging_and_collections_as_they_were(what: str, code: str) -> None:
    script = code.format("import diagnose.rules.engine")
    done = subprocess.run([sys.executable, "-W", "error", "-c", script], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr


def test_an_engine_class_is_nobody_elses() -> None:
    """Rules keep "their" engine on the class: two makers of the same rules must not share one."""
    assert engine_class("Same", {}) is not engine_class("Same", {})


# Threads.


@pytest.mark.parametrize("each", [4, pytest.param(20, marks=pytest.mark.slow)])
def test_four_threads_answer_as_each_would_alone(each: int, real_knowledge: Knowledge) -> None:
    cases = []
    for seed in range(4 * each):
        rng = Random(seed)
        fault, procedure = rng.choice(sorted(real_knowledge.faults)), rng.choice(sorted(real_knowledge.procedures))
        cases.append(draw(rng, real_knowledge, fault, [procedure])[1])
    alone = [_answer(case, real_knowledge) for case in cases]
    assert len(set(alone)) > len(cases) / 2
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda turn: [_answer(c, real_knowledge) for c in cases[turn::4]], range(4)))
    for turn in range(4):
        assert together[turn] == alone[turn::4]


def _answer(case: Case, knowledge: Knowledge) -> str:
    return assess(case, knowledge, plan=False).model_dump_json()


def test_each_thread_has_engines_of_its_own(real_knowledge: Knowledge) -> None:
    with ThreadPoolExecutor(1) as pool:
        theirs = pool.submit(compiled, real_knowledge).result()
    mine = compiled(real_knowledge)
    assert mine.interpret is not theirs.interpret
    assert mine.weigh is not theirs.weigh
    assert compiled(real_knowledge) is mine
