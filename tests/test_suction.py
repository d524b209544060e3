"""Suction: how deep the intake is, how deep it must be, and the head at the pump's inlet."""

import math

import numpy as np
import pytest
from pydantic import ValidationError

from loop.check import check
from loop.hydraulics import solve
from loop.job import Boat, parse_job
from loop.job.attitude import lowest_immersion
from loop.margins.suction import (
    NPSH_RATIO,
    intake_depth,
    needed_submergence,
    npsh_available,
)
from loop.parts import Hose, Intake
from loop.parts.friction import GRAVITY
from loop.pumps import PumpCurve, load_pump
from loop.seawater import ATMOSPHERE
from loop.units import parse
from loop.words import Finding
from loop.words.action_words import action_text
from loop.words.actions import FitPumpRated, MoveStrainer, SetHeights
from loop.words.speaker import Speaker, called
from tests.loops import changed, codes, found, job_of

THIRTY, TEN = math.radians(30), math.radians(10)


def test_depth_in_the_worst_attitude_by_hand() -> None:
    """0.8 m deep; 0.4 m off center at 30°: 0.2 m; 1 m aft at 10°: 0.1736 m; waves 0.3; light 0.05.

    0.8 − 0.2 − 0.1736 − 0.15 − 0.05 = 0.2264 m.
    """
    boat = Boat(heel=THIRTY, trim=TEN, wave_height=0.3, light_rise=0.05)
    assert lowest_immersion(-0.8, 0.4, -1.0, boat) == pytest.approx(0.2264, abs=1e-4)
    # Each by itself.
    assert lowest_immersion(-0.8, 0.4, 1.0, Boat()) == 0.8
    assert lowest_immersion(-0.8, 0.4, 1.0, Boat(heel=THIRTY)) == pytest.approx(0.6)
    assert lowest_immersion(-0.8, 0.4, 1.0, Boat(trim=THIRTY)) == pytest.approx(0.3)
    assert lowest_immersion(-0.8, 0.4, 1.0, Boat(wave_height=0.3)) == pytest.approx(0.65)
    assert lowest_immersion(-0.8, 0.4, 1.0, Boat(light_rise=0.3)) == pytest.approx(0.5)


def test_a_boat_heels_and_trims_to_either_side() -> None:
    depths = {
        round(lowest_immersion(-0.8, side * 0.4, end * 1.0, Boat(heel=h * TEN, trim=t * TEN)), 12)
        for side in (1, -1) for end in (1, -1) for h in (1, -1) for t in (1, -1)
    }  # fmt: skip
    assert len(depths) == 1
    # On the middle line neither matters.
    assert lowest_immersion(-0.8, 0.0, 0.0, Boat(heel=THIRTY, trim=TEN)) == 0.8


def test_submergence_by_hand_and_its_limits() -> None:
    """S = D (1 + 2.3 F): one bore in still water, and 3.3 bores at a Froude number of one."""
    assert needed_submergence(0.05, 0.0) == 0.05
    for bore in (0.019, 0.05):
        wave = math.sqrt(GRAVITY * bore) * math.pi / 4 * bore**2
        assert needed_submergence(bore, wave) == pytest.approx(3.3 * bore)
        assert needed_submergence(bore, 2 * wave) == pytest.approx(5.6 * bore)


def test_an_intake_is_short_by_what_it_needs_beyond_its_worst_depth() -> None:
    """Froude number 1 in 50 mm: needs 0.165 m. 0.3 m deep, 0.4 m out at 30°: 0.1 m, 65 mm short."""
    flow = math.sqrt(GRAVITY * 0.05) * math.pi / 4 * 0.05**2
    intake = Intake(height=-0.3, off_centre=0.4, bore=0.05)
    depth = intake_depth(intake, Boat(heel=THIRTY), flow)
    assert [depth.at_rest, depth.worst] == pytest.approx([0.3, 0.1])
    assert depth.needed == pytest.approx(0.165)
    assert depth.short_by == pytest.approx(0.065)
    assert intake_depth(intake, Boat(), flow).short_by < 0
    # Its direction off center, across or along, matters with heel or trim.
    along = Intake(height=-0.3, fore_aft=0.4, bore=0.05)
    assert intake_depth(along, Boat(heel=THIRTY), flow).worst == 0.3
    assert intake_depth(along, Boat(trim=THIRTY), flow).worst == pytest.approx(0.1)


