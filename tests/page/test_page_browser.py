"""A person at the bench, in a browser: creates a loop, moves a hose, saves, loses the program."""

import os
import re
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from loop.check import check
from loop.job import Put, edit_text, read_job
from loop.units import convert, show
from loop.words import told
from loop.words.size_report import SAY as REPORT
from tests.page.conftest import Started, examples_in, start_page

# What axe finds: the rule, and the elements.
AXE = """axe.run().then((r) => r.violations.map(
    (v) => v.id + ": " + v.nodes.map((n) => n.html.slice(0, 90)).join(" | ")))"""


# Tables and buttons of the sizing that reach beyond the screen.
_CUT_OFF = """[...document.querySelectorAll("#sizing table, #sizing button")]
  .filter((one) => one.getBoundingClientRect().right > innerWidth - 16)
  .map((one) => one.textContent)"""


def verdict(tab: Any) -> str:
    """The verdict at the top."""
    return str(tab.locator("#verdict .word").inner_text())


def opened(tab: Any, started: Started, name: str) -> Any:
    """A loop's bench, once its answer is there."""
    tab.goto(f"{started.address}bench/{name}")
    tab.locator("#verdict .word").wait_for()
    return tab


def soon(what: Callable[[], bool], seconds: float = 15.0) -> bool:
    """Whether something becomes true in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.05)
    return False


@contextmanager
def answered(tab: Any, path: str) -> Iterator[None]:
    """The action within asks the program once; afterward its answer is on the page."""
    with tab.expect_response(path):
        yield
    tab.locator("#bench[aria-busy=false]").wait_for(state="attached")


def highest_handle(tab: Any) -> Any:
    """The ring of the highest point before the pump."""
    handles = tab.locator("#picture .handle").all()
    return min(handles[:3], key=lambda handle: float(handle.get_attribute("cy")))


def set_field(tab: Any, row: str, field: str, value: str) -> None:
    """Types into a field of a row, opening it first, and waits for the answer."""
    named = tab.locator("summary b", has_text=re.compile(f"^{row}$"))
    opened_row = tab.locator("#parts details", has=named).first
    if opened_row.get_attribute("open") is None:
        opened_row.locator("summary").click()
    cell = opened_row.get_by_label(field, exact=True)
    cell.fill(value)
    with answered(tab, "**/api/answer"):
        cell.press("Tab")


def test_from_nothing_to_good_without_a_file_or_the_terminal(tab: Any, started: Started) -> None:
    tab.goto(started.address)
    tab.fill("#new-name", "dock boat")
    tab.get_by_role("button", name="Create").click()
    tab.locator("#verdict .word").wait_for()
    set_field(tab, "pump", "label", "the pump")
    set_field(tab, "hose to the pump", "length", "4 ft")
    set_field(tab, "unit: cabin", "cooling", "16000 BTU/h")
    assert verdict(tab) == "BAD"
    # The fixes that the page offers, pressed one after another as by a person.
    for _ in range(6):
        if verdict(tab) == "GOOD":
            break
        with answered(tab, "**/api/act"):
            tab.locator("article:not(.note) .act").first.click()
        assert tab.get_by_role("button", name="Undo").is_enabled()
        if tab.locator("article:not(.note) .act").count() == 0:
            break
    # All that is left is that nobody has measured it; now the person has.
    assert verdict(tab) == "ATTENTION"
    folds = tab.locator("#parts details:not([open]) > summary")
    while folds.count():
        folds.first.click()
    measured = tab.locator("button[aria-label$=': measured']")
    assert measured.count() > 5
    assert tab.get_by_label("guessed", exact=True).count() == 0
    while measured.count():
        with answered(tab, "**/api/answer"):
            measured.first.click()
    assert verdict(tab) == "GOOD"
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("Saved.").wait_for()
    path = started.folder / "dock boat.toml"
    assert check(read_job(path)).verdict == "good"
    text = path.read_text(encoding="utf-8")
    assert 'label = "the pump"' in text
    assert "# halfway up to the pump" in text  # its comments are kept
    assert "guessed =" not in text


def test_a_high_point_is_dragged_down_and_back(tab: Any, started: Started) -> None:
    opened(tab, started, "petrel.toml")
    assert verdict(tab) == "BAD"
    count = tab.locator("article.danger").count()
    assert count >= 1
    box = highest_handle(tab).bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(*middle)
    tab.mouse.down()
    for step in range(1, 15):
        tab.mouse.move(middle[0], middle[1] + 14 * step)
    assert soon(lambda: tab.locator("article.danger").count() < count)
    tab.mouse.up()
    assert soon(lambda: tab.get_by_role("button", name="Undo").is_enabled())
    tab.get_by_role("button", name="Undo").click()
    assert soon(lambda: tab.locator("article.danger").count() == count)
    tab.get_by_role("button", name="Redo").click()
    assert soon(lambda: tab.locator("article.danger").count() < count)
    for _ in range(3):
        if verdict(tab) == "GOOD":
            break
        with answered(tab, "**/api/act"):
            tab.locator("article:not(.note) .act").first.click()
    assert verdict(tab) == "GOOD"


def touched(tab: Any, moves: list[int], moved: Callable[[], object] = lambda: None) -> None:
    """A finger on the ring of the highest point before the pump, moved down this many pixels."""
    box = highest_handle(tab).bounding_box()
    at = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    finger = tab.context.new_cdp_session(tab)

    def touch(kind: str, points: list[dict[str, float]]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", [at])
    for by in moves:
        touch("touchMove", [{**at, "y": at["y"] + by}])
        tab.wait_for_timeout(30)
    moved()
    touch("touchEnd", [])


def test_a_finger_drags_a_hose_and_the_drawing_stays_under_it(
    chromium: Any, started: Started
) -> None:
    tab = chromium.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    opened(tab, started, "kittiwake.toml")
    tab.evaluate("scrollTo(0, 100)")
    touched(tab, [1])  # a touch alone
    tab.wait_for_timeout(500)
    assert verdict(tab) == "GOOD"
    assert tab.get_by_role("button", name="Undo").is_disabled()
    stood = tab.locator("#picture").bounding_box()["y"]
    more = tab.locator("#verdict").bounding_box()["height"]

    def as_it_is_held() -> None:
        assert soon(lambda: verdict(tab) == "BAD")  # the pump now stands above the water
        assert tab.locator("#verdict").bounding_box()["height"] > more + 100
        assert tab.locator("#picture").bounding_box()["y"] == pytest.approx(stood, abs=2)

    touched(tab, [-8 * step for step in range(1, 10)], as_it_is_held)
    assert soon(lambda: tab.get_by_role("button", name="Undo").is_enabled())
    assert tab.locator("#told").is_hidden()
    tab.get_by_role("button", name="Undo").click()
    assert soon(lambda: verdict(tab) == "GOOD")
    # So does a slider, even in a browser that does not keep its position by itself.
    tab.evaluate("document.documentElement.style.overflowAnchor = 'none'; scrollTo(0, 500)")
    slider = tab.locator("#trials input").first
    stood = slider.bounding_box()["y"]
    slider.fill("95")
    assert soon(lambda: verdict(tab) == "BAD")
    assert tab.locator("#verdict").bounding_box()["height"] > more + 100
    assert slider.bounding_box()["y"] == pytest.approx(stood, abs=2)
    tab.close()


def test_a_point_is_moved_by_the_keyboard(tab: Any, started: Started) -> None:
    opened(tab, started, "kittiwake.toml")
    handle = tab.locator("#picture .handle").nth(2)
    before = handle.get_attribute("aria-valuetext")
    handle.focus()
    tab.keyboard.press("PageDown")
    assert soon(
        lambda: tab.locator("#picture .handle").nth(2).get_attribute("aria-valuetext") != before
    )
    assert tab.evaluate("document.activeElement.getAttribute('role')") == "slider"


def test_arrow_keys_pressed_faster_than_they_are_answered_all_count(
    tab: Any, started: Started
) -> None:
    opened(tab, started, "kittiwake.toml")
    handle = tab.locator("#picture .handle").nth(2)
    handle.focus()
    before = float(handle.get_attribute("aria-valuenow"))
    for _ in range(10):
        tab.keyboard.press("ArrowDown")
    assert soon(
        lambda: float(handle.get_attribute("aria-valuenow")) == pytest.approx(before - 5, abs=0.3)
    )


def test_a_wrong_value_is_told_at_its_field_and_not_kept(tab: Any, started: Started) -> None:
    opened(tab, started, "kittiwake.toml")
    row = tab.locator("#rows details").nth(2)
    row.locator("summary").click()
    field = row.get_by_label("length")
    field.fill("banana")
    field.press("Tab")
    wrong = row.locator(".wrong", has_text="banana")
    wrong.wait_for()
    assert field.get_attribute("aria-invalid") == "true"
    assert tab.get_by_role("button", name="Save").is_disabled()
    unused = tab.locator("#verdict .unused")
    unused.wait_for()
    field.fill("2 ft")
    field.press("Tab")
    unused.wait_for(state="detached")


def test_sliders_try_and_do_not_change_the_file(tab: Any, started: Started) -> None:
    opened(tab, started, "kittiwake.toml")
    slider = tab.locator("#trials input").first
    slider.fill("94")
    tab.get_by_text("As set with the sliders").wait_for()
    assert soon(lambda: verdict(tab) == "BAD")
    assert tab.get_by_role("button", name="Save").is_disabled()
    tab.get_by_role("button", name="Reset the sliders").click()
    assert soon(lambda: verdict(tab) != "BAD")


def test_a_slider_moved_while_an_undo_is_answered_is_tried(tab: Any, started: Started) -> None:
    opened(tab, started, "kittiwake.toml")
    handle = tab.locator("#picture .handle").nth(2)
    handle.focus()
    tab.keyboard.press("PageDown")
    assert soon(lambda: tab.locator("#undo").is_enabled())
    tab.evaluate(
        """() => {
            document.getElementById("undo").click();
            const slider = document.querySelector("#trials input");
            slider.focus();
            slider.value = 94;
            slider.dispatchEvent(new Event("input"));
        }"""
    )
    assert soon(lambda: verdict(tab) == "BAD")
    tab.get_by_text("As set with the sliders").wait_for()


def test_what_is_dragged_on_the_wall_is_not_for_the_file(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}show/petrel.toml")
    tab.locator("#verdict .word").wait_for()
    handle = tab.locator("#picture .handle").nth(1)
    before = handle.get_attribute("aria-valuetext")
    handle.focus()
    tab.keyboard.press("PageDown")
    back = tab.get_by_role("button", name="Reset to the file")
    back.wait_for()
    assert handle.get_attribute("aria-valuetext") != before
    assert tab.evaluate("localStorage.length") == 0
    back.click()
    assert soon(lambda: handle.get_attribute("aria-valuetext") == before)


def test_a_folder_has_an_address_of_its_own_where_a_browser_keeps_what_it_does(
    tmp_path: Path,
) -> None:
    first = start_page(tmp_path)
    beside = start_page(tmp_path)
    first.end()
    again = start_page(tmp_path)
    beside.end()
    again.end()
    assert again.address == first.address != beside.address


def test_the_page_of_a_file_opens_at_that_file(chromium: Any, tmp_path: Path) -> None:
    file = examples_in(tmp_path) / "my boat.toml"
    (tmp_path / "kittiwake.toml").rename(file)
    run = start_page(file)
    try:
        page = chromium.new_page()
        page.goto(run.address)
        page.locator("#verdict .word").wait_for()
        assert page.locator("#title").inner_text() == read_job(file).title
        page.get_by_role("link", name="All loops").click()
        assert page.locator(".jobs li").count() > 5
    finally:
        run.end()


def test_a_class_sees_the_whole_loop_at_once(tab: Any, started: Started) -> None:
    for height in (800, 1080):
        tab.set_viewport_size({"width": height * 16 // 10, "height": height})
        tab.goto(f"{started.address}show/petrel.toml")
        tab.locator("#verdict .word").wait_for()
        box = tab.locator("#picture").bounding_box()
        assert box["y"] + box["height"] <= height


def test_a_folder_above_the_jobs_says_how_they_are_opened(chromium: Any, tmp_path: Path) -> None:
    (tmp_path / "examples").mkdir()
    examples_in(tmp_path / "examples")
    run = start_page(tmp_path)
    try:
        page = chromium.new_page()
        page.goto(run.address)
        said = page.locator("main").inner_text()
        assert f"loop page {tmp_path / 'examples'}" in said
        page.goto(f"{run.address}show")
        assert f"loop page {tmp_path / 'examples'}" in page.locator("main").inner_text()
        page.close()
    finally:
        run.end()


def test_lines_and_bars_are_named_and_have_numbers(tab: Any, started: Started) -> None:
    opened(tab, started, "petrel.toml")
    words = " ".join(tab.locator("#curves text").all_text_contents())
    for named in (
        "the pump gives",
        "the loop takes",
        "needed 180 gal/h",
        "flow, gal/h",
        "head, ft",
    ):
        assert named in words
    marks = tab.locator("#flows .band text").all_text_contents()
    assert marks[0] == "0 gal/h"
    assert marks[1].isdigit()
    key = tab.locator("#flows .legend").inner_text()
    assert "needed" in key
    assert "calculated" in key
    letters = tab.locator("#legend").inner_text()
    assert "sc seacock" in letters


@pytest.mark.extended
def test_what_is_shown_is_what_the_command_says(tab: Any, started: Started) -> None:
    for path in sorted(started.folder.glob("*.toml")):
        if "\n[[part]]" not in path.read_text(encoding="utf-8"):
            continue
        result = check(read_job(path))
        opened(tab, started, path.name)
        assert verdict(tab) == result.verdict.upper()
        shown = tab.locator("#flows .unit > p:first-child").all_inner_texts()
        system = result.job.units
        for unit, words in zip(result.condensers, shown, strict=True):
            assert words.startswith(unit.name)
            said = re.search(r": ([\d.,]+) \S+ \(([\d.,]+) to ([\d.,]+)\), ([\d.,]+) needed", words)
            numbers = [float(number.replace(",", "")) for number in said.groups()]
            flows = (unit.flow, unit.flow_low, unit.flow_high, unit.needed_flow)
            assert numbers == pytest.approx([convert(q, "flow", system) for q in flows], abs=0.51)
        titles = tab.locator("article :is(h2, h3)").all_text_contents()
        said = [f"{one.level} {one.title}" for one in told(result.findings, result.job)]
        assert sorted(titles) == sorted(said)


def test_the_program_is_lost_in_the_middle_and_nothing_is_lost(
    chromium: Any, tmp_path: Path
) -> None:
    run = start_page(examples_in(tmp_path))
    tab = chromium.new_context().new_page()
    try:
        opened(tab, run, "kittiwake.toml")
        set_field(tab, "suction hose", "length", "7 ft")
        run.end()
        tab.locator("#trials input").first.fill("20")
        tab.get_by_text("The program behind this page has stopped").wait_for()
        run = start_page(tmp_path, run.port)
        opened(tab, run, "kittiwake.toml")
        tab.get_by_text("Your unsaved changes are back").wait_for()
        tab.get_by_role("button", name="Save").click()
        tab.get_by_text("Saved.").wait_for()
        assert 'length = "7 ft"' in (tmp_path / "kittiwake.toml").read_text(encoding="utf-8")
    finally:
        run.end()
        tab.context.close()


def test_two_tabs_on_one_file_never_overwrite_in_silence(
    tab: Any, started: Started, own_job: str
) -> None:
    path = started.folder / own_job
    opened(tab, started, own_job)
    other = tab.context.new_page()
    opened(other, started, own_job)
    for page, length in ((tab, "7 ft"), (other, "8 ft")):
        set_field(page, "suction hose", "length", length)
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("Saved.").wait_for()
    other.get_by_role("button", name="Save").click()
    other.get_by_text("changed outside this page").wait_for()
    assert '"7 ft"' in path.read_text(encoding="utf-8")
    other.get_by_role("button", name="Keep mine").click()
    other.get_by_text("Saved.").wait_for()
    assert '"8 ft"' in path.read_text(encoding="utf-8")


def test_each_of_two_windows_keeps_its_own_changes(
    tab: Any, started: Started, own_job: str
) -> None:
    opened(tab, started, own_job)
    other = tab.context.new_page()
    opened(other, started, own_job)
    for page, length in ((tab, "7 ft"), (other, "8 ft")):
        set_field(page, "suction hose", "length", length)
    for page, length in ((tab, "7 ft"), (other, "8 ft")):
        opened(page, started, own_job)
        page.get_by_text("Your unsaved changes are back").wait_for()
        assert f'length = "{length}"' in page.locator("#sourcetext").input_value()
    other.close()
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("Saved.").wait_for()
    later = tab.context.new_page()
    opened(later, started, own_job)
    later.get_by_text("Your unsaved changes are back").wait_for()
    assert 'length = "8 ft"' in later.locator("#sourcetext").input_value()


def test_a_file_that_cannot_be_read_is_put_right_in_its_text(
    tab: Any, started: Started, own_job: str
) -> None:
    path = started.folder / own_job
    right = path.read_text(encoding="utf-8")
    path.write_text(right.replace('kind = "pump"', 'kind = "pomp"'), encoding="utf-8")
    tab.goto(f"{started.address}bench/{own_job}")
    tab.get_by_text("fix it in the text below").wait_for()
    text = tab.get_by_label("The text of the file")
    assert "pomp" in text.input_value()
    assert not tab.locator("#stage").is_visible()
    assert not tab.get_by_text("Parts, in flow order").is_visible()
    text.fill(right)
    tab.get_by_role("button", name="Use this text").click()
    tab.locator("#verdict .word").wait_for()
    assert tab.locator("#picture .handle").first.is_visible()
    assert tab.locator("#rows details").first.is_visible()
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("Saved.").wait_for()
    assert path.read_text(encoding="utf-8") == right


def test_a_file_changed_on_disk_is_shown_again(tab: Any, started: Started, own_job: str) -> None:
    opened(tab, started, own_job)
    path = started.folder / own_job
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("Kittiwake, saloon unit", "Kittiwake, refitted"), "utf-8")
    tab.evaluate("window.dispatchEvent(new Event('focus'))")
    assert soon(lambda: tab.locator("#title").inner_text() == "Kittiwake, refitted", 20)


def test_changes_made_faster_than_they_are_answered_are_all_kept(
    tab: Any, started: Started, own_job: str
) -> None:
    opened(tab, started, own_job)
    for row in ("suction hose", "pressure hose", "discharge hose"):
        tab.locator("#rows summary", has_text=row).click()
    fields = tab.locator("#rows [data-key$='].length']")
    assert soon(lambda: fields.count() == 3, 20)
    tab.evaluate(
        """() => document.querySelectorAll("#rows [data-key$='].length']").forEach((field, i) => {
            field.value = `${7 + 10 * i} ft`;
            field.dispatchEvent(new Event("change"));
        })"""
    )
    tab.get_by_role("button", name="Save").click(timeout=20_000)
    tab.get_by_text("Saved.").wait_for()
    text = (started.folder / own_job).read_text(encoding="utf-8")
    assert all(f'"{length} ft"' in text for length in (7, 17, 27))


def test_kept_changes_are_not_saved_over_a_file_that_changed_meanwhile(
    tab: Any, started: Started, own_job: str
) -> None:
    path = started.folder / own_job
    opened(tab, started, own_job)
    set_field(tab, "suction hose", "length", "7 ft")
    assert soon(lambda: bool(tab.get_by_role("button", name="Undo").is_enabled()))
    theirs = path.read_text(encoding="utf-8").replace("Kittiwake", "Changed outside")
    path.write_text(theirs, encoding="utf-8")
    tab.reload()
    tab.get_by_text("Your unsaved changes are back").wait_for()
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("changed outside this page").wait_for()
    assert path.read_text(encoding="utf-8") == theirs


def test_branches_are_changed_by_mouse_and_by_keys(tab: Any, started: Started) -> None:
    opened(tab, started, "razorbill.toml")

    def names() -> list[str]:
        return [str(one) for one in tab.locator("#rows summary b").all_inner_texts()]

    before = names()
    tab.locator("#rows li", has_text="bleed").first.drag_to(
        tab.locator("#rows li", has_text="stateroom return").first
    )
    assert soon(lambda: names() != before)
    moved = names()
    assert moved[moved.index("bleed") + 1] == "stateroom return"
    tab.locator("#rows summary", has_text="bleed").click()
    button = tab.get_by_role("button", name="Down: bleed")
    button.focus()
    tab.keyboard.press("Enter")
    assert soon(lambda: names()[names().index("bleed") - 1] == "stateroom return")
    # The cursor stays on the button of the row that moved.
    assert tab.evaluate("document.activeElement.getAttribute('aria-label')") == "Down: bleed"
    tab.locator("#rows summary", has_text="manifold").last.click()
    tab.get_by_role("button", name="Add a branch").click()
    assert soon(lambda: tab.locator("#flows .unit").count() == 3)
    tab.get_by_role("button", name="Undo").click()
    assert soon(lambda: tab.locator("#flows .unit").count() == 2)


def test_two_loops_stand_side_by_side(tab: Any, started: Started) -> None:
    opened(tab, started, "razorbill.toml")
    tab.select_option("#compare", "razorbill-balanced.toml")
    tab.locator("#found h3").first.wait_for()
    told = tab.locator("#found h3").all_inner_texts()
    assert told == ["Razorbill, balanced: GOOD", "As it is now: BAD"]
    sides = tab.locator("#found .pair > div")
    for scale in (".band text", ".tick + text"):
        one, other = (sides.nth(i).locator(scale).all_text_contents() for i in (0, 1))
        assert one == other != []
    tab.get_by_role("button", name="Close").click()
    assert soon(lambda: bool(tab.locator("#found").is_hidden()))


def test_a_file_that_cannot_be_read_offers_only_its_text(tab: Any, started: Started) -> None:
    (started.folder / "torn.toml").write_text('title = "Torn', encoding="utf-8")
    tab.goto(f"{started.address}bench/torn.toml")
    tab.get_by_text("This file cannot be read").wait_for()
    offered = tab.locator("nav :is(button, select):enabled:visible")
    assert offered.all_inner_texts() == []
    tab.fill("#sourcetext", (started.folder / "kittiwake.toml").read_text(encoding="utf-8"))
    tab.get_by_role("button", name="Use this text").click()
    tab.locator("#verdict .word").wait_for()
    for name in ("Keep as found", "Choose hose and pump", "Job sheet"):
        assert tab.get_by_role("button", name=name).is_enabled()
    tab.goto(f"{started.address}call/torn.toml")
    assert "torn.toml: is not TOML" in tab.locator("main").inner_text()


def test_every_number_of_a_flow_scale_is_whole_on_the_wall(tab: Any, started: Started) -> None:
    beyond = """[...document.querySelectorAll("#flows .band")].flatMap((band) => {
      const {left, right} = band.getBoundingClientRect();
      return [...band.querySelectorAll("text")].filter((one) => {
        const box = one.getBoundingClientRect();
        return box.left < left - 1 || box.right > right + 1;
      }).map((one) => one.textContent);
    })"""
    for name in ("guillemot", "kittiwake", "eider", "petrel", "curlew"):
        for width in (600, 1000, 1280):
            tab.set_viewport_size({"width": width, "height": 900})
            tab.goto(f"{started.address}show/{name}.toml")
            tab.locator("#flows .band").first.wait_for()
            assert tab.evaluate(beyond) == []


def test_fields_of_a_row_stay_level_when_one_is_wrong(tab: Any, started: Started) -> None:
    opened(tab, started, "kittiwake.toml")
    set_field(tab, "suction hose", "length", "six feet")
    row = tab.locator("#parts details[open]").first
    assert row.get_by_role("alert").filter(has_text="six feet").is_visible()
    bore, length = (row.get_by_label(one, exact=True).bounding_box() for one in ("bore", "length"))
    assert bore["x"] < length["x"]  # in one row of fields
    assert bore["y"] == pytest.approx(length["y"], abs=2)
    tab.locator("#rows summary", has_text="seacock").first.click()
    port = tab.locator("#rows").get_by_label("port", exact=True).first
    assert port.get_attribute("placeholder") == "such as 3/4 in"


def test_a_sizing_shows_how_far_it_is_and_is_cancelled(tab: Any, started: Started) -> None:
    opened(tab, started, "turnstone.toml")
    tab.get_by_role("button", name="Choose hose and pump").click()
    tab.get_by_role("progressbar").wait_for()
    with tab.expect_response("**/api/task"):
        pass
    with tab.expect_response("**/api/cancel") as answered:
        tab.get_by_role("button", name="Cancel").click()
    assert answered.value.status == 200
    assert soon(lambda: bool(tab.locator("#sizing").is_hidden()))
    assert tab.locator("#told").is_hidden()


def test_turnstone_is_sized_and_fitted(tab: Any, started: Started) -> None:
    opened(tab, started, "turnstone.toml")
    assert verdict(tab) == "BAD"
    tab.get_by_role("button", name="Choose hose and pump").click()
    tab.get_by_role("button", name="Fit it: demo").first.wait_for(timeout=180_000)
    for one in (REPORT("against-title"), REPORT("reach-title"), REPORT("least-title")):
        assert tab.get_by_role("heading", name=one, exact=True).is_visible()
    tab.set_viewport_size({"width": 360, "height": 800})
    assert tab.evaluate(_CUT_OFF) == []
    tab.get_by_role("button", name="Fit it: demo").first.click()
    assert soon(lambda: verdict(tab) == "GOOD")
    tab.get_by_role("button", name="Undo").click()
    assert soon(lambda: verdict(tab) == "BAD")
    tab.get_by_role("button", name=f"Fit it: {REPORT('least-title')}").click()
    assert soon(lambda: verdict(tab) == "GOOD")


def test_the_flow_at_rest_stands_beside_the_flow_at_speed(tab: Any, started: Started) -> None:
    file = started.folder / "speedy.toml"
    text = (Path(__file__).parents[2] / "examples" / "guillemot.toml").read_text(encoding="utf-8")
    file.write_text(edit_text(text, [Put("boat.speed", "8 knot")]), encoding="utf-8")
    job = read_job(file)
    opened(tab, started, "speedy.toml")
    told = tab.locator("#flows").inner_text()
    result = check(job)
    for unit in job.condenser:
        resting = result.resting(unit.name)
        assert resting is not None
        assert f"At rest: {show(resting, 'flow', 'us')}" in told


def test_eighty_changes_in_a_row_are_answered_at_once(
    tab: Any, started: Started, capsys: pytest.CaptureFixture[str]
) -> None:
    opened(tab, started, "kittiwake.toml")
    took = tab.evaluate(
        """async () => {
            const { ask } = await import("/static/api.js");
            const file = await ask("/api/file/kittiwake.toml", null, "GET");
            const took = [];
            let text = file.text;
            for (let i = 0; i < 80; i += 1) {
                const start = performance.now();
                const value = `${30 + (i % 9)} in`;
                const edits = [{ do: "put", address: "part[3].length", value }];
                text = (await ask("/api/answer", { text, edits })).text;
                took.push(performance.now() - start);
            }
            return took;
        }"""
    )
    job = read_job(started.folder / "kittiwake.toml")
    check(job)
    start = time.perf_counter()
    for _ in range(20):
        check(job)
    warm = (time.perf_counter() - start) / 20 * 1000
    at_95, middle = statistics.quantiles(took, n=20)[-1], statistics.median(took)
    with capsys.disabled():
        print(
            f"\n80 changes: median {middle:.0f} ms, 95th {at_95:.0f} ms; "
            f"{middle / warm:.1f} times a warm check"
        )
    # For a check in another process, its picture, and transfer both ways. On an idle machine the
    # 95th percentile is a quarter of the 300 ms limit.
    assert middle < 20 * warm


# The narrowest; in the long run every width in both schemes.
SCREENS = [
    (width, scheme)
    if (width, scheme) == (360, "light")
    else pytest.param(width, scheme, marks=pytest.mark.extended)
    for width in (360, 768, 1280, 1920)
    for scheme in ("light", "dark")
]
PATHS = (
    "", "bench/petrel.toml", "bench/razorbill.toml", "show", "show/petrel.toml", "pump", "lessons",
    "lesson/8", "drill",
)  # fmt: skip


@pytest.mark.parametrize(("width", "scheme"), SCREENS)
def test_nothing_overflows_and_axe_finds_nothing(
    chromium: Any, started: Started, width: int, scheme: str
) -> None:
    context = chromium.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, bypass_csp=True
    )
    tab = context.new_page()
    for path in PATHS:
        tab.goto(started.address + path)
        if path.endswith(".toml"):
            tab.locator("#verdict .word").wait_for()
        if path.startswith("lesson/"):
            tab.get_by_role("button", name="Reveal").click()
        if path == "drill":
            tab.get_by_role("button", name="Take the call").click()
            tab.locator(".tiles").wait_for()
        assert tab.evaluate("document.documentElement.scrollWidth") <= width, path
        tab.emulate_media(media="print")
        assert not tab.locator("nav").first.is_visible()
        assert tab.locator("h1").is_visible()
        tab.emulate_media(media="screen")
        script = os.environ.get("LOOP_AXE")
        if script:
            tab.add_script_tag(path=script)
            assert tab.evaluate(AXE) == [], path
    context.close()
