"""What a sizing says about the existing loop when more flow is not what it needs."""

from functools import cache

import pytest

from loop.job import Job, parse_job
from loop.size import SizeResult, size
from loop.size.as_json import to_json
from loop.size.result import UnitOdds
from loop.size.sections import sections
from tests.loops import Table, changed, plain_loop

PUMPS = {"pumps": ["demo-ac-700", "demo-ac-1500"]}
BORES = {"bores": ["3/4 in", "1 in"]}


def scooping(tube: str) -> Job:
    """A boat of 26 knots with a forward scoop, whose unit has tubes of this bore."""
    scoop = (1, "facing", "forward"), (1, "height", "-20 in"), ("boat", "speed", "26 knot")
    return parse_job(changed(*scoop, (9, "tube_bore", tube)) | {"sizing": PUMPS | BORES})


@cache
def scooped(tube: str) -> SizeResult:
    return size(scooping(tube), draws=20)


def in_line() -> Job:
    """Two units in series on one line."""
    table = plain_loop()
    table["condenser"].append({"name": "cabin", "cooling": "12000 BTU/h"})
    second: list[Table] = [
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
        {"kind": "condenser", "serves": "cabin", "loss": "2.2 psi at 240 gal/h"},
    ]
    table["part"][9:9] = second
    table["part"][5]["curve"] = "demo-ac-700"
    table["water"]["temperature"] = "84 degF"
    return parse_job(table | {"sizing": {"pumps": ["demo-ac-1500"]} | BORES})


def titles(result: SizeResult) -> list[str]:
    return [section.of for section in sections(result)]


def test_water_too_fast_is_answered_by_no_more_of_it() -> None:
    result = scooped("0.45 in")
    assert result.least_change
    assert all(change.gain <= 0 for change in result.least_change)
    assert result.least_change[-1].passes


@pytest.mark.parametrize("tube", ["0.45 in", "0.5 in"])
def test_no_change_that_brings_only_flow_is_offered_where_there_is_enough(tube: str) -> None:
    result = scooped(tube)
    assert all(unit.flow_low >= unit.needed_flow for unit in _as_is(result))
    assert not result.least_change or result.least_change[-1].passes


def _as_is(result: SizeResult) -> tuple[UnitOdds, ...]:
    return next(option.units for option in result.options if option.as_is)


def test_units_in_line_are_first_said_to_be_piped_side_by_side() -> None:
    result = size(in_line(), draws=20)
    assert [one.code for one in result.advised] == ["condensing-high"]
    assert [one["code"] for one in to_json(result)["advised"]] == ["condensing-high"]
    names = titles(result)
    assert "least" not in names or names.index("advised") < names.index("least")


def test_where_water_is_short_what_brings_most_is_still_told() -> None:
    """The unit cannot get its water through a long half-inch hose."""
    far = changed((8, "length", "300 ft"), (8, "bore", "1/2 in"), (9, "loss", "9 psi at 180 gal/h"))
    result = size(parse_job(far | {"sizing": PUMPS | {"bores": ["1/2 in", "5/8 in"]}}), draws=50)
    assert result.least_change
    assert not result.least_change[-1].passes
    assert result.least_change[0].gain > 0
    assert result.advised == ()
