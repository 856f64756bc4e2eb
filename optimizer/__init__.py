"""The cheapest complete video-surveillance kit for a site, proven cheapest.

>>> import optimizer
>>> answer = optimizer.solve("site.yaml")                      # doctest: +SKIP
>>> answer.status, answer.total                                # doctest: +SKIP
('optimal', '829.58')
>>> optimizer.findings("site.yaml", answer)                    # doctest: +SKIP
[]
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optimizer.errors import InputError
    from optimizer.pricebook import load_book
    from optimizer.questions import (
        alternatives,
        compare,
        explain,
        findings,
        frontier,
        many,
        phases,
        prove,
        solve,
        steps,
        what_if,
        within,
    )
    from optimizer.site import load_site
    from optimizer.solving.answer import Answer

__version__ = "0.1.0"

# Imported when first asked for, so that `leastkit --help` need not load pydantic and a solver.
_HOMES = {
    "Answer": "optimizer.solving.answer",
    "InputError": "optimizer.errors",
    "alternatives": "optimizer.questions",
    "compare": "optimizer.questions",
    "explain": "optimizer.questions",
    "findings": "optimizer.questions",
    "frontier": "optimizer.questions",
    "load_book": "optimizer.pricebook",
    "load_site": "optimizer.site",
    "many": "optimizer.questions",
    "phases": "optimizer.questions",
    "prove": "optimizer.questions",
    "solve": "optimizer.questions",
    "steps": "optimizer.questions",
    "what_if": "optimizer.questions",
    "within": "optimizer.questions",
}

__all__ = [
    "Answer",
    "InputError",
    "alternatives",
    "compare",
    "explain",
    "findings",
    "frontier",
    "load_book",
    "load_site",
    "many",
    "phases",
    "prove",
    "solve",
    "steps",
    "what_if",
    "within",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'optimizer' has no attribute {name!r}")
    value = getattr(importlib.import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
