"""What heel costs the units when it raises an outlet."""

import math
from typing import Any

import pytest

from loop.check import CheckResult
from tests.loops import check_of, found

INCH = 0.0254
LONG = [(10, "length", "16 ft"), (6, "off_centre", "0 in"), (1, "off_centre", "0 in")]


def with_outlet(up: str, off: str, heel: str) -> CheckResult:
    """The plain loop with its outlet at this height and distance off the centerline."""
    placed: list[tuple[str | int, str, Any]] = [(11, "off_centre", off), ("boat", "heel", heel)]
    return check_of(*LONG, (10, "to", up), (11, "height", up), *placed)


@pytest.mark.parametrize("off", ["8 ft", "-8 ft"])
def test_an_outlet_that_heel_lifts_is_judged_at_its_height(off: str) -> None:
    """Eight feet off center at 20 degrees it is 33 in higher: as in a loop built that way."""
    (note,) = found(with_outlet("40 in", off, "20 deg"), "lifted-short")
    rise = 96 * math.sin(math.radians(20))
    assert note.level == "note"
    assert note.values["rise"] == pytest.approx(rise * INCH)
    built = with_outlet(f"{40 + rise} in", "0 in", "0 deg")
    assert note.values["flow"] == pytest.approx(built.condensers[0].flow, rel=2e-3)


@pytest.mark.parametrize(
    ("up", "off", "heel"),
    [("40 in", "8 ft", "0 deg"), ("40 in", "0 ft", "20 deg"), ("40 in", "1 ft", "20 deg")],
)
def test_one_that_it_hardly_lifts_is_not(up: str, off: str, heel: str) -> None:
    assert not found(with_outlet(up, off, heel), "lifted-short")


@pytest.mark.parametrize(("heel", "off"), [("0 deg", "8 ft"), ("20 deg", "0 ft")])
def test_an_outlet_that_a_light_load_lifts_is_judged_at_its_height(heel: str, off: str) -> None:
    """The whole hull rises: as in a loop built so, however far out the outlet is."""
    deep: list[tuple[str | int, str, Any]] = [(1, "height", "-60 in"), (3, "to", "-50 in")]
    deep += [(3, "length", "5 ft"), (5, "to", "-40 in"), ("boat", "light_rise", "30 in")]
    at = [(11, "off_centre", off), ("boat", "heel", heel), (8, "length", "12 ft")]
    low = [(10, "to", "40 in"), (11, "height", "40 in")]
    light = check_of(*LONG, *deep, *at, *low)
    (warning,) = found(light, "lifted-short")
    assert warning.level == "warning"
    assert warning.values["rise"] == pytest.approx(30 * INCH)
    built = check_of(*LONG, *deep, *at, (10, "to", "70 in"), (11, "height", "70 in"))
    assert warning.values["flow"] == pytest.approx(built.condensers[0].flow, rel=2e-3)
    assert not found(
        check_of(*LONG, *deep, *at, *low, ("boat", "light_rise", "1 in")), "lifted-short"
    )


def test_where_the_flow_is_short_upright_that_is_the_finding() -> None:
    result = with_outlet("80 in", "8 ft", "20 deg")
    assert found(result, "flow-short")
    assert not found(result, "lifted-short")
