"""Vented loops below the sea outside, at heel, trim and in waves: heights by plane geometry."""

import math
from typing import Any

import pytest

from loop.check import check
from loop.check.result import CheckResult
from loop.job import Job, parse_job
from loop.parts import VentedLoop
from loop.words.actions import SetHeights
from tests.loops import codes, plain_loop

# Least height of a vented loop above the water, 6 in: common practice.
LEAST = 0.15


def vented(height: float, outlet: float = -0.15, **changes: Any) -> Job:
    """The plain loop with an outlet under water behind a seacock, and a vented loop before it."""
    table = plain_loop()
    *before, _, last = table["part"]
    loop = {"kind": "vented loop", **changes.pop("vent", {})}
    over = {**last, "height": f"{outlet} m", **changes.pop("last", {})}
    up = {"kind": "hose", "length": "4 m", "to": f"{height} m"}
    down = {"kind": "hose", "length": "4 m", "to": f"{outlet} m"}
    table["part"] = [*before, up, loop, down, {"kind": "seacock"}, over]
    table["boat"] = changes
    return parse_job(table)


def found(job: Job) -> dict[str, str]:
    """Level of the finding about the vented loop, by its case."""
    result: CheckResult = check(job, fixes=False)
    return {
        str(one.values["case"]): one.level
        for one in result.findings
        if one.code == "part-order" and str(one.values["case"]).startswith("vent")
    }


@pytest.mark.parametrize("heel", [10, 20, 35])
@pytest.mark.parametrize("out", [0.6, 1.5])
def test_a_vent_that_heel_puts_under_is_a_danger(heel: float, out: float) -> None:
    """The sea is off-center distance × sin(heel) higher on the outlet's side."""
    up = out * math.sin(math.radians(heel))
    tilted = {"heel": f"{heel} deg", "last": {"off_centre": f"{out} m"}}
    assert found(vented(up - 0.01, **tilted)) == {"vent-heeled": "danger"}
    near = found(vented(up + LEAST - 0.02, **tilted))
    assert near == {"vent-near-heeled": "warning"}
    assert not found(vented(up + LEAST + 0.01, **tilted))


def test_trim_counts_like_heel() -> None:
    up = 5 * math.sin(math.radians(4))
    tilted = {"trim": "4 deg", "last": {"fore_aft": "5 m"}}
    assert found(vented(up - 0.01, **tilted)) == {"vent-heeled": "danger"}
    assert not found(vented(up + LEAST + 0.01, **tilted))


def test_a_vent_in_the_middle_of_the_boat_is_not_put_under_by_heel() -> None:
    """Its own position counts if stated; else that of its outlet, on the safe side."""
    tilted = {"heel": "30 deg", "last": {"off_centre": "1.5 m"}}
    assert found(vented(0.2, **tilted))
    assert not found(vented(0.2, vent={"off_centre": "0 m"}, **tilted))


def test_heel_that_leaves_the_outlet_dry_brings_no_sea_to_the_vent() -> None:
    tilted = {"heel": "10 deg", "last": {"off_centre": "1 m"}}
    assert not found(vented(0.2, outlet=0.2, **tilted))


def test_waves_over_the_vent_are_a_warning() -> None:
    assert found(vented(0.4, wave_height="1 m")) == {"vent-waves": "warning"}
    assert not found(vented(0.51, wave_height="1 m"))


def test_a_vent_of_which_nothing_says_where_it_is_is_told() -> None:
    result = check(vented(0.4, heel="20 deg"), fixes=False)
    told = [one for one in result.findings if one.code == "place-unstated"]
    assert any(one.at.part and one.values["case"] == "vent" for one in told), told
    # 0.4 m less 0.15 m, over the sine of 20 degrees.
    assert told[0].values["room"] == pytest.approx(0.25 / math.sin(math.radians(20)), rel=1e-6)


@pytest.mark.parametrize(("out", "asked"), [("0 m", True), ("-0.25 m", True), ("1 m", False)])
def test_an_outlet_near_the_middle_does_not_say_where_its_vent_is(out: str, asked: bool) -> None:
    """A transom's outlet and a vent at the ship's side are one line; one in the side tells."""
    tilted = {"heel": "20 deg", "last": {"off_centre": out}}
    for vent, expected in ({}, asked), ({"off_centre": "0.2 m"}, False):
        result = check(vented(0.6, vent=vent, **tilted), fixes=False)
        told = [one for one in result.findings if one.code == "place-unstated"]
        assert any("part[11]" in one.values["parts"] for one in told) is expected, told


def test_no_fix_brings_a_vented_loop_lower_than_heel_allows() -> None:
    """For a line that holds air after a vent far up, with too little water."""
    job = vented(2.4, heel="20 deg", last={"off_centre": "1.5 m"})
    actions = [action for finding in check(job).findings for action in finding.actions]
    assert any(action.kind == "lower-line" for action in actions), actions
    for action in actions:
        assert not found(action.apply(job)), action


def test_the_fix_raises_the_vented_loop_high_enough() -> None:
    job = vented(0.2, heel="15 deg", last={"off_centre": "1 m"})
    [wrong] = [one for one in check(job).findings if one.code == "part-order"]
    assert wrong.actions
    assert not found(wrong.actions[0].apply(job))


def test_a_vented_loop_under_pressure_is_as_a_fitting_of_its_loss() -> None:
    """Before the unit, whose loss is downstream: no air enters, and the leg runs full."""
    table = plain_loop()
    hose, *rest = table["part"][7:]
    up, down = {**hose, "to": "30 in"}, {**hose, "to": "10 in", "length": "3 ft"}
    flows = []
    k = VentedLoop(bore=0.01905).loss_coefficient(1e-4, parse_job(table).water.properties)
    for loop in ({"kind": "vented loop"}, {"kind": "fitting", "k": k}):
        table["part"] = [*plain_loop()["part"][:7], up, loop, down, *rest]
        flows.append(check(parse_job(table), fixes=False).point.flow)
    assert flows[0] == pytest.approx(flows[1], rel=1e-6)


def test_air_behind_a_vented_loop_asks_for_no_bleed() -> None:
    """Its vent lets the air in, as it must."""
    table = plain_loop()
    *before, hose, last = table["part"]
    up, down = {**hose, "to": "18 in"}, {**hose, "to": "-6 in", "bore": "1 in"}
    over = {**last, "height": "-6 in"}
    table["part"] = [*before, up, {"kind": "vented loop"}, down, {"kind": "seacock"}, over]
    result = check(parse_job(table), fixes=False)
    assert "air-held" not in codes(result)
    assert any(leg.decides == "vent" for leg in result.point.legs)


def test_a_vent_is_raised_far_enough_for_a_place_that_the_file_leaves_out() -> None:
    """2° of trim lift the sea 5.2 cm half a beam, 1.5 m, from the middle."""
    job = vented(0.2, heel="20 deg", trim="2 deg", last={"off_centre": "0.75 m"})
    order = next(one for one in check(job).findings if one.code == "part-order")
    (action,) = order.actions
    assert isinstance(action, SetHeights)
    (_, level), *_ = action.points
    rise = 0.75 * math.sin(math.radians(20)) + 1.5 * math.sin(math.radians(2))
    assert LEAST + rise <= level < LEAST + rise + 0.0254
    assert check(action.apply(job), fixes=False).verdict == "good"
