"""Falling legs: which hold air as a loop starts and at best, and the head that takes.

Loops are in SI units; expected numbers are calculated independently of the solver.
"""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from loop.check import check
from loop.hydraulics import Cases, Network, best_flows, build, solve, solve_flows
from loop.hydraulics.cavity import cavity_froude
from loop.hydraulics.clearing import clearing_froude
from loop.job import Boat, Job, locate, parse_job
from loop.parts import Hose
from loop.parts.friction import GRAVITY
from tests.random_jobs import random_cases, random_job

seeds = st.integers(0, 2**32 - 1)
some = settings(max_examples=30, deadline=None)


def hose(length: float, to: float, **more: Any) -> dict[str, Any]:
    return {"kind": "hose", "length": length, "to": to, "barbs": 0, **more}


def loop_of(*after: Any, bore: float = 0.019, pump: str = "demo-ac-350", out: float = 0.1) -> Job:
    """Pump 0.25 m under water; then these parts, hoses as (length, to), and the outlet."""
    parts = [hose(*part) if isinstance(part, tuple) else part for part in after]
    return Job.model_validate(
        {
            "water": {"temperature": 20.0},
            "defaults": {"bore": bore},
            "condenser": [{"name": "s", "cooling": 3000.0}],
            "part": [
                {"kind": "intake", "height": -0.4},
                hose(1.0, -0.25),
                {"kind": "pump", "curve": pump},
                *parts,
                {"kind": "discharge", "height": out},
            ],
        }
    )


UNIT = {"kind": "condenser", "serves": "s", "loss": "3.4 kPa at 15 L/min"}


def froude(flow: float, bore: float) -> float:
    return flow / (math.pi / 4 * bore**2) / math.sqrt(GRAVITY * bore)


def balanced(network: Network, head: dict[int, float], outlet: float) -> float:
    """Flow [m³/s] of a series loop, by bisection on its parts' own losses.

    `head` is the least loss of a hose, by its index; `outlet` the head at the outlet [m].
    """
    pump = network.pump

    def left(flow: float) -> float:
        lost = sum(
            max(network.head_loss(index, flow), head.get(index, 0.0))
            for index in range(len(network.parts))
            if index != network.pump_index
        )
        return float(pump.curve.head_curve(flow)) - lost - outlet

    return float(brentq(left, 1e-9, pump.curve.last_flow, xtol=1e-15, rtol=1e-12))


# Worked out apart


def wide_hose() -> Job:
    """A unit 6 ft up on 1-1/2 in hose, the outlet in the open air near the water."""
    inner = [
        {"kind": "hose", "length": "8 ft", "to": "6 ft"},
        {"kind": "condenser", "serves": "saloon", "loss": "2.2 psi at 240 gal/h"},
        {"kind": "hose", "length": "8 ft", "to": "3 in"},
    ]
    return parse_job(
        {
            "water": {"temperature": "75 degF"},
            "defaults": {"bore": "1-1/2 in", "lining": "smooth rubber"},
            "condenser": [{"name": "saloon", "cooling": "16000 BTU/h"}],
            "part": [
                {"kind": "intake", "height": "-16 in"},
                {"kind": "seacock"},
                {"kind": "hose", "length": "2 ft", "to": "-12 in"},
                {"kind": "strainer", "loss": "0.4 psi at 300 gal/h"},
                {"kind": "hose", "length": "2 ft", "to": "-10 in"},
                {"kind": "pump", "curve": "demo-ac-350"},
                {"kind": "bleed"},
                *inner,
                {"kind": "discharge", "height": "3 in"},
            ],
        }
    )


