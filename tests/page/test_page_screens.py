"""What a person sees first on the page, and what survives a reload of the window."""

from typing import Any

from loop.check import check
from loop.job import read_job
from loop.page.answer import answer
from loop.page.folder import Folder
from tests.page.conftest import Started
from tests.page.test_page_browser import opened

JOBS = ("petrel.toml", "razorbill.toml", "curlew.toml", "kittiwake.toml")


def test_what_is_gravest_is_said_once(tab: Any, started: Started) -> None:
    folder = Folder(started.folder)
    for name in JOBS:
        opened(tab, started, name)
        text = tab.locator("main").inner_text()
        first = answer(folder, folder.read(name).text)["first"]
        for words in filter(None, first.values() if first["whole"] else [first["cause"]]):
            assert words is True or text.count(words) == 1
        assert tab.locator("#verdict article").count() == (name != "kittiwake.toml")


def test_a_flow_that_comes_only_once_primed_is_said_to(tab: Any, started: Started) -> None:
    for name in JOBS:
        opened(tab, started, name)
        primed = "once primed" in tab.locator("#verdict .pump").inner_text()
        assert primed != check(read_job(started.folder / name)).starts


def test_the_front_page_says_how_each_loop_stands(tab: Any, started: Started, own_job: str) -> None:
    path = started.folder / own_job
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('kind = "pump"', 'kind = "pmp"'), encoding="utf-8")
    tab.goto(started.address)
    for name in JOBS[:2]:
        line = tab.locator(f".stands[data-job='{name}']")
        line.scroll_into_view_if_needed()
        word = check(read_job(started.folder / name)).verdict.upper()
        line.locator("b", has_text=word).wait_for()
    wrong = tab.locator(f".stands[data-job='{own_job}']")
    wrong.scroll_into_view_if_needed()
    wrong.locator("b", has_text="CANNOT BE READ").wait_for()
    assert "'pmp'" in wrong.inner_text()
    path.unlink()


def test_a_class_goes_on_where_its_page_is_loaded_anew(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}lesson/1")
    tab.locator(".choice").nth(0).click()
    tab.locator(".choice").nth(2).click()
    tab.locator(".choice").nth(2).click()
    tab.reload()
    tab.get_by_role("button", name="Reveal").wait_for()
    assert tab.locator(".choice output").all_inner_texts() == ["1", "0", "2"]
    tab.get_by_role("button", name="Reveal").click()
    for column in (1, 2):
        tab.locator(f"[data-column='{column}']").click()
    tab.get_by_role("button", name="Explain").click()
    before = tab.locator("main").inner_text()
    tab.reload()
    tab.get_by_role("button", name="Show the answer").wait_for()
    assert tab.locator("main").inner_text() == before
    # Another lesson is another class; this one can start over.
    tab.goto(f"{started.address}lesson/2")
    tab.get_by_role("button", name="Reveal").wait_for()
    assert set(tab.locator(".choice output").all_inner_texts()) == {"0"}
    tab.goto(f"{started.address}lesson/1")
    tab.get_by_role("button", name="Start over").click()
    tab.get_by_role("button", name="Reveal").wait_for()
    assert set(tab.locator(".choice output").all_inner_texts()) == {"0"}


def test_a_drill_goes_on_where_its_page_is_loaded_anew(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}drill")
    tab.fill("#seed", "7")
    tab.get_by_role("button", name="Take the call").click()
    tab.locator(".tiles button").first.click()
    tab.locator(".log li").wait_for()
    before = tab.locator("#call").inner_text()
    tab.reload()
    tab.locator(".log li").wait_for()
    assert tab.locator("#call").inner_text() == before
    assert tab.input_value("#seed") == "7"
