"""Numbers in sentences: heights in feet and inches where that reads better."""

import math
import re
from types import SimpleNamespace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from loop.check import check
from loop.draw.bores import _cell_words
from loop.units import parse, show
from loop.words import say
from loop.words.action_words import action_text
from loop.words.actions import LowerOutlet
from loop.words.chance import chance
from loop.words.numbers import apart, round_down, round_up, said, spoken, whole_down, whole_up
from loop.words.sizing import SAY
from loop.words.speaker import Speaker
from tests.loops import job_of


@given(st.floats(-20.0, 20.0), st.sampled_from([None, 1, 2, 3, 4]))
@example(1.2191, 3)
def test_a_height_is_read_back_as_it_was_said(height: float, least: int | None) -> None:
    text, places = spoken(height, "height", "us", least), least or 1
    off = abs(parse(text.lstrip("−"), "length") - abs(height))
    assert off <= 0.0254 / 2 / 10**places + 1e-6
    tall = " ft" in text or text.endswith("ft")
    assert tall == (round(abs(height) / 0.0254, places) >= 36)
    inches = re.search(r"([\d.]+) in", text)
    assert not tall or inches is None or 0 < float(inches[1]) < 12
    assert spoken(height, "height", "si") == show(height, "height", "si")


@pytest.mark.parametrize("quantity", ["length", "head", "bore", "flow"])
def test_nothing_else_is_said_otherwise(quantity: str) -> None:
    assert spoken(2.0, quantity, "us") == show(2.0, quantity, "us")
    assert spoken(math.nan, "height", "us") == show(math.nan, "height", "us")


def test_an_instruction_says_feet_and_inches() -> None:
    high = job_of((10, "to", "60 in"), (11, "height", "60 in"))
    said = action_text(LowerOutlet("part[11]", 45.5 * 0.0254), Speaker(high))
    assert "5 ft" in said
    assert "3 ft 9.5 in" in said
    low = action_text(LowerOutlet("part[11]", 6 * 0.0254), Speaker(high))
    assert " 6 in " in low
    assert "ft 6 in" not in low


@pytest.mark.parametrize("heel", [0, 12])
def test_one_opening_is_as_deep_here_as_there_or_its_heel_is_said(heel: int) -> None:
    """Two findings about one outlet, one of them for the boat at its worst heel."""
    job = job_of(
        (10, "to", "-5 in"),
        (11, "height", "-5 in"),
        (11, "off_centre", "20 in"),
        ("boat", "heel", f"{heel} deg"),
    )
    said = {
        one.code: say(one, job).message for one in check(job).findings if one.at.part == "part[11]"
    }
    assert "5 in" in said["discharge-under-water"]
    missing = said["seacock-missing"]
    heeled = f"{5 + 20 * math.sin(math.radians(12)):.1f} in"
    assert "5 in" in missing
    assert (heeled in missing) == bool(heel)
    (shown,) = (one for one in check(job).findings if one.code == "seacock-missing")
    assert ("upright" in shown.values) == bool(heel)


@pytest.mark.parametrize(
    ("inches", "down", "up"),
    [(7.7, 7.5, 8.0), (-1.3, -1.5, -1.0), (35.2, 35.0, 35.5), (124.2, 124, 125)],
)
def test_an_instruction_is_in_half_inches_and_in_whole_ones_from_three_feet_on(
    inches: float, down: float, up: float
) -> None:
    inch = 0.0254
    assert round_down(inches * inch, "height", "us") == pytest.approx(down * inch)
    assert round_up(inches * inch, "height", "us") == pytest.approx(up * inch)
    assert whole_down(inches * inch, "us") == pytest.approx(math.floor(inches) * inch)
    assert whole_up(inches * inch, "us") == pytest.approx(math.ceil(inches) * inch)
    # What is round stays so.
    assert round_up(down * inch, "height", "us") == pytest.approx(down * inch)


def test_heights_that_are_compared_are_in_feet_where_both_are_tall() -> None:
    assert apart(2.7432, 1.5, "height", "us") == ("9 ft", "4 ft 11 in")
    assert apart(0.02, 0.05, "height", "us") == ("0.8 in", "2 in")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.002, SAY("chance-least")),
        (0.72, SAY("chance", percent="72")),
        (0.993, SAY("chance", percent="99")),
        (0.996, SAY("chance-most")),
        (1, SAY("chance-most")),
    ],
)
def test_a_chance_is_the_same_text_in_a_sizing_and_in_its_figure(value: float, text: str) -> None:
    """No number of samples makes it certain."""
    option = SimpleNamespace(passes=True, chance=value, choice=None, reasons=())
    assert text in _cell_words(option)
    assert chance(value) == text


@given(st.floats(1e-5, 1.0), st.sampled_from(["us", "si"]))
@example(0.0012, "us")
def test_a_height_that_there_is_is_not_said_to_be_none(height: float, system: str) -> None:
    text = said(height, "height", system)
    assert float(re.findall(r"[\d.]+", text)[0]) > 0
    if text.startswith("less than "):
        assert height < parse(text.removeprefix("less than "), "length")