def test_a_siphon_that_does_not_form_is_not_counted_on() -> None:
    """240 gal/h is needed: full, the loop would exceed it by a tenth; with air in the last leg it
    is a fifth short. Its water is far too slow to clear the leg, or even to keep it full."""
    job = wide_hose()
    point = solve(job)
    network, need = point.network, job.condenser[0].needed_flow
    fall = 6 * 0.3048 - 3 * 0.0254
    last = max(i for i, part in enumerate(network.parts) if isinstance(part, Hose))
    with_air = balanced(network, {last: fall}, 3 * 0.0254)
    full = balanced(network, {}, 3 * 0.0254)
    assert point.flow == pytest.approx(with_air, rel=1e-7)
    assert solve_flows(network.full, exact=True).line_flow[0, 0] == pytest.approx(full, rel=1e-7)
    assert full > 1.03 * need
    assert with_air < 0.85 * need
    (leg,) = point.legs
    slope = math.asin(fall / (8 * 0.3048))
    assert leg.froude == pytest.approx(froude(with_air, 1.5 * 0.0254))
    assert leg.froude < cavity_froude(1.5 * 0.0254, slope, network.water.density)
    assert leg.froude < 0.61 + 0.56 * math.sqrt(math.sin(slope))
    assert (leg.state, leg.decides, leg.outlet) == ("air", "cavity", "air")
    assert leg.head_taken == pytest.approx(fall - network.head_loss(last, point.flow))
    assert check(job).verdict == "bad"


def test_a_smaller_hose_on_the_leg_fills_it() -> None:
    """At 3/4 in the same fall is cleared, and gives its head back."""
    job = wide_hose()
    parts = tuple(
        part.model_copy(update={"bore": 0.01905}) if index == 9 else part
        for index, part in enumerate(job.part)
    )
    point = solve(job.model_copy(update={"part": parts}))
    (leg,) = point.legs
    assert (leg.state, leg.decides, point.best) == ("full", "swept", None)
    assert leg.froude > leg.clears[1]
    assert point.flow == pytest.approx(balanced(point.network, {}, 3 * 0.0254), rel=1e-7)
    assert point.flow > solve(job).flow


def test_a_pocket_between_a_high_and_a_low_point_takes_its_height() -> None:
    """Two legs: one wide between high and low point, one narrow to the outlet."""
    wide = 0.040
    job = loop_of(
        (2.0, 0.8), hose(1.0, 0.0, bore=wide), hose(1.5, 0.5), UNIT, (1.0, 0.1), pump="demo-ac-500"
    )
    point = solve(job)
    first, last = point.legs
    assert (first.state, first.outlet, first.decides) == ("either", None, "filling")
    assert (last.state, last.decides) == ("full", "swept")
    assert point.flow == pytest.approx(balanced(point.network, {4: 0.8}, 0.1), rel=1e-7)
    assert point.best is not None
    assert point.best.flow == pytest.approx(balanced(point.network, {}, 0.1), rel=1e-7)
    # The pocket has one pressure from end to end, and supports what is upstream.
    high, low = point.stations[3], point.stations[4]
    speeds = (high.velocity**2 - low.velocity**2) / (2 * GRAVITY)
    weight = point.network.water.density * GRAVITY
    assert low.gauge_pressure - high.gauge_pressure == pytest.approx(speeds * weight, abs=1e-6)
    assert (high.film, low.film, point.stations[-2].film) == (False, True, False)
    assert low.gauge_pressure > 0.4 * weight


def test_air_in_a_level_hose_alone_takes_no_head() -> None:
    network = build(loop_of((2.0, 0.8), (1.0, 0.8), UNIT, (1.5, 0.1)))
    level = np.array([[section.fall == 0 for section in network.sections]])
    assert level.any()
    assert not level.all()
    found = solve_flows(network, Cases(air=level)).line_flow
    assert found == pytest.approx(solve_flows(network.full).line_flow, rel=1e-9)


def test_water_that_falls_through_air_is_at_its_pressure_all_the_way() -> None:
    """To an open outlet: at the high point, at a fitting on the leg and at the outlet."""
    job = loop_of((2.0, 1.2), UNIT, (1.0, 0.6), (1.0, 0.1), bore=0.038)
    point = solve(job)
    for station in point.stations[4:]:
        assert station.gauge_pressure == pytest.approx(0.0, abs=1e-3)
    assert [station.film for station in point.stations[4:]] == [False, True, True, True]
    assert point.stations[3].gauge_pressure > 0


# Laws


def outlet_under_water(height: float) -> Job:
    return loop_of((2.0, 1.2), UNIT, (2.5, height), bore=0.038, out=height)


