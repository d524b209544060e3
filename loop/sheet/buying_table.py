"""The shopping list on paper, in two columns on a crowded sheet."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak

from loop.sheet.content import Item, Sheet
from loop.sheet.faces import INK, RULE
from loop.sheet.setting import RULED, Setting
from loop.sheet.tied import tie
from loop.words.job_sheet import SAY

_NAMES = ("buy-count", "buy-what", "buy-size", "buy-note")
_ALONE = (0.1, 0.27, 0.27, 0.36)
# First column of a narrow table, as a share of the page; it holds a length.
_COUNT = 0.075
_BETWEEN = 0.02


def buying(
    sheet: Sheet, setting: Setting, table: Callable[[Sequence[Item], Setting, str], Any]
) -> Iterator[Any]:
    """What to buy for the fixes, then everything in the loop, each under its heading."""
    # The table may break between rows, so the heading is kept only with the first few of them.
    if sheet.to_buy or sheet.waits:
        title = SAY("buy-title")
        yield CondPageBreak(8 * setting.size)
        yield setting.text(title, "above")
        yield from waits(sheet, setting)
        if sheet.to_buy:
            yield table(sheet.to_buy, setting, title)
    title = SAY("whole-title") + sheet.mended
    yield CondPageBreak(8 * setting.size)
    yield setting.text(title, "above")
    yield table(sheet.items, setting, title)
    yield setting.text(sheet.items_note, "fine")


def waits(sheet: Sheet, setting: Setting) -> Iterator[Any]:
    """The warning not to buy or start anything yet, if it applies."""
    if sheet.waits:
        yield setting.para(f"<b>{escape(sheet.waits)}</b>", "body")


def buying_table(items: Sequence[Item], setting: Setting, title: str, crowded: bool) -> Any:
    """The list as a table; if `crowded`, in two columns, the left one read first.

    A table that breaks over pages repeats its `title`.
    """
    again = SAY("buy-continued", title=title)
    if not crowded:
        rows = [[setting.text(SAY(name), "fine") for name in _NAMES]]
        rows += [_whole(item, setting) for item in items]
        return setting.table(rows, _ALONE, RULED, repeat=1, heading=again)
    half = math.ceil(len(items) / 2)
    left, right = items[:half], items[half:]
    rows = [
        [*_short(item, setting), "", *(_short(right[n], setting) if n < len(right) else ("", ""))]
        for n, item in enumerate(left)
    ]
    names = _short_names(setting)
    rules = []
    for first, count in ((0, len(left)), (3, len(right))):
        rules += [
            ("LINEBELOW", (first, 0), (first + 1, 0), 0.7, INK),
            ("LINEBELOW", (first, 1), (first + 1, count), 0.4, RULE),
        ]
    narrow = (_COUNT, (1 - _BETWEEN) / 2 - _COUNT)
    shares = (*narrow, _BETWEEN, *narrow)
    return setting.table([[*names, "", *names], *rows], shares, rules, repeat=1, heading=again)


def narrow_table(items: Sequence[Item], setting: Setting, title: str, width: float) -> Any:
    """The list in one column `width` [pt] wide."""
    rows = [_short_names(setting), *(_short(item, setting) for item in items)]
    shares = (_COUNT, width / setting.width - _COUNT)
    again = SAY("buy-continued", title=title)
    return setting.table(rows, shares, RULED, repeat=1, heading=again)


def _short_names(setting: Setting) -> list[Any]:
    return [setting.text(SAY(name), "fine") for name in ("buy-short", "buy-all")]


def _whole(item: Item, setting: Setting) -> list[Any]:
    texts = (escape(item.what), escape(item.size), setting.soft(item.remark))
    return [setting.para(text, "cell") for text in (f"<b>{tie(item.count)}</b>", *texts)]


def _short(item: Item, setting: Setting) -> list[Any]:
    what = f"{escape(item.what)}, {escape(tie(item.size))} {setting.soft(item.remark)}"
    return [setting.para(text, "cell") for text in (f"<b>{tie(item.count)}</b>", what)]
