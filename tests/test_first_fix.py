"""The first fix is what a tradesman would try first."""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.parts import Hose, Seacock
from loop.parts.seacock import handle_angle
from loop.words import Action
from loop.words.action_words import action_text
from loop.words.actions import ChangeHose, ChangePump, FitPumpRated, FitValve, SetValve
from loop.words.base import part_at
from loop.words.hazards import anywhere
from loop.words.speaker import Speaker
from tests.loops import Table, changed, check_of, codes, found, job_of

WIDE = {"bore": "1 in"}


def boat(*changes: tuple[str | int, str, Any]) -> Table:
    """A loop with a through-hull deep enough at sea, and a hose of usual length to its unit."""
    deep = [(1, "height", "-18 in"), (1, "off_centre", "12 in"), (1, "facing", "forward")]
    return changed(("water", "salinity", 35), *deep, *changes)


def stealing(valve: str | None = None, far: str = "22 ft") -> Job:
    """A short easy branch beside a long one, optionally with a valve open this far."""
    own = [] if valve is None else [{"kind": "seacock", "label": "valve", "open": valve}]
    saloon = [
        {"kind": "hose", "length": "2 ft", "to": "10 in"},
        *own,
        {"kind": "condenser", "serves": "saloon", "loss": "0.3 psi at 120 gal/h"},
        {"kind": "hose", "length": "5 ft", "to": "6 in"},
    ]
    cabin = [
        {"kind": "hose", "length": far, "to": "10 in"},
        {"kind": "condenser", "serves": "cabin", "loss": "2.2 psi at 200 gal/h"},
        {"kind": "hose", "length": "6 ft", "to": "6 in"},
    ]
    table = boat()
    table["condenser"] = [
        {"name": "saloon", "cooling": "6000 BTU/h"},
        {"name": "cabin", "cooling": "14000 BTU/h"},
    ]
    before = [part | WIDE for part in table["part"][:7]]
    before[0]["height"], before[3]["loss"] = "-22 in", "0.4 psi at 600 gal/h"
    before[5] = {"kind": "pump", "curve": "demo-dc-600"}
    table["part"] = [
        *before,
        {"kind": "hose", "length": "4 ft", "to": "-4 in", **WIDE},
        {
            "kind": "manifold",
            "branch": [{"name": "saloon", "part": saloon}, {"name": "cabin", "part": cabin}],
            **WIDE,
        },
        {"kind": "hose", "length": "4 ft", "to": "5 in", **WIDE},
        {"kind": "discharge", "height": "5 in", "off_centre": "12 in", **WIDE},
    ]
    return parse_job(table)


@cache
def stolen_from(valve: str | None = None) -> CheckResult:
    return check(stealing(valve))


def first(result: CheckResult, code: str = "flow-short") -> Action:
    return found(result, code)[0].actions[0]


@pytest.mark.parametrize("valve", ["20 %", "25 %", None])
def test_a_valve_that_cures_the_fault_is_set_before_anything_is_bought(valve: str | None) -> None:
    result = stolen_from(valve)
    action = first(result)
    assert isinstance(action, FitValve if valve is None else SetValve)
    after = check(action.apply(result.job), fixes=False)
    assert all(unit.flow >= unit.needed_flow for unit in after.condensers)
    # What remains is reported, and the next fix leaves nothing.
    finding = found(result, "flow-short")[0]
    brings = finding.values["brings"]
    assert isinstance(brings, tuple)
    assert brings[0] == ("flow-marginal" if "flow-marginal" in codes(after) else "")
    assert check(finding.actions[1].apply(result.job), fixes=False).verdict == "good"


@pytest.mark.parametrize("valve", ["15 %", "20 %", "25 %", "30 %", "100 %"])
def test_no_step_sets_a_valve_where_it_stands_nor_one_valve_twice(valve: str) -> None:
    result = stolen_from(valve)
    for finding in result.findings:
        for action in finding.actions:
            steps = [step for step in action.steps if isinstance(step, SetValve)]
            assert len({step.part for step in steps}) == len(steps)
            for step in steps:
                part = part_at(result.job, step.part)
                assert isinstance(part, Seacock)
                stands = handle_angle(part.open)
                assert round(math.degrees(step.angle)) != round(stands)


