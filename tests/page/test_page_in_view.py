"""What is in view together: on a wall while a hose is dragged, and on a phone without scrolling."""

from typing import Any

import pytest

from loop.check import check
from loop.cli.output import span
from loop.job import read_job
from loop.page.answer import answer
from loop.page.folder import Folder
from loop.units import show
from loop.words.check_report import SAY as CHECK
from tests.command_line import loop
from tests.page.conftest import Started
from tests.page.test_page_browser import opened, soon, verdict

# A finger hits what is at least this high [CSS px].
_FINGER = 44
_SMALL = """(least) => [...document.querySelectorAll("button, a, select, summary, #source")]
  .filter((one) => one.checkVisibility() && !one.matches("#source"))
  .filter((one) => { const box = one.getBoundingClientRect(); return box.height < least - 0.5; })
  .map((one) => `${one.tagName} ${one.textContent}`)"""

# Corners of the drawn air, and whether it runs from one corner of the pipe to the next.
_AIR_IN_PIPE = """() => {
  const at = (one, n) => ["x", "y"].map((v) => (+one.getAttribute(v + n)).toFixed(1)).join(",");
  const skins = [...document.querySelectorAll("#picture .skin")];
  const pipe = skins.map((one) => `${at(one, 1)} ${at(one, 2)}`);
  const air = document.querySelector("#picture polyline.air").getAttribute("points").split(" ");
  return air.slice(1).map((corner, i) => pipe.includes(`${air[i]} ${corner}`));
}"""

_SELECTED = "(all) => all.findIndex((one) => one.ariaSelected === 'true')"


def _bottom(tab: Any, name: str) -> float:
    box = tab.locator(name).bounding_box()
    return float(box["y"] + box["height"])


def test_a_class_sees_air_stay_where_a_straight_hose_is_raised(tab: Any, started: Started) -> None:
    tab.set_viewport_size({"width": 1920, "height": 1080})
    tab.goto(f"{started.address}show/kittiwake.toml")
    tab.locator("#verdict .word").wait_for()
    assert tab.locator("#picture .airword").count() == 0
    knob = tab.get_by_label("Height of the middle of suction hose").bounding_box()
    x, y = knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    # Further than the hose reaches: it goes as far as it is long.
    tab.mouse.move(x, y - 300, steps=6)
    tab.mouse.up()
    assert soon(lambda: verdict(tab) == "BAD")
    assert tab.locator("#picture .airword").all_text_contents() == ["air stays"]
    assert tab.locator("#told").is_hidden()
    handle = tab.get_by_label("Height of a point of suction hose").first
    assert float(handle.get_attribute("aria-valuenow")) % 0.5 == 0
    assert tab.evaluate("scrollY") == 0
    for name in ("#picture", "#verdict", "#flows"):
        assert _bottom(tab, name) <= 1080


def test_air_beyond_a_raised_strainer_is_drawn_in_the_pipe(tab: Any, started: Started) -> None:
    """The air starts at a part without length, whose two ends are one point of the way."""
    tab.goto(f"{started.address}show/kittiwake.toml")
    tab.get_by_label("Height of a point of suction hose").focus()
    for _ in range(3):
        tab.keyboard.press("PageUp")
    tab.locator("#picture .airword").wait_for()
    assert tab.evaluate(_AIR_IN_PIPE) == [True, True]


@pytest.mark.parametrize(
    ("name", "branch"),
    [("razorbill.toml", "to the stateroom"), ("guillemot.toml", "to the saloon")],
)
def test_the_drawing_opens_on_the_branch_of_the_gravest_finding(
    tab: Any, started: Started, name: str, branch: str
) -> None:
    opened(tab, started, name)
    tabs = tab.locator("#ways button")
    assert tabs.nth(tabs.evaluate_all(_SELECTED)).inner_text() == branch


def test_the_middle_of_a_hose_is_moved_by_keys_and_kept_as_a_point(
    tab: Any, started: Started, own_job: str
) -> None:
    opened(tab, started, own_job)
    tab.get_by_label("Height of the middle of pressure hose").focus()
    tab.keyboard.press("PageUp")
    point = tab.get_by_label("Height of a point of pressure hose").first
    assert soon(lambda: point.evaluate("(one) => one === document.activeElement"))
    before = point.get_attribute("aria-valuetext")
    tab.keyboard.press("ArrowUp")
    assert soon(lambda: point.get_attribute("aria-valuetext") != before)
    tab.get_by_role("button", name="Save").click()
    tab.get_by_text("Saved.").wait_for()
    hose = next(
        p for p in read_job(started.folder / own_job).part if getattr(p, "via", ()) and p.length > 2
    )
    # From halfway between the pump's 10 in below the water and the condenser's 10 in above it.
    assert hose.via[0].height == pytest.approx(3.5 * 0.0254, abs=1e-3)


