"""The foot of every page of paper."""

from typing import Any

from reportlab.lib.units import mm

from loop.sheet.content import Sheet
from loop.sheet.faces import PLAIN, SOFT, drawable
from loop.sheet.paper import MARGIN
from loop.sheet.setting import Setting

_LOST = "? stands for a character that is in none of this paper's typefaces"


class Foot:
    """Drawn under every page: which job, which version, which page."""

    def __init__(self, sheet: Sheet, setting: Setting) -> None:
        self.setting = setting
        title = sheet.title if len(sheet.title) <= 60 else f"{sheet.title[:59]}…"
        self.text = f"{title} · loop {sheet.version} · inputs {sheet.inputs.digest}"

    def __call__(self, canvas: Any, document: Any) -> None:
        canvas.setFont(PLAIN, 6.5)
        canvas.setFillColor(SOFT)
        foot = f"{self.text} · {_LOST}" if self.setting.lost else self.text
        canvas.drawString(MARGIN, 7 * mm, drawable(foot, PLAIN))
        right = document.pagesize[0] - MARGIN
        canvas.drawRightString(right, 7 * mm, f"Page {canvas.getPageNumber()}")