def test_an_outlet_under_water_lets_no_air_in() -> None:
    """Once full, such a leg stays full; how it was filled decides."""
    (leg,) = solve(outlet_under_water(-0.1)).legs
    assert (leg.outlet, leg.state, leg.decides) == ("water", "either", "filling")
    (leg,) = solve(outlet_under_water(0.1)).legs
    assert (leg.outlet, leg.state, leg.decides) == ("air", "air", "cavity")


BLEED = {"kind": "bleed"}


@pytest.mark.parametrize("top", [0.6, -0.05])
@pytest.mark.parametrize("bled", [True, False])
def test_a_bleed_under_pressure_lets_a_leg_fill_below_the_waterline(top: float, bled: bool) -> None:
    """The line rises again after the low point, which puts the high point under pressure.

    Above the water the line drains when the pump stops, and nobody bleeds it at the next start.
    """
    line = [(1.0, top - 0.6), (2.0, 1.0), UNIT, (1.0, 0.8)]
    point = solve(loop_of((2.0, top), *[BLEED] * bled, *line, bore=0.038, out=0.8))
    lasts = bled and top < 0
    leg = point.legs[0]
    assert leg.state == ("full" if lasts else "either")
    assert (leg.decides, leg.valve) == (("bleed", "bleed") if lasts else ("filling", None))
    # Once somebody has bled it the loop does what it does at best.
    assert point.best is not None or lasts


@pytest.mark.parametrize(
    ("boat", "lasts"),
    [
        (Boat(light_rise=0.04), True),
        (Boat(light_rise=0.06), False),
        # 4 m of hose on the way of 9 m from the pump, amidships, to the outlet 1.5 m out: 0.67 m.
        (Boat(heel=math.asin(0.04 / 0.67)), True),
        (Boat(heel=math.asin(0.06 / 0.67)), False),
        (Boat(heel=math.asin(0.04 / 0.67), light_rise=0.02), False),
        (Boat(wave_height=0.5), True),
    ],
)
def test_a_bleed_that_heel_or_a_light_load_lifts_out_lets_no_leg_fill(
    boat: Boat, lasts: bool
) -> None:
    """Its high point is 5 cm under water at rest; the line's water is not affected by waves."""
    line = [(1.0, -0.65), (2.0, 1.0), UNIT, (2.0, 0.8)]
    job = loop_of((4.0, -0.05), BLEED, *line, bore=0.038, out=0.8)
    outlet = job.part[-1].model_copy(update={"off_centre": 1.5})
    leg = solve(job.model_copy(update={"boat": boat, "part": (*job.part[:-1], outlet)})).legs[0]
    assert (leg.state, leg.valve) == (("full", "bleed") if lasts else ("either", None))


@pytest.mark.parametrize(("vent", "state"), [([], "full"), ([{"kind": "vented loop"}], "either")])
def test_over_the_water_a_bleed_fills_a_leg_for_good_where_no_air_comes_in(
    vent: list[Any], state: str
) -> None:
    """With the outlet under water a siphon holds, unless a vent lets air into the line."""
    line = [(1.0, 0.0), (2.0, 1.0), UNIT, *vent, (2.5, -0.1)]
    point = solve(loop_of((2.0, 0.6), BLEED, *line, bore=0.038, out=-0.1))
    assert point.legs[0].state == state


def test_a_bleed_under_negative_pressure_holds_no_siphon() -> None:
    """A high point above a long leg to an outlet under water: open there, the bleed draws air."""
    bare, bled = (
        solve(loop_of((2.0, 1.2), *bleed, UNIT, (2.5, -0.1), bore=0.038, out=-0.1))
        for bleed in ([], [{"kind": "bleed"}])
    )
    assert bled.legs[0].state == bare.legs[0].state == "either"


def test_a_vented_loop_never_gives_the_fall_behind_it_back() -> None:
    """Not even in a hose whose flow would clear it, or with the outlet under water."""
    vent = {"kind": "vented loop", "k": 0.0}
    for out in (0.1, -0.1):
        plain = solve(loop_of((2.0, 1.2), UNIT, (2.5, out), out=out))
        vented = solve(loop_of((2.0, 1.2), UNIT, vent, (2.5, out), out=out))
        assert plain.legs[0].state == "full"
        (leg,) = vented.legs
        assert (leg.state, leg.valve, leg.decides) == ("air", "vented loop", "vent")
        apart = balanced(vented.network, {6: 1.2 - out}, max(out, 0.0))
        assert vented.flow == pytest.approx(apart, rel=1e-7)
        assert vented.flow < 0.97 * plain.flow


