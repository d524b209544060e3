"""A bleed above the water helps only when opened by hand: the line drains at each stop."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.check import CheckResult, check
from loop.hydraulics import solve
from loop.job import Boat, parse_job
from loop.parts.friction import ROUNDING
from loop.sheet import sheet
from loop.words.actions import FitBleed, SetHeights
from loop.words.job_sheet import SAY
from tests.loops import Table, changed, codes, found
from tests.said import is_said
from tests.test_air import Step, Way, air_of, loop_of
from tests.test_codes import checked as with_code
from tests.test_sheet import step_with

INCH = 0.0254


def over_a_bridge_deck(bled: bool, pump: str = "demo-ac-350") -> Table:
    """Up to 66 in, down to 4 in, up to 70 in and down to the unit: 128 in of falls in all.

    With or without a bleed at the first high point.
    """
    data = changed((6, "curve", pump), (8, "length", "8 ft"), (8, "to", "66 in"))
    way = [{"at": "8 ft", "height": "4 in"}, {"at": "16 ft", "height": "70 in"}]
    on = {"kind": "hose", "length": "24 ft", "to": "6 in", "via": way}
    data["part"][8:8] = [*[{"kind": "bleed"}] * bled, on]
    return data


@cache
def bridge_deck(bled: bool) -> CheckResult:
    return check(parse_job(over_a_bridge_deck(bled)))


def test_the_loop_is_judged_as_a_thermostat_starts_it() -> None:
    """The bleed adds only its own loss until somebody opens it."""
    bare, bled = bridge_deck(False), bridge_deck(True)
    for result in (bare, bled):
        assert result.verdict == "bad"
        assert found(result, "flow-short")
    assert bled.point.flow == pytest.approx(bare.point.flow, rel=0.05)
    assert bled.air[0].start_head == pytest.approx(bare.air[0].start_head)
    need = bled.condensers[0].needed_flow
    assert bled.condensers[0].flow < 0.5 * need < need < bled.condensers[0].flow_best
    assert "bleed-by-hand" in codes(bled) - codes(bare)


def test_the_hose_is_led_lower_and_no_bleed_is_offered() -> None:
    """As one hose, and as two with the bleed between them."""
    for bled in (False, True):
        result = bridge_deck(bled)
        offered = [way for one in result.findings for way in one.actions]
        assert not any(isinstance(step, FitBleed) for way in offered for step in way.steps)
        (first, *_) = found(result, "flow-short")[0].actions
        assert {type(step) for step in first.steps} == {SetHeights}
        assert check(first.apply(result.job), fixes=False).verdict == "good"


def test_where_no_water_flows_priming_says_so_too() -> None:
    """Without flow the pump must lift water to the outlet and over every fall that holds air."""
    data = over_a_bridge_deck(True)
    data["part"][9]["via"][1]["height"] = "90 in"
    result = check(parse_job(data), fixes=False)
    falls = (66 - 4 + 90 - 6 + 1) * INCH  # and from the unit, 6 in up, to the outlet at 5 in
    assert result.point.flow == 0
    assert {"no-flow", "start-head-short", "bleed-by-hand"} <= codes(result)
    (path,) = result.air
    assert path.start_head > path.shutoff_head
    assert found(result, "no-flow")[0].values["air"] == pytest.approx(falls)


def test_the_sheet_leaves_it_shut_and_the_stream_comes_back_by_itself() -> None:
    """A hose rerouted lower at its bleed, which is still above the water."""
    made = sheet(with_code("bleed-by-hand").job)
    assert made.fixed.condensers[0].flow >= made.fixed.condensers[0].needed_flow
    assert step_with(made, "run-bleed-by-hand") > step_with(made, "run-start")
    opened = [s for s in made.steps for row in ("run-bleed", "run-bleed-first")
              if is_said(s, SAY, row)]  # fmt: skip
    assert not opened


def test_what_the_water_sweeps_by_itself_is_no_finding() -> None:
    """The same high points with a pump whose flow clears them."""
    result = check(parse_job(over_a_bridge_deck(True, "demo-ac-700")), fixes=False)
    assert all(leg.decides == "swept" for leg in result.point.legs)
    assert "bleed-by-hand" not in codes(result)


def below_the_water(light_rise: str) -> CheckResult:
    """A bleed at a high point 0.9 in under water, ahead of 35 in of fall in a wide hose."""
    sunk = [(1, "height", "-44 in"), (3, "to", "-42 in"), (5, "to", "-41 in")]
    end = [(10, "length", "10 ft"), ("defaults", "bore", "1-1/4 in"), (6, "curve", "demo-ac-250")]
    crest = [(8, "to", "-0.9 in"), (9, "loss", "1.7 psi at 240 gal/h")]
    data = changed(*sunk, *end, *crest, ("boat", "light_rise", light_rise))
    data["part"][8:8] = [{"kind": "bleed"}, {"kind": "hose", "length": "6 ft", "to": "-36 in"}]
    return check(parse_job(data), fixes=False)


def test_a_bleed_that_a_light_load_lifts_out_counts_for_nobody() -> None:
    """This low, the sea floods the loop; three inches up, its high point drains at each stop."""
    kept, lifted = below_the_water("0.5 in"), below_the_water("3 in")
    assert kept.verdict == "good"
    assert "bleed-by-hand" not in codes(kept)
    assert lifted.verdict != "good"
    (note,) = found(lifted, "bleed-by-hand")
    assert note.values["case"] == "lifted"
    assert note.values["height"] == pytest.approx(0.9 * INCH)
    assert lifted.point.flow < kept.point.flow


def test_a_line_held_up_by_an_outlet_under_water_drains_where_it_comes_out() -> None:
    """An outlet 2 in under water keeps air out of a siphon, until the boat is light."""
    line: Way = ((3.0, 0.4), "bleed", (3.0, -0.05))
    held, out = (
        loop_of(line, bore=0.05, outlet_bleed=False).model_copy(update={"boat": boat})
        for boat in (Boat(light_rise=0.04), Boat(light_rise=0.06))
    )
    assert [bleed.drains for bleed in air_of(held).bleeds] == [False]
    assert [bleed.drains for bleed in air_of(out).bleeds] == [True]


# Priming and flow.

heights = st.lists(st.integers(1, 14).map(lambda n: n / 10), min_size=2, max_size=5)


@settings(max_examples=25, deadline=None)
@given(heights, st.booleans(), st.data())
def test_bleeds_above_the_water_change_no_start(
    line: list[float], vented: bool, data: st.DataObject
) -> None:
    """Neither the head for priming nor the air in the legs changes; with an outlet in the air, or
    under water after a vented loop."""
    some = data.draw(st.sets(st.integers(0, len(line) - 1)))
    ends: Way = ({"kind": "vented loop"}, (4.0, -0.1)) if vented else ((4.0, 0.2),)
    ways: list[list[Step]] = [[], []]
    for number, height in enumerate(line):
        for bled, way in zip((False, True), ways, strict=True):
            way += [(2.0, height), *["bleed"] * (bled and number in some)]
    bare, bled = (loop_of([*way, *ends], bore=0.03) for way in ways)
    assert air_of(bled).start_head == pytest.approx(air_of(bare).start_head)
    one, other = (solve(job).network.air or () for job in (bare, bled))
    assert any(one) == any(other)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(-12, 14).map(lambda n: n / 10), min_size=2, max_size=5), st.data())
def test_what_cannot_be_primed_does_not_flow(line: list[float], data: st.DataObject) -> None:
    """Priming and flow count the same bleeds: with air in the legs that priming leaves, water
    flows exactly if the pump's shut-off head exceeds what priming needs."""
    some = data.draw(st.sets(st.integers(0, len(line) - 1)))
    out = data.draw(st.sampled_from([-0.1, 0.1]))
    way: list[Step] = []
    for number, height in enumerate([*line, out]):
        way += [(3.0, height), *["bleed"] * (number in some)]
    job = loop_of(way, bore=0.05, pump="demo-ac-200", suction=((2.0, -1.3),), intake=-1.4)
    point = solve(job)
    path = air_of(job)
    if abs(path.start_head - point.shutoff_head) > ROUNDING:
        assert np.sign(point.flow) == (path.start_head < point.shutoff_head)
