"""The sheet's tables on paper: the shopping list, and the commissioning card."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import CondPageBreak, Spacer

from loop.sheet.content import CardGroup, Item, Reading, Sheet
from loop.sheet.faces import INK, RULE, SHADE
from loop.sheet.setting import RULED, Setting
from loop.sheet.tied import tie
from loop.words.job_sheet import SAY

_NAMES = ("buy-count", "buy-what", "buy-size", "buy-note")
_ALONE = (0.1, 0.27, 0.27, 0.36)
# First column of a narrow table, as a share of the page; it holds a length.
_COUNT = 0.075
_GAP = 0.02
_CARD_COLUMNS = ("card-expect", "card-healthy", "card-read")
_CARD_ALONE = (0.4, 0.12, 0.32, 0.16)
_CARD_PAIRED = (0.205, 0.07, 0.14, 0.075)


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
    narrow = (_COUNT, (1 - _GAP) / 2 - _COUNT)
    shares = (*narrow, _GAP, *narrow)
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


def card_table(sheet: Sheet, setting: Setting) -> Iterator[Any]:
    """Flowables of the card, without its heading."""
    yield blanks(sheet.blanks, setting)
    yield Spacer(0, 0.5 * setting.size)
    narrow = [group for group in sheet.card if group.unit and sheet.several]
    wide = [group for group in sheet.card if group not in narrow]
    for group in wide:
        yield _band([group], _CARD_ALONE, setting)
    for first in range(0, len(narrow), 2):
        yield _band(narrow[first : first + 2], _CARD_PAIRED, setting)
    yield Spacer(0, 0.3 * setting.size)
    yield setting.text(sheet.card_note, "fine")


def blanks(names: Sequence[str], setting: Setting) -> Any:
    """Lines to fill in by hand, labeled above."""
    rules = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.7, INK),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 8),
    ]
    cells = [setting.text(name, "fine") for name in names]
    return setting.table([cells], [1 / len(cells)] * len(cells), rules)


def _band(groups: list[CardGroup], shares: tuple[float, ...], setting: Setting) -> Any:
    """One group across the table's width, or two side by side, each with its own header row."""
    rows: list[list[Any]] = [[] for _ in range(1 + max(len(g.readings) for g in groups))]
    widths: list[float] = []
    rules: list[Any] = []
    for group in groups:
        for row in rows if widths else []:
            row.append("")
        widths += [_GAP] if widths else []
        left, right, last = len(widths), len(widths) + len(shares) - 1, len(group.readings)
        rules += [
            ("BACKGROUND", (left, 0), (right, 0), SHADE),
            ("LINEBELOW", (left, 0), (right, 0), 0.7, INK),
            ("LINEBELOW", (left, 1), (right - 1, last), 0.4, RULE),
            ("LINEBELOW", (right, 1), (right, last), 0.7, INK),
        ]
        head = [setting.para(f"<b>{escape(group.place)}</b>", "cell")]
        head += [setting.text(SAY(name), "fine") for name in _CARD_COLUMNS]
        cells = [head, *(_reading(reading, setting) for reading in group.readings)]
        cells += [[""] * len(shares)] * (len(rows) - len(cells))
        for row, added in zip(rows, cells, strict=True):
            row += added
        widths += shares
    return setting.table(rows, widths, rules, repeat=1)


def _reading(reading: Reading, setting: Setting) -> list[Any]:
    note = f" {setting.soft(reading.note)}" if reading.note else ""
    texts = (
        f"{escape(reading.name)} {setting.soft(reading.how)}",
        f"<b>{escape(reading.expected)}</b>",
        f"{escape(reading.healthy)}{note}",
    )
    return [*(setting.para(text, "cell") for text in texts), ""]