@pytest.mark.parametrize("valve", [None, "60 %"])
def test_dirt_is_not_balanced_around(valve: str | None) -> None:
    dirty = stealing(valve, far="6 ft").replace(
        {
            "part[4].blocked": "40 %",
            "part[9].branch[2].part[2].scale": "0.5 mm",
            "part[9].branch[2].part[2].tube_bore": "14 mm",
        }
    )
    action = first(check(dirty))
    steps = [step.kind for step in action.steps]
    assert steps == ["clean-strainer", "descale", "fit-valve" if valve is None else "set-valve"]
    assert check(action.apply(dirty), fixes=False).verdict == "good"


def test_a_valve_too_far_shut_is_said_to_be_opened() -> None:
    result = stolen_from("20 %")
    assert found(result, "unbalanced")[0].values["case"] == "opens"
    assert "case" not in found(stolen_from(), "unbalanced")[0].values


TUBE = (9, "tube_bore", "0.58 in")
RIBBED = {"lining": "ribbed", "bore": "5/8 in"}


def ribbed() -> Job:
    """A pressure side of corrugated hose a size too small."""
    own = [(n, key, value) for n in (8, 10) for key, value in RIBBED.items()]
    return parse_job(boat(*own, (8, "length", "22 ft"), (10, "length", "12 ft")))


def thin_after_the_pump() -> Job:
    """A pressure side in 1/2 in with eight elbows, and everything before it in 3/4 in."""
    table = boat((8, "length", "12 ft"), (8, "sweeps", ["90 deg"]), (10, "length", "5 ft"))
    for number in (8, 10, 11):
        table["part"][number - 1]["bore"] = "1/2 in"
    table["part"].insert(7, {"kind": "elbow", "count": 8, "bore": "1/2 in"})
    return parse_job(table)


def thin_before_the_pump(length: str = "18 ft", pumps: int = 1) -> Job:
    """A suction side in 1/2 in."""
    table = boat((3, "length", length), (6, "count", pumps))
    for part in table["part"][:5]:
        part["bore"] = "1/2 in"
    return parse_job(table)


thin = {make: cache(lambda make=make: check(make())) for make in
        (ribbed, thin_after_the_pump, thin_before_the_pump)}  # fmt: skip


@pytest.mark.parametrize("make", thin)
def test_hose_that_makes_it_good_comes_before_a_pump(make: Callable[[], Job]) -> None:
    result = thin[make]()
    action, job = first(result), result.job
    assert isinstance(action, ChangeHose)
    assert check(action.apply(job), fixes=False).verdict == "good"
    # Everything narrow on a side is changed with it.
    hoses = [number for number, part in enumerate(job.part) if part.kind == "hose"]
    narrow = [n for n in hoses if job.part[n].inner_bore < 0.018]
    assert {f"part[{number + 1}]" for number in narrow} == set(action.parts)


def test_ribbed_hose_gives_way_to_smooth_of_the_next_size_that_is_enough() -> None:
    result = thin[ribbed]()
    action, job = first(result), result.job
    assert isinstance(action, ChangeHose)
    hoses = [part_at(action.apply(job), address) for address in action.parts]
    assert all(isinstance(one, Hose) and one.lining == "smooth rubber" for one in hoses)
    same = replace(action, bore=job.part[7].inner_bore)
    assert check(same.apply(job), fixes=False).verdict != "good"
    # And it is said.
    assert action_text(action, Speaker(job)) != action_text(
        replace(action, lining=None), Speaker(job)
    )


def test_the_elbows_of_a_side_go_with_its_hose() -> None:
    action = first(thin[thin_after_the_pump]())
    assert isinstance(action, ChangeHose)
    assert action.fittings == ("part[8]",)


def test_inlets_that_are_too_fast_are_widened_first_where_that_is_enough() -> None:
    job = thin_before_the_pump("3 ft", pumps=2)
    result = check(job)
    assert "inlet-fast" in codes(result)
    action = first(result, "flow-marginal")
    assert action == first(result, "inlet-fast")
    assert check(action.apply(job), fixes=False).verdict == "good"


