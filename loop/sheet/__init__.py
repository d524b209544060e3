"""The job sheet: one content, as a page for the browser and as a PDF."""

from loop.check import CheckResult
from loop.job import Job
from loop.sheet.compose import sheet
from loop.sheet.content import Sheet

__all__ = ["Sheet", "sheet", "to_html", "to_pdf"]


def to_html(sheet: Sheet | CheckResult | Job) -> str:
    """The sheet as one self-contained HTML file."""
    from loop.sheet.html import render

    return render(_sheet_of(sheet))


def to_pdf(sheet: Sheet | CheckResult | Job) -> bytes:
    """The sheet as a PDF: US Letter or A4 by the job's units, on two pages if it fits."""
    from loop.sheet.pdf import render

    return render(_sheet_of(sheet))


def _sheet_of(given: Sheet | CheckResult | Job) -> Sheet:
    return given if isinstance(given, Sheet) else sheet(given)
