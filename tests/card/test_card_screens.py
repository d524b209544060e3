"""Every screen state can be read and touched: small and large, in sunlight and in the dark."""

import os
from pathlib import Path
from typing import Any

import pytest

from tests.browser import Phone
from tests.card.states import SCHEMES, WIDTHS, states

# Side of a touch target [px].
TARGET = 48
# What one thumb can reach: the lower part of the screen.
REACH = 0.5
VIEWS = ("Ask", "Answer", "Loop", "Office")
_SMALL = """(least) => [...document.querySelectorAll("button, input, summary, textarea, a")]
  .map((e) => [e.textContent || e.id, e.getBoundingClientRect()])
  .filter(([, b]) => b.width > 0 && (b.height < least - 0.5 || b.width < least - 0.5))
  .map(([t, b]) => `${t} ${b.width}×${b.height}`)"""
_AXE = """async () => (await axe.run(document, {
  rules: { "color-contrast-enhanced": { enabled: true } },
})).violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html)}`)"""
_HIGHEST = """() => Math.min(...[...document.querySelectorAll("#bar button")]
  .map((one) => one.getBoundingClientRect().top / innerHeight))"""

_CUT = """[...document.querySelectorAll("button, h1, h2, h3")]
  .filter((one) => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1)
  .map((one) => one.textContent)"""


def expect_reached(one: Phone) -> None:
    """Nothing overflows or is cut off, targets are large enough, the bar leaves half a screen."""
    assert one.overflow() == []
    assert one.page.evaluate(_CUT) == []
    assert one.page.evaluate(_SMALL, TARGET) == []
    assert one.page.evaluate(_HIGHEST) > REACH


def expect_sound(one: Phone) -> None:
    """All of this, and axe finds no violation."""
    expect_reached(one)
    axe = os.environ.get("LOOP_AXE", "")
    if axe:
        if not one.page.evaluate("'axe' in window"):
            one.page.evaluate(Path(axe).read_text(encoding="utf-8"))
        assert one.page.evaluate(_AXE) == []


# A browser with text enlarged to twice the size.
_LARGE = """addEventListener("DOMContentLoaded", () => {
  const root = document.documentElement;
  root.style.fontSize = `${2 * parseFloat(getComputedStyle(root).fontSize)}px`;
})"""


def every_state(file: Path, chromium: Any, width: int, scheme: str, before: str = "") -> None:
    one = Phone(chromium, file, width, clock=True, before=before, color_scheme=scheme)
    for state in states(one):
        try:
            expect_sound(one)
        except AssertionError as error:
            raise AssertionError(f"{state}, {width} px, {scheme}: {error}") from error
    assert one.trouble == []
    one.close()


def test_every_state_can_be_read_and_touched(made: Any, chromium: Any) -> None:
    every_state(made("guillemot").file, chromium, 320, "dark")


@pytest.mark.parametrize("width", [320, 390])
def test_every_view_fits_a_small_screen_in_large_type(width: int, made: Any, chromium: Any) -> None:
    one = Phone(chromium, made("kittiwake").file, width, before=_LARGE)
    for view in VIEWS:
        one.view(view)
        expect_reached(one)
    one.close()


@pytest.mark.extended
@pytest.mark.parametrize("width", WIDTHS)
def test_every_state_fits_every_width_in_large_type(width: int, made: Any, chromium: Any) -> None:
    every_state(made("guillemot").file, chromium, width, "dark", _LARGE)


@pytest.mark.extended
@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
def test_every_state_at_every_width(width: int, scheme: str, made: Any, chromium: Any) -> None:
    every_state(made("guillemot").file, chromium, width, scheme)
