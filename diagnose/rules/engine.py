"""The only module that imports experta, and what has to be put right around that import.

experta 1.9.4 pins a frozendict that reads `collections.Mapping`, gone since Python 3.10: it is lent for the time of the import
and taken away again. The import also installs a handler on the root logger, which would silence an application's own logging
set-up: the handlers are put back as they were.
"""

from __future__ import annotations

import collections
import collections.abc
import logging
from typing import Any

_lent = not hasattr(collections, "Mapping")
_handlers = list(logging.root.handlers)
_level = logging.root.level
if _lent:
    collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
try:
    from experta import AS, MATCH, Fact, KnowledgeEngine, P, Rule
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.utils import prepare_rule
finally:
    if _lent:
        del collections.Mapping  # type: ignore[attr-defined]
    logging.root.handlers[:] = _handlers
    logging.root.setLevel(_level)

__all__ = ["AS", "MATCH", "Fact", "KnowledgeEngine", "P", "Rule", "engine_class"]


class _Matcher(ReteMatcher):  # type: ignore[misc]
    """Brings a rule into the form that it matches by once, not once for each engine that the rule stands in: half the cost of one."""

    @staticmethod
    def prepare_ruleset(engine: Any) -> set[Any]:
        return {_prepared(rule) for rule in engine.get_rules()}


def _prepared(rule: Any) -> Any:
    held = getattr(rule, "prepared", None)
    if held is None:
        held = rule.prepared = prepare_rule(rule)
    return held


class _Engine(KnowledgeEngine):  # type: ignore[misc]
    __matcher__ = _Matcher


def engine_class(name: str, rules: dict[str, Any]) -> type[Any]:
    """A fresh engine class with `rules` (attribute name -> decorated function). No DefFacts, ever.

    A rule may stand in several engines: what it matches lives in the engine, and it calls the function that it was made of.
    """
    return type(name, (_Engine,), dict(rules))