def test_no_action_has_a_part_that_would_have_done_alone() -> None:
    for result in (*(made() for made in thin.values()), stolen_from("30 %")):
        for finding in result.findings:
            for action in finding.actions:
                for step in action.steps if len(action.steps) > 1 else ():
                    left = codes(check(step.apply(result.job), fixes=False))
                    assert left & {finding.code, "flow-marginal"}


# Five tons on hose for one.
def test_a_pump_has_the_hose_with_it_that_its_flow_asks_for() -> None:
    large = boat(
        (4, "loss", "0.4 psi at 900 gal/h"),
        (6, "curve", "demo-ac-1000"),
        (9, "loss", "3 psi at 900 gal/h"),
    )
    large["condenser"][0]["cooling"] = "60000 BTU/h"
    job = parse_job(large)
    result = check(job)
    action = first(result)
    assert {step.kind for step in action.steps} == {"change-hose", "fit-pump-rated"}
    assert check(action.apply(job), fixes=False).verdict == "good"
    brings = found(result, "flow-short")[0].values.get("brings", ("",))
    assert isinstance(brings, tuple)
    assert brings[0] == ""


# Two pumps in series where one is enough, and one that is far too strong.
@pytest.mark.parametrize(("pump", "count"), [("demo-ac-700", 2), ("demo-ac-1500", 1)])
def test_too_much_pump_is_the_cause_and_a_single_smaller_one_the_fix(pump: str, count: int) -> None:
    job = parse_job(
        boat((6, "curve", pump), (6, "count", count), (6, "arrangement", "series"), TUBE)
    )
    result = check(job)
    serious = [one for one in result.findings if one.level != "note"]
    assert serious[0].code == "flow-excess"
    assert len(serious) > 1
    action = serious[0].actions[0]
    assert isinstance(action, ChangePump)
    assert action.single == (count > 1)
    after = check(action.apply(job), fixes=False)
    assert after.verdict == "good"
    assert after.job.pump.count == 1
    assert after.job.pump.curve.strength < job.pump.curve.strength
    # What is too fast for that pump has no other fix.
    assert {one.actions for one in serious} == {(action,)}


def test_where_air_hides_the_duty_a_pump_for_another_supply_tells_it() -> None:
    """A unit 7 ft up, whose water falls back in a leg that holds air until it runs full."""
    table = boat()
    table["condenser"].append({"name": "cabin", "cooling": "12000 BTU/h"})
    loss = "2.2 psi at 240 gal/h"
    branches = [
        {
            "name": name,
            "part": [
                {"kind": "hose", "length": there, "to": up},
                {"kind": "condenser", "serves": name, "loss": loss},
                {"kind": "hose", "length": back, "to": "6 in"},
            ],
        }
        for name, there, up, back in (
            ("saloon", "6 ft", "10 in", "5 ft"),
            ("cabin", "12 ft", "7 ft", "9 ft"),
        )
    ]
    before = [part | WIDE for part in table["part"][:5]]
    before[0]["height"], before[3]["loss"] = "-22 in", "0.4 psi at 600 gal/h"
    table["part"] = [
        *before,
        {"kind": "pump", "curve": "demo-dc-600"},
        {"kind": "bleed", **WIDE},
        {"kind": "hose", "length": "4 ft", "to": "-4 in", **WIDE},
        {"kind": "manifold", "branch": branches, **WIDE},
        {"kind": "hose", "length": "4 ft", "to": "5 in", **WIDE},
        {"kind": "discharge", "height": "5 in", "off_centre": "12 in", **WIDE},
    ]
    job = parse_job(table)
    action = first(check(job))
    assert isinstance(action, FitPumpRated)
    assert check(action.apply(job), fixes=False).verdict == "good"


@pytest.mark.parametrize(("pump", "supply"), [("demo-dc-150", "12 V"), ("demo-ac-350", "115 V")])
def test_the_catalogue_is_that_of_the_supply_aboard(pump: str, supply: str) -> None:
    assert supply in anywhere("{supply}", Speaker(job_of((6, "curve", pump))))["supply"]


