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
finally:
    if _lent:
        del collections.Mapping  # type: ignore[attr-defined]
    logging.root.handlers[:] = _handlers
    logging.root.setLevel(_level)

__all__ = ["AS", "MATCH", "Fact", "KnowledgeEngine", "P", "Rule", "engine_class"]


def engine_class(name: str, rules: dict[str, Any]) -> type[Any]:
    """A fresh engine class with `rules` (attribute name -> decorated function).

    Each caller makes its own: rules keep "their" engine on the class, so two live engines never share one. No DefFacts, ever.
    """
    return type(name, (KnowledgeEngine,), dict(rules))
