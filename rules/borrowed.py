"""The names that come from experta. No other module imports it.

experta pins a frozendict that asks for ``collections.Mapping``, a name that Python dropped in 3.10; it is lent for the
length of the import and taken away again. So is the root log handler that experta installs.
"""

from __future__ import annotations

import collections
import collections.abc
import importlib
import logging
from typing import Any


def _import_experta() -> tuple[Any, ...]:
    """Import experta with the name it lacks, and leave ``collections`` and the root logger as they were."""
    lent = not hasattr(collections, "Mapping")
    handlers = list(logging.root.handlers)
    if lent:
        collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
    try:
        names = (
            ("experta.abstract", "Matcher"),
            ("experta.abstract", "Strategy"),
            ("experta.conditionalelement", "AND"),
            ("experta.conditionalelement", "NOT"),
            ("experta.conditionalelement", "OR"),
            ("experta.conditionalelement", "TEST"),
            ("experta.engine", "KnowledgeEngine"),
            ("experta.fact", "Fact"),
            ("experta.fieldconstraint", "ANDFC"),
            ("experta.fieldconstraint", "L"),
            ("experta.fieldconstraint", "NOTFC"),
            ("experta.fieldconstraint", "P"),
            ("experta.fieldconstraint", "W"),
            ("experta.rule", "Rule"),
            ("experta.shortcuts", "MATCH"),
        )
        return tuple(getattr(importlib.import_module(module), name) for module, name in names)
    finally:
        if lent:
            del collections.Mapping  # type: ignore[attr-defined]
        logging.root.handlers[:] = handlers


(Matcher, Strategy, AND, NOT, OR, TEST, KnowledgeEngine, Fact, ANDFC, L, NOTFC, P, W, Rule, MATCH) = _import_experta()
