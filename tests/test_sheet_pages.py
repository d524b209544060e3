"""The job sheet as a page and as a PDF: complete, readable, self-contained, accessible."""

import html
import io
import json
import os
import re
import shutil
import subprocess
import tempfile
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from loop.job import Job, parse_job
from loop.sheet import Sheet, sheet, to_html, to_pdf
from loop.words.job_sheet import SAY
from tests.browser import CHROMIUM
from tests.loops import plain_loop
from tests.test_sheet import two_units

pypdf = pytest.importorskip("pypdf", reason="reading PDFs back needs pypdf")

HERE = Path(__file__).parent
_MEASURED = re.compile(r'<pre id="answer">(.*?)</pre>', re.DOTALL)


def awkward() -> Job:
    """Four units, texts that break pages: long, foreign, and with markup."""
    data = two_units()
    long = "a-name-without-any-space-as-long-as-a-name-may-be-sixty-long"
    names = ["<script>alert(1)</script>", long, "ψυγείο", 'd & "e"']
    branch = data["part"][-1]["branch"][1]
    data["part"][-1]["branch"] = [
        {"name": f"way {name}"[:60], "part": [*branch["part"][:2], *branch["part"][2:]]}
        for name in names
    ]
    for name, way in zip(names, data["part"][-1]["branch"], strict=True):
        way["part"] = [
            part | {"serves": name} if part["kind"] == "condenser" else part for part in way["part"]
        ]
    units = [{"name": name, "cooling": "7000 BTU/h"} for name in names]
    return parse_job(data | {"condenser": units, "title": f"<b>{long}</b> & {long * 2}"})


def unwell() -> Job:
    """One unit whose loop has so much wrong with it that there are many findings."""
    data = plain_loop()
    data["part"][7] |= {"length": "30 ft", "via": ["60 in", "-8 in", "50 in"], "bore": "1-1/4 in"}
    del data["part"][6]
    return parse_job(data)


def crammed() -> Job:
    """Two units and many findings: too much for two pages unless the parts flow together."""
    data = two_units(open="95 %")
    high_point = {"length": "30 ft", "bore": "1-1/4 in", "via": ["60 in", "-8 in"], "to": "0 in"}
    data["part"][7:7] = [{"kind": "hose", **high_point}, {"kind": "elbow", "bore": "5/8 in"}]
    return parse_job(data)


JOBS = {
    "plain": lambda: parse_job(plain_loop()),
    "si": lambda: parse_job(plain_loop() | {"units": "si"}),
    "two": lambda: parse_job(two_units()),
    "unwell": unwell,
    "shut": lambda: parse_job(two_units(open="0 %")),
    "crammed": crammed,
    "awkward": awkward,
}
EXAMINED = ["plain", "awkward", pytest.param("shut", marks=pytest.mark.extended)]
SHORT = ("plain", "si", "two", "unwell", "crammed")


@cache
def made_of(name: str) -> Sheet:
    return sheet(JOBS[name]())


@cache
def page(name: str) -> str:
    return to_html(made_of(name))


@cache
def paper(name: str) -> bytes:
    return to_pdf(made_of(name))


