"""Sheets of loops whose names and notes are as long as a file may have them."""

import io
import time

import pytest
from pypdf import PdfReader

from loop.job import Job, parse_job
from loop.sheet import to_html, to_pdf
from loop.sheet.compose import sheet
from loop.sheet.setting import Setting
from loop.words.job_sheet import SAY
from tests.loops import plain_loop

UNITS = 40


def in_line() -> Job:
    """Forty small units in series on one hose, alternately with names of words and without."""
    data = plain_loop()
    kinds = ("the long name of a cabin on the boat, forward, no. {}", "W" * 57 + "{}")
    names = [kinds[number % 2].format(number) for number in range(UNITS)]
    data["condenser"] = [{"name": each, "cooling": "1000 BTU/h"} for each in names]
    unit = {"kind": "condenser", "loss": "0.1 psi at 240 gal/h"}
    data["part"][8:9] = [{**unit, "serves": each, "label": each} for each in names]
    return parse_job({**data, "title": "long " * 40})


def test_forty_units_with_long_names_make_a_sheet_in_time() -> None:
    began = time.process_time()
    made = sheet(in_line())
    paper = PdfReader(io.BytesIO(to_pdf(made)))
    page = to_html(made)
    assert time.process_time() - began < 15.0
    before = SAY("card-units-before", count=39)
    assert before in " ".join(page.split())
    text = " ".join(" ".join(page.extract_text().split()) for page in paper.pages)
    assert before in text


def test_a_row_higher_than_its_frame_goes_on_in_the_next() -> None:
    setting = Setting(8.6, 500.0)
    table = setting.table([[setting.text("word " * 3000, "cell"), ""]], (0.1, 0.9), [])
    _, height = table.wrap(500.0, 700.0)
    assert height > 700
    first, rest = table.split(500.0, 700.0)
    assert first.wrap(500.0, 700.0)[1] <= 700
    assert rest.wrap(500.0, 1e6)[1] == pytest.approx(height - first.wrap(500.0, 700.0)[1], abs=20)