@pytest.mark.parametrize(("height", "brings"), [("-16 in", "rise-unstated"), ("-18 in", None)])
def test_what_the_file_is_to_say_is_no_reason_for_a_pump_in_place_of_a_turned_scoop(
    height: str, brings: str | None
) -> None:
    """Deeper it need say nothing for a flush grate, which then comes first of the two."""
    scoop = [(1, "height", height), (1, "facing", "aft"), ("boat", "speed", "25 knot")]
    result = check_of(*scoop, (6, "curve", "demo-ac-500"))
    (short,) = found(result, "flow-short")
    assert short.actions[0].kind == "turn-scoop"
    assert short.values.get("brings", (None,))[0] == brings


def test_ways_are_tried_until_one_works() -> None:
    """On 3/8 in hose throughout, more flow through any one hose is too fast in the others."""
    small = [("defaults", "bore", "3/8 in"), ("condenser", "cooling", "6000 BTU/h")]
    result = check_of(*small, (8, "length", "6 ft"), (10, "length", "4 ft"))
    (marginal,) = found(result, "flow-marginal")
    assert "case" not in marginal.values
    (step,) = marginal.actions[0].steps
    assert isinstance(step, ChangeHose)
    assert len(step.parts) == 4
    assert check(marginal.actions[0].apply(result.job)).verdict == "good"


@pytest.mark.parametrize(
    ("pump", "up", "cooling"), [("demo-ac-350", 8, 9000), ("demo-ac-500", 10, 12000)]
)
def test_narrower_hose_down_comes_before_a_pump_where_only_the_low_edge_holds_air(
    pump: str, up: int, cooling: int
) -> None:
    """At mid-band the water sweeps the fall of 3/4 in hose; the next size does it at the edge."""
    job = parse_job(
        boat(
            ("condenser", "cooling", f"{cooling} BTU/h"),
            (6, "curve", pump),
            (8, "to", f"{up} ft"),
            (8, "length", f"{up + 8} ft"),
            (10, "length", f"{up + 4} ft"),
        )
    )
    result = check(job)
    assert result.condensers[0].flow > result.condensers[0].needed_flow
    action = first(result, "flow-marginal")
    assert isinstance(action, ChangeHose)
    assert (action.parts, action.bore) == (("part[10]",), pytest.approx(0.625 * 0.0254))
    assert check(action.apply(job)).verdict == "good"


def test_hoses_in_which_the_water_is_too_fast_are_replaced_together() -> None:
    """Each alone would give the flow, and leave the water too fast in the other."""
    job = parse_job(boat((3, "bore", "1/2 in"), (5, "bore", "1/2 in")))
    result = check(job)
    assert len(found(result, "suction-fast")) == 2
    action = first(result, "flow-marginal")
    assert isinstance(action, ChangeHose)
    assert action.parts == ("part[3]", "part[5]")
    assert check(action.apply(job)).verdict == "good"


def test_a_large_boats_main_gets_hose_that_carries_its_flow() -> None:
    """2,850 gal/h and what the band asks for run at 1.2 m/s in 2-1/2 in hose, at 1.9 in 2 in."""
    job = parse_job(
        boat(
            ("defaults", "bore", "1-1/4 in"),
            ("condenser", "cooling", "190000 BTU/h"),
            (1, "height", "-36 in"),
            (3, "length", "3 ft"),
            (3, "to", "-20 in"),
            (4, "loss", "0.5 psi at 3500 gal/h"),
            (5, "to", "-18 in"),
            (6, "curve", "demo-ac-1500"),
            (9, "loss", "5 psi at 2850 gal/h"),
        )
    )
    hose, pump = first(check(job)).steps
    assert isinstance(hose, ChangeHose)
    assert isinstance(pump, FitPumpRated)
    assert hose.bore == pytest.approx(2.5 * 0.0254)
    after = check(pump.apply(hose.apply(job)), fixes=False)
    assert after.condensers[0].flow_low >= after.condensers[0].needed_flow
    assert not codes(after) & {"suction-fast", "hose-fast", "inlet-fast"}
