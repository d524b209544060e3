"""The sheet of a loop with what is grave: as found, as fixed, or not to be bought nor started."""

import io

import pytest

from loop.job import parse_job, read_job
from loop.sheet import Sheet, sheet, to_html, to_pdf
from loop.units import show
from loop.words.job_sheet import SAY
from tests.loops import plain_loop
from tests.test_sheet import EXAMPLES

pypdf = pytest.importorskip("pypdf", reason="reading PDFs back needs pypdf")


def test_found_and_fixed_are_told_apart_on_page_and_paper() -> None:
    made = sheet(read_job(next(path for path in EXAMPLES if path.stem == "turnstone")))
    found, fixed = SAY("as-found"), SAY("as-fixed")
    gets = [show(one.condensers[0].flow, "flow", "us") for one in (made.result, made.fixed)]
    assert gets[0] != gets[1]
    assert [(row.state, row.flow) for row in made.units] == [(found, gets[0]), (fixed, gets[1])]
    titles = dict.fromkeys(("drawn-title", "buy-title", "start-title", "clean-title"), fixed)
    titles |= dict.fromkeys(("fact-pump", "fact-priming", "findings-title", "inputs-title"), found)
    page, paper = to_html(made), on_paper(made)
    for row, state in titles.items():
        title = SAY(row) + SAY("of-state", state=state)
        assert f">{title}</" in page
        assert title in paper
    assert not made.waits


def test_a_loop_without_a_known_fix_is_neither_bought_nor_started() -> None:
    """A unit that no pump of the catalogue feeds; the pump's missing bleed could be mended."""
    data = plain_loop()
    del data["part"][6]
    data["condenser"][0]["cooling"] = "200000 BTU/h"
    made = sheet(parse_job(data))
    assert any(one.level == "fault" and not one.actions for one in made.result.findings)
    assert made.waits == SAY("waits")
    assert (made.steps, made.card, made.changes) == ((), (), ())
    assert made.fixed is made.result
    assert {row.state for row in made.units} == {""}
    page, paper = to_html(made), on_paper(made)
    for text in (page, paper):
        assert text.count(SAY("waits")) == 2
        headed = text.index(SAY("buy-title")), text.index(SAY("waits"))
        assert headed[0] < headed[1] < text.index(SAY("buy-hose-suction"))
        assert text.index(SAY("start-title")) < text.rindex(SAY("waits"))
    assert SAY("of-state", state=SAY("as-found")) not in page + paper


def on_paper(made: Sheet) -> str:
    pages = pypdf.PdfReader(io.BytesIO(to_pdf(made))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())