def test_of_two_vented_loops_the_first_is_under_pressure_at_best_too() -> None:
    """The second admits air, and the water that must still rise to it pressurizes the first."""
    vent = {"kind": "vented loop"}
    dip = (1.5, 0.15), (1.5, 0.8)
    point = solve(loop_of((2.0, 0.8), UNIT, vent, *dip, vent, (2.5, -0.5), out=-0.5))
    assert [leg.state for leg in point.legs] == ["full", "air"]
    assert point.best is None  # nothing is better


def test_a_vented_loop_under_pressure_is_a_bend_like_another() -> None:
    """The line rises again after it, so no air enters; what has entered leaves."""
    vent = {"kind": "vented loop", "k": 0.0}
    line = [(1.0, 0.0), (2.0, 1.0), UNIT, (1.0, 0.8)]
    plain, vented = (solve(loop_of((2.0, 0.6), *part, *line, out=0.8)) for part in ([], [vent]))
    assert vented.legs[0].state == "full"
    assert vented.flow == pytest.approx(plain.flow, rel=1e-7)


def test_air_climbs_a_leg_no_further_than_the_first_section_that_runs_full() -> None:
    """A narrow piece of hose before the outlet keeps the wide one above it full; without it air
    climbs to the top."""
    narrow = solve(loop_of((2.0, 1.2), UNIT, hose(1.0, 0.3, bore=0.05), (0.5, 0.1)))
    assert narrow.best is not None
    assert narrow.best.network.air == (False, False)
    wide = solve(loop_of((2.0, 1.2), UNIT, hose(1.5, 0.1, bore=0.05)))
    assert wide.best is None
    assert wide.legs[0].state == "air"


def hot(seed: int, depth: int) -> Network:
    return build(random_job(np.random.default_rng(seed), 4, depth))


@some
@given(seeds)
def test_a_series_loop_gives_no_more_as_it_starts_than_at_best_nor_at_best_than_full(
    seed: int,
) -> None:
    network = hot(seed, 0)
    cases = random_cases(np.random.default_rng(seed), network, 20)
    start, best = solve_flows(network, cases), best_flows(network, cases)
    full = solve_flows(network.full, cases)
    assert (start.line_flow <= best.line_flow * (1 + 1e-7) + 1e-12).all()
    assert (best.line_flow <= full.line_flow * (1 + 1e-7) + 1e-12).all()
    assert (best.air <= start.air).all()


@some
@given(seeds, st.integers(0, 2))
def test_where_no_section_holds_air_all_answers_are_one(seed: int, depth: int) -> None:
    network = hot(seed, depth)
    start = solve_flows(network)
    assume(not start.air.any())
    full = solve_flows(network.full)
    assert start.line_flow == pytest.approx(full.line_flow, rel=1e-6, abs=1e-9)
    assert solve(network.job).best is None


@some
@given(seeds, st.floats(1.0, 3.0))
def test_more_loss_never_gives_more_flow_as_a_loop_starts(seed: int, factor: float) -> None:
    """It fills no leg either: the state of every section is monotone in flow."""
    network = hot(seed, 0)
    loss = np.array([1.0, factor])[:, None] * np.ones(len(network.parts))
    flows = solve_flows(network, Cases(loss=loss))
    assert flows.line_flow[1, 0] <= flows.line_flow[0, 0] * (1 + 1e-7)
    assert (flows.air[1] >= flows.air[0]).all()


@some
@given(seeds, st.integers(0, 2))
def test_every_state_is_what_the_water_says(seed: int, depth: int) -> None:
    """With air: too slow to clear it. Full: clears it (no bleeds or vents decide here)."""
    network = hot(seed, depth)
    flows = solve_flows(network)
    for number, (section, air) in enumerate(zip(network.sections, flows.air[0], strict=True)):
        if any(leg.depends_on_pressure for leg in network.legs if number in leg.sections):
            continue
        flow = float(flows.line_flow[0, section.line])
        low, high = clearing_froude(section.slope)
        assert section.clears == (low, high)
        if air:
            assert froude(flow, section.bore) <= high
        elif flow > 0 and network.forks == ():
            assert froude(flow, section.bore) > high