def test_net_suction_head_is_the_atmosphere_above_vapor_and_the_pumps_depth() -> None:
    """With almost no flow: shut after the pump, which is 10 in below the surface."""
    point = solve(job_of((9, "loss", "1000 psi at 0.1 gal/h")))
    water = point.network.water
    air = (ATMOSPHERE - water.vapor_pressure) / (water.density * GRAVITY)
    assert npsh_available(point, water) == pytest.approx(air + 10 * 0.0254, abs=1e-4)
    # Some ten metres of water, as every pump textbook has it.
    assert air == pytest.approx(9.8, abs=0.2)
    assert NPSH_RATIO == 1.3


def test_running_water_leaves_less_suction_head_by_what_the_suction_side_loses() -> None:
    runs = solve(job_of())
    water = runs.network.water
    lost = sum(station.head_loss for station in runs.stations[:5])
    air = (ATMOSPHERE - water.vapor_pressure) / (water.density * GRAVITY)
    assert npsh_available(runs, water) == pytest.approx(air + 10 * 0.0254 - lost)
    # Gauge at the inlet, and its velocity head, give the same: the other form of the definition.
    inlet = runs.pump_inlet
    absolute = (ATMOSPHERE + inlet.gauge_pressure - water.vapor_pressure) / water.density / GRAVITY
    moving = inlet.velocity**2 / (2 * GRAVITY)
    assert npsh_available(runs, water) == pytest.approx(absolute + moving)


def test_warm_water_leaves_less() -> None:
    heads = []
    for temperature in (5.0, 15.0, 25.0, 32.0, 40.0):
        point = solve(job_of(("water", "temperature", f"{temperature} degC")))
        heads.append(npsh_available(point, point.network.water))
    assert np.all(np.diff(heads) < 0)


def test_an_aft_scoop_is_turned_before_anything_is_bought() -> None:
    for speed, codes_of in (("20 kn", "flow-short"), ("30 kn", "no-flow")):
        job = job_of((1, "facing", "aft"), ("boat", "speed", speed))
        result = check(job)
        (found,) = [one for one in result.findings if one.code == codes_of]
        first, *_ = found.actions
        assert first.kind == "turn-scoop"
        if codes_of == "no-flow":
            # The scoop's share of the lift: 0.3 of the velocity head (the table of
            # `loop.parts.intake`).
            assert found.values["pull"] == pytest.approx(
                0.3 * (30 * 1852 / 3600) ** 2 / 2 / 9.80665
            )
        assert codes_of not in codes(check(first.apply(job)))
        assert "siphon-uncertain" not in codes(result) or result.point.flow > 0


def test_what_is_short_at_the_dock_is_said_before_a_curve_left_under_way() -> None:
    job = job_of((1, "facing", "forward"), ("boat", "speed", "30 kn"), (6, "curve", "demo-ac-250"))
    told = [one.code for one in check(job).findings]
    assert told.index("at-rest-short") < told.index("beyond-curve")


@pytest.mark.parametrize("way", [None, ["10 in"]])
def test_a_strainer_too_high_is_mounted_lower_and_no_hose_is_bent(way: list[str] | None) -> None:
    """It is 8 in above the water, the pump 10 in below it: the line must rise to the pump."""
    high = [(3, "length", "6 ft"), (3, "to", "8 in"), (5, "length", "4 ft")]
    job = job_of(*high, *([(3, "via", way)] if way else []))
    result = check(job)
    assert {"suction-above-water", "strainer-above-water"} <= codes(result)
    first = {
        one.code: one.actions[0] for one in result.findings if one.level in ("danger", "warning")
    }
    assert len(set(first.values())) == 1
    mount = next(iter(first.values())).steps[-1]
    assert mount == MoveStrainer("part[4]", pytest.approx(parse("-10 in", "length"), abs=1e-3))
    after = check(first["strainer-above-water"].apply(job))
    assert after.verdict == "good"


def test_what_hangs_at_the_end_of_a_hose_that_comes_down_is_named() -> None:
    job = job_of((3, "length", "6 ft"), (3, "to", "8 in"), (5, "length", "4 ft"))
    lower = SetHeights("part[3]", ((parse("6 ft", "length"), parse("-10 in", "length")),))
    said = action_text(lower, Speaker(job))
    assert called("strainer") in said
    elsewhere = SetHeights("part[3]", ((parse("3 ft", "length"), parse("-10 in", "length")),))
    assert called("strainer") not in action_text(elsewhere, Speaker(job))


