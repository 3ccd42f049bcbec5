"""The check of rules: language, redundancy, conflict, conditions in vain. Classes after Suwa, Scott and Shortliffe (1982) and
Nguyen and others (1987), both from memory."""

from __future__ import annotations

from diagnose.knowledge.check.report import Report
from diagnose.knowledge.knowledge import Knowledge
from diagnose.rules.check.figures import check_figures
from diagnose.rules.check.pairs import check_pairs
from diagnose.rules.check.reading import read_all
from diagnose.rules.check.single import check_single

__all__ = ["check_rules"]


def check_rules(knowledge: Knowledge) -> list[Report]:
    """All errors and warnings about rules, by file and line. A rule that cannot be read is left out of the comparisons."""
    forms, reports = read_all(knowledge)
    reports += check_figures(knowledge)
    reports += check_single(knowledge, forms)
    reports += check_pairs(knowledge, forms)
    return sorted(set(reports))
