"""The commissioning card on paper: a table of readings, units in pairs if there are several."""

from collections.abc import Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.platypus import Spacer

from loop.sheet.content import CardGroup, Reading, Sheet
from loop.sheet.faces import INK, RULE, SHADE
from loop.sheet.setting import Setting
from loop.words.job_sheet import SAY

_COLUMNS = ("card-expect", "card-healthy", "card-read")
_ALONE = (0.4, 0.12, 0.32, 0.16)
_PAIRED = (0.205, 0.07, 0.14, 0.075)
_BETWEEN = 0.02


def card_table(sheet: Sheet, setting: Setting) -> Iterator[Any]:
    """Flowables of the card, without its heading."""
    yield blanks(sheet.blanks, setting)
    yield Spacer(0, 0.5 * setting.size)
    narrow = [group for group in sheet.card if group.unit and sheet.several]
    wide = [group for group in sheet.card if group not in narrow]
    for group in wide:
        yield _band([group], _ALONE, setting)
    for first in range(0, len(narrow), 2):
        yield _band(narrow[first : first + 2], _PAIRED, setting)
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
        widths += [_BETWEEN] if widths else []
        left, right, last = len(widths), len(widths) + len(shares) - 1, len(group.readings)
        rules += [
            ("BACKGROUND", (left, 0), (right, 0), SHADE),
            ("LINEBELOW", (left, 0), (right, 0), 0.7, INK),
            ("LINEBELOW", (left, 1), (right - 1, last), 0.4, RULE),
            ("LINEBELOW", (right, 1), (right, last), 0.7, INK),
        ]
        head = [setting.para(f"<b>{escape(group.place)}</b>", "cell")]
        head += [setting.text(SAY(name), "fine") for name in _COLUMNS]
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
