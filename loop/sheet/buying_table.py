"""The shopping list on paper, in two columns where the sheet is crowded."""

import math
from typing import Any
from xml.sax.saxutils import escape

from loop.sheet.content import Item, Sheet
from loop.sheet.faces import INK, RULE
from loop.sheet.setting import RULED, Setting

_NAMES = ("How much", "What", "Size", "Note")
_ALONE = (0.1, 0.27, 0.27, 0.36)
_HALF = (0.06, 0.28, 0.15)
_BETWEEN = 0.02


def buying_table(sheet: Sheet, setting: Setting) -> Any:
    """A table of the list; of two columns, the left one is read first."""
    if not sheet.crowded:
        rows = [[setting.text(name, "fine") for name in _NAMES]]
        rows += [_whole(item, setting) for item in sheet.items]
        return setting.table(rows, _ALONE, RULED, repeat=1)
    half = math.ceil(len(sheet.items) / 2)
    left, right = sheet.items[:half], sheet.items[half:]
    none: list[Any] = ["", "", ""]
    rows = [
        [*_short(item, setting), "", *(_short(right[n], setting) if n < len(right) else none)]
        for n, item in enumerate(left)
    ]
    names = [setting.text(name, "fine") for name in ("Buy", "What, and its size", "Note")]
    rules = []
    for first, count in ((0, len(left)), (4, len(right))):
        rules += [
            ("LINEBELOW", (first, 0), (first + 2, 0), 0.7, INK),
            ("LINEBELOW", (first, 1), (first + 2, count), 0.4, RULE),
        ]
    shares = (*_HALF, _BETWEEN, *_HALF)
    return setting.table([[*names, "", *names], *rows], shares, rules, repeat=1)


def _whole(item: Item, setting: Setting) -> list[Any]:
    texts = (escape(item.what), escape(item.size), setting.soft(item.note))
    return [setting.para(text, "cell") for text in (f"<b>{item.count}</b>", *texts)]


def _short(item: Item, setting: Setting) -> list[Any]:
    what = f"{escape(item.what)}, {escape(item.size)}"
    texts = (f"<b>{item.count}</b>", what, setting.soft(item.note))
    return [setting.para(text, "cell") for text in texts]
