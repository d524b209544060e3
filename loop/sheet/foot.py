"""The footer of every printed page."""

from typing import Any

from reportlab.lib.units import mm

from loop.sheet.content import Sheet
from loop.sheet.faces import PLAIN, SOFT, drawable
from loop.sheet.paper import MARGIN
from loop.sheet.setting import Setting
from loop.words.job_sheet import SAY


class Foot:
    """Draws the footer of a page: job, version, page number."""

    def __init__(self, sheet: Sheet, setting: Setting) -> None:
        self.setting = setting
        title = sheet.title if len(sheet.title) <= 60 else f"{sheet.title[:59]}…"
        self.text = SAY(
            "foot-paper", title=title, version=sheet.version, digest=sheet.inputs.digest
        )

    def __call__(self, canvas: Any, document: Any) -> None:
        canvas.setFont(PLAIN, 6.5)
        canvas.setFillColor(SOFT)
        canvas.drawString(MARGIN, 8.9 * mm, SAY("foot-warranty"))
        foot = f"{self.text} · {SAY('foot-lost')}" if self.setting.lost else self.text
        canvas.drawString(MARGIN, 6.2 * mm, drawable(foot, PLAIN))
        right = document.pagesize[0] - MARGIN
        canvas.drawRightString(right, 6.2 * mm, SAY("foot-page", page=canvas.getPageNumber()))