def test_a_dip_on_a_hoses_way_is_raised_before_the_strainer_is_mounted_lower() -> None:
    """Two clips; the strainer stays where it is."""
    job = job_of((5, "length", "4 ft"), (5, "via", ["-22 in"]))
    (hump,) = found(check(job), "suction-hump")
    first, *others = hump.actions
    assert isinstance(first, SetHeights)
    ((along, height),) = first.points
    assert along == pytest.approx(parse("2 ft", "length"))
    # Between the strainer and the pump, which stay at 12 and 10 in under the water.
    assert parse("-12 in", "length") <= height <= parse("-10 in", "length")
    after = check(first.apply(job), fixes=False)
    assert "suction-hump" not in codes(after)
    assert after.verdict == "good"
    assert any(isinstance(step, MoveStrainer) for action in others for step in action.steps)


def test_where_the_strainer_itself_stands_too_high_no_hose_is_raised() -> None:
    job = job_of((3, "to", "-6 in"), (5, "length", "4 ft"), (5, "via", ["-14 in"]))
    (hump,) = found(check(job), "suction-hump")
    assert hump.actions
    for action in hump.actions:
        assert any(isinstance(step, MoveStrainer) for step in action.steps)


def lifted(feet: float, **pump: object) -> Finding | None:
    """The finding for a pump this far above the water, of 18 ft of shut-off head."""
    own = {**load_pump("demo-dc-prime-400").model_dump(), "name": "own", **pump}
    job = job_of(
        (3, "length", f"{feet + 2} ft"), (3, "to", "-4 in"), (5, "length", f"{feet + 2} ft"),
        (5, "to", f"{feet} ft"), (6, "curve", PumpCurve.model_validate(own)),
        (8, "to", f"{feet + 0.5} ft"), (10, "length", f"{feet + 2} ft"),
    )  # fmt: skip
    return next(iter(found(check(job, fixes=False), "pump-above-water")), None)


@pytest.mark.parametrize(
    ("feet", "level"), [(4, None), (6, "warning"), (8.9, "warning"), (9.1, "danger")]
)
def test_a_self_priming_pump_lifts_no_more_than_half_its_shut_off_head(
    feet: float, level: str | None
) -> None:
    """Half of 18 ft is 9 ft: pulling air, its impeller turns in foam half as heavy as water."""
    finding = lifted(feet)
    assert (finding.level if finding else None) == level


@pytest.mark.parametrize(("feet", "level"), [(7.9, None), (8.1, "danger")])
def test_a_priming_lift_that_its_maker_states_decides(feet: float, level: str | None) -> None:
    finding = lifted(feet, priming_lift="8 ft")
    assert (finding.level if finding else None) == level


def test_another_pump_for_one_that_primes_from_a_height_is_to_prime_from_it_too() -> None:
    own = {**load_pump("demo-dc-prime-400").model_dump(), "name": "own", "priming_lift": "8 ft"}
    job = job_of((6, "curve", PumpCurve.model_validate(own)))
    fit = FitPumpRated("part[6]", 2.0, 1e-4)
    assert fit.apply(job).pump.curve.priming_lift == job.pump.curve.priming_lift
    assert "8 ft" in action_text(fit, Speaker(job))


def test_only_a_pump_that_primes_itself_has_a_priming_lift() -> None:
    table = {**load_pump("demo-ac-350").model_dump(), "priming_lift": "8 ft"}
    with pytest.raises(ValidationError, match="self_priming"):
        PumpCurve.model_validate(table)


def test_a_pump_brought_down_takes_a_longer_hose_to_what_stays_up() -> None:
    """Its hose to the unit, 2 ft long, reaches no pump three feet lower."""
    job = job_of(
        (3, "length", "10 ft"), (3, "to", "90 in"), (5, "length", "1 ft"), (5, "to", "8 ft"),
        (6, "curve", "demo-dc-prime-400"), (8, "length", "2 ft"), (8, "to", "100 in"),
        (10, "length", "12 ft"),
    )  # fmt: skip
    (above,) = found(check(job), "pump-above-water")
    after = above.actions[0].apply(job)
    was, now = job.part[7], after.part[7]
    assert isinstance(was, Hose)
    assert isinstance(now, Hose)
    fallen = 8 * 0.3048 - parse("4 ft 11 in", "length")
    assert now.length - was.length == pytest.approx(fallen)
    assert not found(check(after, fixes=False), "pump-above-water")


