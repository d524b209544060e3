"""Numbers in instructions: as a tape or meter reads them, rounded to the safe side."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.check import check
from loop.units import System, parse, show
from loop.words import say
from loop.words.numbers import exact, round_down, round_up
from tests.loops import found, job_of

systems = st.sampled_from(["us", "si"])


@given(st.floats(-3, 3), systems)
def test_a_height_to_be_set_is_what_a_tape_reads(height: float, system: System) -> None:
    """To 0.1 in or 1 mm however small it is, and never past what was required."""
    low, high = (turn(height, "height", system) for turn in (round_down, round_up))
    assert low <= height + 1e-9
    assert high >= height - 1e-9
    for value in (low, high):
        tape = r"−?([\d,]+(\.[1-9])? (in|cm)|[\d,]+ ft( [\d]+(\.[1-9])? in)?)"
        assert re.fullmatch(tape, exact(value, "height", system))


def test_a_pump_is_mounted_two_inches_down_not_1_97() -> None:
    lower = round_down(parse("-1.97 in", "length"), "height", "us")
    assert exact(-lower, "height", "us") == "2 in"


@given(st.integers(1, 400))
def test_whole_volts_have_no_nought_after_the_point(volts: int) -> None:
    for shown in (show, exact):
        assert shown(float(volts), "voltage", "us") == f"{volts} V"
    assert show(volts + 0.4, "voltage", "si") == f"{volts}.4 V"


@pytest.mark.parametrize(("inches", "sold"), [(0.5, 13), (0.625, 16), (0.75, 19), (2.0, 51)])
def test_an_inch_size_is_said_in_si_as_it_is_sold(inches: float, sold: int) -> None:
    assert show(inches * 0.0254, "bore", "si") == f"{sold} mm"
    assert abs(inches * 25.4 - sold) < 0.5


def test_a_tube_that_is_needed_is_wide_enough_as_said() -> None:
    (fast,) = found(check(job_of((9, "tube_bore", "0.4 in"))), "tube-fast")
    said = re.search(r"([\d.]+) in ", say(fast, job_of()).fix)
    bore = fast.values["bore"]
    assert said is not None
    assert isinstance(bore, float)
    assert bore / 0.0254 <= float(said[1]) < bore / 0.0254 + 0.01
