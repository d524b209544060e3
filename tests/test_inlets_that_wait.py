"""An inlet slightly too narrow is a note if all else is ample, and never comes before a handle."""

from typing import Any

import pytest

from loop.check import CheckResult, check
from loop.job import parse_job
from loop.margins.speed import SUCTION_MAX
from loop.pumps import PumpCurve, Series
from loop.size.rules import Rules
from loop.words import Finding
from loop.words.actions import SetValve
from tests.loops import Table, changed, found

Change = tuple[str | int, str, Any]
NARROW: list[Change] = [(1, "bore", "1/2 in"), (2, "bore", "1/2 in"), (1, "height", "-24 in")]
SMALL: Change = ("condenser", "cooling", "10000 BTU/h")


def narrow(*changes: Change) -> CheckResult:
    """A through-hull and seacock of 1/2 in on 3/4 in hose."""
    return check(parse_job(changed(*NARROW, *changes)))


def level_of(result: CheckResult) -> str:
    fast = found(result, "inlet-fast")
    assert {one.at.part for one in fast} == {"part[1]", "part[2]"}
    (level,) = {one.level for one in fast}
    return level


def test_it_waits_for_the_next_haul_out_where_units_and_suction_have_plenty() -> None:
    result = narrow(SMALL)
    assert level_of(result) == "note"
    assert result.verdict == "good"
    assert min(one.flow_low / one.needed_flow for one in result.condensers) >= 1
    for one in found(result, "inlet-fast"):
        for action in one.actions:
            assert not found(check(action.apply(result.job), fixes=False), "inlet-fast")


@pytest.mark.parametrize(
    "change",
    [
        ("condenser", "cooling", "13500 BTU/h"),  # too little at the low edge
        (6, "curve", "demo-ac-500"),  # much faster than the limit
        (2, "bore", "3/8 in"),
    ],
    ids=str,
)
def test_it_does_not_where_the_flow_is_scant_or_the_water_far_too_fast(change: Change) -> None:
    result = narrow(SMALL, change)
    assert "warning" in {one.level for one in found(result, "inlet-fast")}
    assert result.verdict != "good"


@pytest.mark.parametrize(("required", "level"), [(2.0, "note"), (5.0, "warning")])
def test_it_does_not_where_the_pump_needs_the_head(required: float, level: str) -> None:
    """About 9.5 m is available: less than twice 1.3 times 5 m."""
    data: Table = changed(*NARROW, SMALL)
    own = parse_job(data).pump.curve
    row = Series(unit="m", values=(required,) * len(own.curve.flow.values))
    fields = {name: getattr(own, name) for name in PumpCurve.model_fields}
    curve = own.curve.model_copy(update={"npsh_required": row})
    data["part"][5]["curve"] = PumpCurve(**{**fields, "curve": curve})
    assert level_of(check(parse_job(data), fixes=False)) == level


def test_a_sizing_buys_no_inlet_that_waits() -> None:
    """No boat is hauled for such a pump, but one that leaves the inlets slow comes first."""
    need: Change = ("condenser", "cooling", "9500 BTU/h")
    data: Table = changed(*NARROW, need, (6, "curve", "demo-ac-200"))
    data["sizing"] = {"service_blocked": "0 %"}
    rules = Rules(parse_job(data))
    option = parse_job(changed((6, "curve", "demo-ac-350"), base=data))
    assert level_of(check(option, fixes=False)) == "note"
    assert rules.judge(option).passes
    assert rules.as_new(option)[1] == ("inlet-fast",)


def test_one_that_has_it_already_may_be_sized_with_it() -> None:
    data: Table = changed(*NARROW, SMALL)
    data["sizing"] = {"service_blocked": "0 %"}
    job = parse_job(data)
    assert Rules(job).as_new(job)[1] == ()


def part_shut() -> tuple[CheckResult, Finding]:
    result = narrow((2, "open", "70 %"), (2, "bore", "3/4 in"), (2, "port", "3/8 in"), SMALL)
    (shut,) = found(result, "seacock-part-shut")
    return result, shut


def test_a_handle_is_turned_before_a_boat_is_hauled() -> None:
    result, shut = part_shut()
    codes = [one.code for one in result.findings]
    assert "warning" in {one.level for one in found(result, "inlet-fast")}
    assert codes.index("seacock-part-shut") < codes.index("inlet-fast")
    assert shut.actions == (SetValve("part[2]", 0.0),)


def test_it_is_turned_though_more_water_then_is_too_fast_to_wait() -> None:
    """A note becomes a warning; even so the suction loses less head."""
    result = narrow((1, "bore", "3/4 in"), (2, "bore", "3/4 in"), (2, "port", "1/2 in"),
                    (2, "open", "70 %"))  # fmt: skip
    (shut,) = found(result, "seacock-part-shut")
    assert [one.level for one in found(result, "inlet-fast")] == ["note"]
    assert shut.actions == (SetValve("part[2]", 0.0),)
    after = check(shut.actions[0].apply(result.job), fixes=False)
    assert [one.level for one in found(after, "inlet-fast")] == ["warning"]


def test_opening_it_makes_nothing_worse_that_takes_less_of_the_suctions_head() -> None:
    """More water flows, faster in the port; the suction loses less head on the way to the pump."""
    result, shut = part_shut()
    after = check(shut.actions[0].apply(result.job), fixes=False)
    before, now = (
        max(one.values["speed"] for one in found(some, "inlet-fast")) for some in (result, after)
    )
    assert isinstance(before, float)
    assert isinstance(now, float)
    assert now > 1.03 * before > SUCTION_MAX
    assert after.point.pump_inlet.total_head > result.point.pump_inlet.total_head
    assert not shut.values.get("worsens")
