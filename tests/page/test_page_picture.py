"""The page's picture against the figure of the same loop: water color, label placement."""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgb

from loop.check import check
from loop.draw import draw
from loop.draw.style import AMBER
from loop.hydraulics.gauge_pressure import DRAWS_AIR_BELOW
from loop.job import read_job
from tests.page.conftest import ROOT, Started

EXAMPLES = ROOT / "examples"
# Loops in one line: a suction that rises above the sea, air in a leg, and plain ones.
LINES = ("petrel.toml", "curlew.toml", "turnstone.toml", "eider.toml")

# Stretches of water as drawn, each with the heights of both ends in the shown unit and its shade.
_WATER = """() => {
  const ticks = [...document.querySelectorAll("#picture .tick")];
  const at = (tick) => [Number(tick.getAttribute("y1")), Number(tick.nextSibling.textContent.replace("−", "-"))];
  const [y1, h1] = at(ticks[0]), [y2, h2] = at(ticks[ticks.length - 1]);
  const height = (y) => h1 + ((y - y1) * (h2 - h1)) / (y2 - y1);
  return [...document.querySelectorAll("#picture .water.cut")].map((line) => [
    height(Number(line.getAttribute("y1"))), height(Number(line.getAttribute("y2"))), line.classList.contains("under"),
    Number(line.getAttribute("x2"))]);
}"""  # noqa: E501
# Labels of the drawing that overlap each other or a mark, or are cut off.
_CLASHES = """() => {
  const svg = document.getElementById("picture"), all = svg.getBoundingClientRect();
  const box = (one) => one.getBoundingClientRect();
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
  const words = [...svg.querySelectorAll(".word")], marks = [...svg.querySelectorAll(".glyph circle")];
  const found = [];
  words.forEach((word, i) => {
    const here = box(word);
    if (here.left < all.left - 1 || here.right > all.right + 1) found.push(`${word.textContent} is cut`);
    words.slice(i + 1).forEach((other) => over(here, box(other)) && found.push(`${word.textContent} on ${other.textContent}`));
    marks.forEach((mark) => {
      const round = box(mark), inner = { left: round.left + 3, right: round.right - 3, top: round.top + 3, bottom: round.bottom - 3 };
      if (over(here, inner)) found.push(`${word.textContent} on a mark`);
    });
  });
  return found;
}"""  # noqa: E501


@pytest.fixture
def sized(chromium: Any) -> Iterator[Any]:
    """Opens an address in a window of a width."""
    contexts = []

    def opened(address: str, width: int) -> Any:
        contexts.append(chromium.new_context(viewport={"width": width, "height": 900}))
        page = contexts[-1].new_page()
        page.goto(address)
        if "/lesson/" in address:
            page.get_by_role("button", name="Reveal").click()
        else:
            page.locator("#verdict .word").wait_for()
        page.locator("#picture .glyph").first.wait_for()
        return page

    yield opened
    for context in contexts:
        context.close()


def turns_of_figure(file: Path) -> list[float]:
    """Heights at which the figure's water turns amber or back, along the path."""
    figure = draw(check(read_job(file)), "profile")
    water = next(
        drawn
        for ax in figure.axes
        for drawn in ax.collections
        if isinstance(drawn, LineCollection) and drawn.get_label() == "water"
    )
    amber = [tuple(color[:3]) == to_rgb(AMBER) for color in water.get_colors()]
    ends = water.get_segments()
    return [
        float(ends[i + 1][0][1]) for i in range(len(amber) - 1) if amber[i] != amber[i + 1]
    ]  # fmt: skip


def turns_of_page(stretches: list[list[Any]]) -> list[float]:
    """The same of the page's picture."""
    return [after[0] for before, after in pairwise(stretches) if before[2] != after[2]]


@pytest.mark.parametrize("name", LINES)
def test_page_and_figure_turn_amber_at_the_same_places(
    sized: Any, started: Started, name: str
) -> None:
    page = turns_of_page(sized(f"{started.address}bench/{name}", 1280).evaluate(_WATER))
    assert page == pytest.approx(turns_of_figure(EXAMPLES / name), abs=0.05)


@pytest.mark.parametrize("name", LINES)
def test_the_hose_into_the_pump_has_the_color_of_its_own_pressure(
    sized: Any, started: Started, name: str
) -> None:
    tab = sized(f"{started.address}bench/{name}", 1280)
    pump = float(tab.locator("#picture .glyph.pump circle").get_attribute("cx"))
    entering = next(under for _, _, under, x in tab.evaluate(_WATER) if abs(x - pump) < 0.01)
    inlet = check(read_job(EXAMPLES / name)).point.pump_inlet.gauge_pressure
    assert entering == (inlet < DRAWS_AIR_BELOW)


@pytest.mark.parametrize(
    ("path", "width"),
    [
        ("lesson/8", 1000),
        ("lesson/8", 375),
        ("lesson/4", 375),
        ("bench/petrel.toml", 375),
        ("bench/curlew.toml", 375),
        ("bench/guillemot.toml", 375),
        ("bench/razorbill.toml", 375),
        ("bench/curlew.toml", 1280),
        ("show/petrel.toml", 1280),
    ],
)
def test_words_keep_off_each_other_and_off_the_marks(
    sized: Any, started: Started, path: str, width: int
) -> None:
    tab = sized(started.address + path, width)
    assert tab.locator("#picture .word").count() >= 5
    assert tab.evaluate(_CLASHES) == []
    letters = tab.locator("#picture .glyph text").all_text_contents()
    assert all(letters)
    assert len(letters) == tab.locator("#picture .glyph").count()
