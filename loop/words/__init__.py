"""Findings and actions as data, and every sentence that is made of them.

Its names are loaded when first asked for: `loop.words.help`, which is read before anything else,
costs nothing then.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loop.words.actions import Action as Action
    from loop.words.codes import CODES as CODES
    from loop.words.finding import LEVELS as LEVELS
    from loop.words.finding import Finding as Finding
    from loop.words.finding import Level as Level
    from loop.words.finding import Place as Place
    from loop.words.grouping import Told as Told
    from loop.words.grouping import grouped as grouped
    from loop.words.grouping import told as told
    from loop.words.said import Said as Said
    from loop.words.said import say as say
    from loop.words.template import Value as Value

_HOMES = {
    "actions": ("Action",),
    "codes": ("CODES",),
    "finding": ("LEVELS", "Finding", "Level", "Place"),
    "grouping": ("Told", "grouped", "told"),
    "said": ("Said", "say"),
    "template": ("Value",),
}
_HOME = {name: module for module, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(importlib.import_module(f"loop.words.{_HOME[name]}"), name)
    globals()[name] = found
    return found