@some
@given(seeds, st.integers(0, 2))
def test_many_cases_at_once_are_each_in_its_own_state(seed: int, depth: int) -> None:
    network = hot(seed, depth)
    cases = random_cases(np.random.default_rng(seed), network, 6)
    together = solve_flows(network, cases)
    for row in range(6):
        alone = solve_flows(network, cases[np.array([row])])
        assert alone.air[0].tolist() == together.air[row].tolist()
        scale = float(np.abs(together.line_flow[row]).max())
        assert alone.line_flow[0] == pytest.approx(together.line_flow[row], abs=1e-6 * scale)


@some
@given(seeds)
def test_all_lengths_to_scale_keep_the_states(seed: int) -> None:
    """Heights, bores and lengths by one factor: at one flow Froude numbers go as bore^(−5/2)."""
    rng = np.random.default_rng(seed)
    bore, slope, factor = rng.uniform(0.02, 0.05), rng.uniform(0, 1.5), rng.uniform(1.0, 3.0)
    flow = rng.uniform(1e-5, 1e-3)
    assert froude(flow * factor**2.5, bore * factor) == pytest.approx(froude(flow, bore))
    # Surface tension is the only thing that a larger bore changes: it holds less back.
    small, large = (float(cavity_froude(b, slope, 1025.0)) for b in (bore, factor * bore))
    assert small <= large <= 0.54 * math.cos(slope) + 0.35 * math.sin(slope)


def test_one_branch_in_a_network_is_the_series_loop() -> None:
    """A manifold with one branch has no tee; its legs hold the same air as in series."""
    line = [hose(2.0, 1.2), UNIT, hose(1.5, 0.3)]
    end = hose(1.0, 0.1)
    series = solve(loop_of(*line, end, bore=0.034))
    network = solve(
        loop_of({"kind": "manifold", "branch": [{"name": "a", "part": line}]}, end, bore=0.034)
    )
    assert network.flow == pytest.approx(series.flow, rel=1e-6)
    assert series.legs[0].state == network.legs[0].state == "either"
    assert network.legs[0].head_taken == pytest.approx(series.legs[0].head_taken, rel=1e-3)


def test_a_branch_whose_leg_holds_air_gets_less_and_the_other_more() -> None:
    """Compared with the same branches full; together they get less."""

    def way(name: str, bore: float) -> dict[str, Any]:
        unit = {**UNIT, "serves": name}
        return {"name": name, "part": [hose(2.0, 1.0, bore=bore), unit, hose(1.5, 0.2, bore=bore)]}

    data = loop_of((1.0, 0.0), UNIT, (1.0, 0.1)).model_dump(exclude_unset=True)
    data["condenser"] = [{"name": name, "cooling": 3000.0} for name in "ab"]
    data["part"] = [
        *data["part"][:4],
        {"kind": "manifold", "bore": 0.025, "branch": [way("a", 0.038), way("b", 0.016)]},
        *data["part"][5:],
    ]
    network = build(Job.model_validate(data))
    start, full = solve_flows(network).line_flow[0], solve_flows(network.full).line_flow[0]
    assert start[0] < full[0]
    assert start[1] < 0.9 * full[1]
    assert start[2] > full[2]


def test_the_air_of_a_leg_that_costs_much_is_said_whether_or_not_the_water_is_enough() -> None:
    """A tenth of the shut-off head and more; the program reports it from a twentieth on."""
    dear = 0
    for seed in range(60):
        job = random_job(np.random.default_rng([seed, 5]), branches=2, depth=seed % 2)
        point = solve(job)
        legs = [
            leg
            for leg in point.legs
            if leg.outlet is not None
            and leg.head_taken > 0.1 * point.shutoff_head
            and point.flow > 0
        ]
        if not legs:
            continue
        network = point.network
        said = {
            network.places[[item.address for item in locate(job.part)].index(one.at.part)]
            for one in check(job, fixes=False).findings
            if one.code in ("siphon-uncertain", "leg-holds-air") and one.at.part is not None
        }
        dear += len(legs)
        assert {leg.to_part for leg in legs} <= said
    assert dear > 3
