"""The card as a file: small, complete, and always text, whatever a job says."""

import base64
import hashlib
import io
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from loop.card import card, index, to_html, to_pdf
from loop.diagnose import prepare
from loop.job import parse_job
from loop.sheet import sheet
from loop.words.job_sheet import SAY
from tests.browser import Phone
from tests.loops import plain_loop
from tests.said import is_said

MEGABYTE = 1_000_000


def test_a_card_is_one_small_file_that_may_run_and_load_nothing_else(made: Any) -> None:
    text = made("kittiwake").file.read_text(encoding="utf-8")
    assert len(text.encode()) < MEGABYTE
    assert made("six").file.stat().st_size < 3 * MEGABYTE
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)
    assert policy is not None
    rules = policy[1].replace("&#39;", "'").split("; ")
    assert rules[0] == "default-src 'none'"
    assert not {"unsafe", "*", "http"} & set(re.findall(r"unsafe|\*|http", policy[1]))
    for tag, rule in (("<script>", "script-src"), ("<style>", "style-src")):
        inline = text.split(tag)[1].split(tag.replace("<", "</"))[0]
        digest = base64.b64encode(hashlib.sha256(inline.encode()).digest()).decode()
        assert f"{rule} 'sha256-{digest}'" in rules
    assert not re.findall(r"""(?:src|href|action)\s*=\s*["'](?!data:)""", text.split("<script")[0])


@pytest.mark.parametrize(("name", "fitted"), [("petrel", "0"), ("curlew", "1")])
def test_the_loop_in_words_is_the_loop_that_is_drawn(name: str, fitted: str, made: Any) -> None:
    """As found: nobody should look for a bleed that a fix would fit."""
    drawn = made(name).card.drawing
    assert is_said(drawn.in_words, SAY, "drawn", fitted=fitted)


HOSTILE = (
    "<script>document.title='run'</script>",
    "</script><img src=x onerror=\"document.title='run'\">",
    "\u202egnp.eman {{ 7*7 }} ${7*7} \u0645\u0631\u062d\u0628\u0627",
    "x" * 10_000,
)


@pytest.mark.parametrize("name", HOSTILE, ids=["script", "closing", "right-to-left", "long"])
def test_a_hostile_job_is_text_and_nothing_else(name: str, chromium: Any, tmp_path: Path) -> None:
    data = plain_loop()
    data["condenser"][0]["name"] = name[:50]
    for part in data["part"]:
        if part["kind"] == "condenser":
            part["serves"] = name[:50]
        part["label"] = f"{part['kind']} {name}"[:60]
    job = parse_job(data)
    content = card(prepare(job), sheet(job), (name,))
    # A job's title is shorter and loses invalid characters; the card does not rely on that.
    content = replace(content, title=name)
    file = tmp_path / "hostile.html"
    file.write_text(to_html(content), encoding="utf-8")
    phone = Phone(chromium, file, 320)
    phone.settled()
    assert name in (phone.page.text_content("h1") or "")
    for view in ("Answer", "Loop", "Office", "Ask"):
        phone.view(view)
        assert phone.overflow() == []
    assert phone.page.title() == f"{name[:120]}: service card"
    assert phone.page.evaluate("Object.keys(window).filter((key) => /loop/i.test(key))") == [
        "loopCard"
    ]
    assert phone.trouble == []
    phone.close()
    fleet = tmp_path / "index.html"
    fleet.write_text(index([("a b#?.html", name, name), ("", name, "")]), encoding="utf-8")
    page = Phone(chromium, fleet, 320)
    assert page.page.locator("li").count() == 2
    assert name in (page.page.text_content("a") or "")
    assert page.page.get_attribute("a", "href") == "a%20b%23%3F.html"
    assert page.overflow() == []
    assert page.trouble == []
    page.close()
    assert len(PdfReader(io.BytesIO(to_pdf(content))).pages) == 1


def test_without_scripts_the_loop_at_a_glance_can_be_read(made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("kittiwake").file, java_script_enabled=False)
    phone.page.wait_for_selector("#idle", state="visible")
    text = phone.page.inner_text("body")
    for words in ("runs no scripts", "Start-up and bleeding", "When to clean", "Cautions"):
        assert words in text
    assert re.search(r"Flow\s+2\d\d gal/h", text)
    phone.close()