@pytest.mark.parametrize("via", [None, [{"at": "2 in", "height": "-2.8 in"}]])
def test_an_intake_too_shallow_goes_lower_on_a_longer_hose(via: object) -> None:
    """Four inches of hose reach no intake ten inches under: it grows by as much as the hull's end.

    A point of the hose stays as far from the end that stays.
    """
    changes = [
        (1, "height", "-3 in"), (3, "length", "4 in"), (3, "to", "-2.8 in"), (5, "length", "3 in"),
        (5, "to", "-2.6 in"), ("boat", "wave_height", "6 in"), *([(3, "via", via)] if via else []),
    ]  # fmt: skip
    job = job_of(*changes)
    (shallow,) = found(check(job), "intake-shallow")
    (lower,) = shallow.actions
    after = lower.apply(job)
    was, now = job.part[2], after.part[2]
    assert isinstance(was, Hose)
    assert isinstance(now, Hose)
    moved = job.intake.height - after.intake.height
    assert now.length - was.length == pytest.approx(moved)
    for (at, height), (then, same) in zip(was.points[:-1], now.points[:-1], strict=True):
        assert (now.length - then, same) == pytest.approx((was.length - at, height))
    assert "hose 1" in action_text(lower, Speaker(job))
    assert not found(check(after, fixes=False), "intake-shallow")


def test_an_intake_is_moved_once_for_the_water_that_comes_when_all_else_is_right() -> None:
    """A part-shut seacock keeps the flow down: opened, the intake must still draw no air."""
    job = job_of(
        ("boat", "heel", "12 deg"),
        ("boat", "wave_height", "6 in"),
        (1, "height", "-13 in"),
        (1, "off_centre", "40 in"),
        (2, "open", "45 %"),
    )
    result = check(job)
    (shallow,) = found(result, "intake-shallow")
    for action in shallow.actions:
        moved = check(action.apply(job))
        assert not found(moved, "intake-shallow")
        (part_shut,) = found(moved, "seacock-part-shut")
        after = check(part_shut.actions[0].apply(moved.job), fixes=False)
        assert after.condensers[0].flow > result.condensers[0].flow
        assert not found(after, "intake-shallow")


@pytest.mark.parametrize(
    ("height", "aside", "flagged"),
    [
        ("-16 in", "12 in", True),
        ("-4 ft", "12 in", False),
        # 16 in down and 20 in aside: 25.6 in through the water, of the 23.6 in of 60 cm.
        ("-16 in", "32 in", False),
        ("-12 in", "32 in", True),
    ],
)
def test_water_that_floats_does_not_come_back_to_an_intake_as_far_through_the_water(
    height: str, aside: str, flagged: bool
) -> None:
    at = {1: "12 in", 11: aside}
    places = [(part, "off_centre", value) for part, value in at.items()]
    places += [(part, "fore_aft", "4 ft") for part in at]
    result = check(job_of(*places, (1, "height", height), (3, "length", "5 ft")), fixes=False)
    assert bool(found(result, "discharge-beside-intake")) is flagged


@pytest.mark.parametrize(
    ("along", "across", "noted"),
    [
        ("6 ft", "12 in", True),
        ("2 ft", "12 in", False),  # behind
        ("-6 ft", "12 in", False),
        ("14 ft", "12 in", False),  # 11 ft ahead: past the 3 m that its bubbles go along the hull
        ("6 ft", "-12 in", False),  # on the other side
    ],
)
def test_an_outlet_ahead_of_the_intake_is_noted(along: str, across: str, noted: bool) -> None:
    places = [(1, "off_centre", "12 in"), (11, "off_centre", across)]
    places += [(1, "fore_aft", "3 ft" if along != "2 ft" else "5 ft"), (11, "fore_aft", along)]
    result = check(job_of(*places), fixes=False)
    assert [one.level for one in found(result, "discharge-beside-intake")] == ["note"] * noted


@pytest.mark.parametrize("via", [[], ["-24 in"]])
def test_the_fall_behind_a_high_point_before_the_pump_ends_at_the_pump(via: list[str]) -> None:
    """A strainer 2 in over the pump: where the line goes on falling, that is not its suction."""
    table = changed((3, "to", "-8 in"), (3, "length", "3 ft"), (5, "to", "-10 in"))
    table["part"][7] |= {"length": "14 ft", "via": via}
    (hump,) = found(check(parse_job(table), fixes=False), "suction-hump")
    assert hump.values["drop"] == pytest.approx(2 * 0.0254)