class Outline(HTMLParser):
    """Headings, table headers without scope, and URLs that a browser would fetch."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.headings: list[int] = []
        self.without_scope = 0
        self.fetched: list[str] = []
        self.tags: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.tags.append(tag)
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "th" and "scope" not in named:
            self.without_scope += 1
        for key in ("src", "href", "xlink:href", "srcset", "action", "data", "poster"):
            value = named.get(key)
            if value and not value.startswith("#"):
                self.fetched.append(value)


@pytest.mark.parametrize("name", JOBS)
def test_page_is_one_file_with_an_outline(name: str) -> None:
    text = page(name)
    seen = Outline(text)
    assert seen.fetched == []
    assert re.findall(r"url\((?!['\"]?#)", text) == []
    assert "@import" not in text
    assert {"script", "link", "iframe", "object"}.isdisjoint(seen.tags)
    assert seen.headings[0] == 1
    assert seen.headings.count(1) == 1
    assert set(seen.headings[1:]) == {2}
    assert seen.without_scope == 0
    assert '<html lang="en">' in text
    assert seen.tags.count("svg") == 2  # one for wide screens and paper, one for narrow screens
    named = re.findall(r'\bid="([^"]*)"', text)
    assert sorted(set(named)) == sorted(named)
    assert set(re.findall(r'(?:url\(|href=")#([^)"]*)', text)) <= set(named)
    assert {"header", "main", "footer"} <= set(seen.tags)


@pytest.mark.parametrize("name", ["plain", "unwell", "crammed", "awkward"])
def test_page_and_paper_hold_all_of_the_sheet(name: str) -> None:
    made = made_of(name)
    said = [made.title, made.verdict_line, *made.steps, *made.cleaning, *made.result.cautions]
    said += [text for finding in made.findings for text in (finding.first_fix, finding.source)]
    said += [text for item in made.items for text in (item.what, item.size, item.note)]
    said += [
        text
        for group in made.card
        for reading in group.readings
        for text in (group.place, reading.name, reading.how, reading.expected, reading.healthy)
    ]
    said += [text for basis in (*made.sources, *made.estimates) for text in (basis.what, basis.on)]
    said += [made.version, made.inputs.digest, *made.inputs.job.splitlines()]
    said += made.blanks if made.card else [made.card_waits]
    pages = pypdf.PdfReader(io.BytesIO(paper(name))).pages
    on_page = bare(
        html.unescape(re.sub(r"<(style|svg).*?</\1>|<[^>]*>", "", page(name), flags=re.S))
    )
    on_paper = bare("".join(one.extract_text() for one in pages))
    assert [text for text in said if bare(text) not in on_page] == []
    # A text that continues over a page break has one of its halves whole.
    assert [text for text in said if not any(h in on_paper for h in halves(bare(text)))] == []


def bare(text: str) -> str:
    """Text without spaces, capitals and hyphens, which line breaks may change."""
    return re.sub(r"\s", "", text).lower()


def halves(text: str) -> tuple[str, str]:
    """A text in two."""
    return text[: len(text) // 2], text[len(text) // 2 :]


def test_what_paper_cannot_show_is_told() -> None:
    said = "Boat 船 قارب 🚤 ψυγείο Ёж"
    made = sheet(parse_job(plain_loop() | {"title": said}))
    first = pypdf.PdfReader(io.BytesIO(to_pdf(made))).pages[0].extract_text()
    # One mark per character; Greek and Cyrillic are there, and losses are noted in the footer.
    assert "Boat ? ???? ? ψυγείο Ёж" in first
    assert SAY("foot-lost") in " ".join(first.split())
    assert said in to_html(made)
    assert (
        SAY("foot-lost") not in pypdf.PdfReader(io.BytesIO(paper("plain"))).pages[0].extract_text()
    )


@pytest.mark.parametrize("name", SHORT)
def test_paper_is_two_pages_of_the_system_s_size(name: str) -> None:
    pages = pypdf.PdfReader(io.BytesIO(paper(name))).pages
    assert len(pages) == 2
    # ISO 216 A4 is 210 mm wide, US Letter 8.5 in.
    width = 210 / 25.4 * 72 if name == "si" else 8.5 * 72
    assert float(pages[0].mediabox.width) == pytest.approx(width, abs=0.01)
    assert SAY("card-title").lower() in pages[1].extract_text().lower()


def test_same_job_gives_the_same_files() -> None:
    again = sheet(JOBS["plain"]())
    assert to_pdf(again) == paper("plain")
    assert to_html(again) == page("plain")


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="rendering needs pdftoppm (poppler)")
@pytest.mark.parametrize("name", ["plain", "awkward"])
def test_nothing_on_paper_reaches_the_edge(name: str, tmp_path: Path) -> None:
    from PIL import Image

    (tmp_path / "sheet.pdf").write_bytes(paper(name))
    run = ["pdftoppm", "-r", "50", "-gray", "sheet.pdf", "page"]
    subprocess.run(run, cwd=tmp_path, check=True, timeout=60)
    rendered = sorted(tmp_path.glob("page*.pgm"))
    assert len(rendered) >= 2
    for file in rendered:
        with Image.open(file) as picture:
            # Ink, and where it is: at 50 dots an inch, 12 mm of margin are 23 dots.
            box = picture.point(lambda shade: 255 if shade < 200 else 0).getbbox()
            assert box is not None
            assert box[0] >= 15
            assert box[2] <= picture.width - 15


# In a browser.


def chromium() -> str:
    """Path of Chromium; skips the test where there is none."""
    if CHROMIUM is None:
        pytest.skip("no Chromium: set LOOP_CHROMIUM to its path")
    return CHROMIUM


def run_chromium(folder: Path, *options: str) -> str:
    """The output of Chromium, run with its own profile and no background traffic."""
    own = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run"
    quiet = "--disable-background-networking --disable-component-update --disable-sync"
    profile = f"--user-data-dir={folder / 'profile'}"
    run = [chromium(), *own.split(), *quiet.split(), profile, *options]
    return subprocess.run(run, capture_output=True, text=True, timeout=90, check=True).stdout


def examined(text: str) -> dict[str, Any]:
    """What the page in sheet_axe.html finds about a sheet, by window width [px].

    With axe-core's violations if LOOP_AXE gives the path of axe.min.js.
    """
    axe = Path(os.environ.get("LOOP_AXE", ""))
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        if axe.is_file():
            shutil.copy(axe, folder / "axe.min.js")
        frame = (HERE / "sheet_axe.html").read_text(encoding="utf-8")
        frame = frame.replace("@AXE@", "axe.min.js" if axe.is_file() else "")
        frame = frame.replace("@SHEET@", html.escape(text))
        (folder / "frame.html").write_text(frame, encoding="utf-8")
        options = ("--window-size=1400,1000", "--virtual-time-budget=20000", "--dump-dom")
        found = _MEASURED.search(run_chromium(folder, *options, str(folder / "frame.html")))
    assert found, "the frame gave no answer"
    answer: dict[str, Any] = json.loads(html.unescape(found[1]))
    assert set(answer) == {"360", "1280"}
    return answer


@cache
def examined_job(name: str) -> dict[str, Any]:
    """The result for one of the jobs."""
    return examined(page(name))


@cache
def examined_spoilt() -> dict[str, Any]:
    """The result for a page with a line too wide, no language, and too little contrast."""
    text = page("plain").replace('<html lang="en">', "<html>")
    text = text.replace("<main>", '<main><p style="width: 2000px">wide</p>', 1)
    return examined(text.replace("--soft: #4f5c66", "--soft: #ccc"))


needs_axe = pytest.mark.skipif(
    not Path(os.environ.get("LOOP_AXE", "")).is_file(),
    reason="no axe-core: set LOOP_AXE to the path of axe.min.js",
)


@pytest.mark.parametrize("name", EXAMINED)
def test_nothing_on_the_page_is_cut_off(name: str) -> None:
    for width, answer in examined_job(name).items():
        # The frame's own scroll bar takes some of its width.
        assert int(width) - 20 <= answer["width"] <= int(width)
        assert answer["scroll"] <= answer["width"]
        assert answer["out"] == []
        assert answer["cut"] == []


def test_what_is_cut_off_would_be_seen() -> None:
    for answer in examined_spoilt().values():
        assert answer["scroll"] > answer["width"]
        assert answer["out"] != []


@needs_axe
@pytest.mark.parametrize("name", EXAMINED)
def test_page_passes_axe(name: str) -> None:
    assert [answer["objections"] for answer in examined_job(name).values()] == [[], []]


@needs_axe
def test_axe_would_object() -> None:
    for answer in examined_spoilt().values():
        ids = {text.split(":")[0] for text in answer["objections"]}
        assert ids >= {"html-has-lang", "color-contrast"}


@pytest.mark.parametrize(
    "name", ["plain", "unwell", *(pytest.param(n, marks=pytest.mark.extended) for n in SHORT[1:3])]
)
def test_page_prints_on_two_pages(name: str, tmp_path: Path) -> None:
    (tmp_path / "sheet.html").write_text(page(name), encoding="utf-8")
    target = tmp_path / "printed.pdf"
    options = ("--no-pdf-header-footer", f"--print-to-pdf={target}")
    run_chromium(tmp_path, *options, str(tmp_path / "sheet.html"))
    assert len(pypdf.PdfReader(target).pages) == 2