@pytest.mark.parametrize("name", ["petrel.toml", "petrel-fixed.toml", "razorbill.toml"])
def test_the_drawing_shows_where_a_bleed_is_missing(tab: Any, started: Started, name: str) -> None:
    opened(tab, started, name)
    shown = tab.locator("#ways button").evaluate_all(_SELECTED)
    wanted = check(read_job(started.folder / name)).air[max(shown, 0)].proposed
    assert tab.locator("#picture .bleedword").count() == len(wanted)
    assert tab.locator("#picture .bleeds circle").count() == len(wanted)


def test_page_and_check_agree_on_the_high_points_that_keep_air(started: Started) -> None:
    text = (started.folder / "kittiwake.toml").read_text(encoding="utf-8")
    raised = text.replace('to = "-12 in"', 'to = "-12 in"\nvia = ["-6 in"]', 1)
    shown = answer(Folder(started.folder), raised)
    assert shown["told"][0]["code"] == "suction-hump"
    assert shown["picture"]["ways"][0]["high"][0]["air"] == "held"


def test_on_a_phone_each_unit_comes_before_the_drawing_and_a_finger_hits_everything(
    chromium: Any, started: Started
) -> None:
    context = chromium.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True
    )
    tab = context.new_page()
    opened(tab, started, "razorbill.toml")
    order = [tab.locator(one).bounding_box()["y"] for one in ("#verdict", "#flows", "#stage")]
    assert order == sorted(order)
    nav = tab.locator("nav")
    assert nav.evaluate("(one) => one.scrollWidth <= one.clientWidth")
    sheet = tab.get_by_role("button", name="Job sheet")
    assert sheet.is_hidden()
    tab.get_by_role("button", name="More").tap()
    assert sheet.is_visible()
    for path in ("bench/razorbill.toml", "", "show", "lessons", "lesson/1", "drill", "pump"):
        tab.goto(started.address + path)
        tab.locator("h1").wait_for()
        assert tab.evaluate(_SMALL, _FINGER) == [], path
    context.close()


def test_drawings_are_as_wide_as_they_are_shown(tab: Any, started: Started) -> None:
    for width in (390, 1280, 1920):
        tab.set_viewport_size({"width": width, "height": 900})
        opened(tab, started, "petrel.toml")
        tab.select_option("#compare", "petrel-fixed.toml", force=True)
        tab.locator("#found svg").nth(1).wait_for()
        ratios = tab.evaluate(
            """[...document.querySelectorAll("#found svg, #curves svg, #picture")]
              .map((one) => one.getBoundingClientRect().width / one.viewBox.baseVal.width)"""
        )
        assert ratios == pytest.approx([1.0] * len(ratios), abs=0.02)


@pytest.mark.parametrize("units", ["us", "si"])
def test_a_unit_gets_on_the_page_what_the_terminal_says(
    tab: Any, started: Started, units: str
) -> None:
    text = (started.folder / "razorbill.toml").read_text(encoding="utf-8")
    name = f"said-{units}.toml"
    (started.folder / name).write_text(
        text.replace('units = "us"', f'units = "{units}"'), encoding="utf-8"
    )
    opened(tab, started, name)
    shown = tab.locator("#flows .unit").all_inner_texts()
    for unit, said in zip(check(read_job(started.folder / name)).condensers, shown, strict=True):
        flow, need = (show(q, "flow", units) for q in (unit.flow, unit.needed_flow))
        band = span(unit.flow_low, unit.flow_high, "flow", units)
        assert said.startswith(f"{unit.name}: {flow} ({band}), {need.split()[0]} needed: ")


def test_a_flow_at_the_middle_of_its_band_is_just_enough_everywhere(
    tab: Any, started: Started
) -> None:
    text = (started.folder / "kittiwake.toml").read_text(encoding="utf-8")
    just = text.replace(
        'cooling = "12000 BTU/h"', 'cooling = "12000 BTU/h"\nflow_needed = "225 gal/h"'
    )
    (started.folder / "just.toml").write_text(just, encoding="utf-8")
    opened(tab, started, "just.toml")
    word = CHECK("just-enough")
    assert tab.locator("#flows .unit b").nth(1).inner_text() == word
    assert f" {word}\n" in loop("check", started.folder / "just.toml").stdout


def test_a_mistake_of_a_broken_file_begins_with_its_place(tab: Any, started: Started) -> None:
    text = (started.folder / "kittiwake.toml").read_text(encoding="utf-8")
    (started.folder / "pmp.toml").write_text(
        text.replace('kind = "pump"', 'kind = "pmp"'), encoding="utf-8"
    )
    tab.goto(f"{started.address}bench/pmp.toml")
    tab.get_by_text("This file cannot be read").wait_for()
    assert tab.locator("#told").inner_text().startswith("part 6 (pmp)")
