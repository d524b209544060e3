"""Steps of bore: their loss, the loops that have them, and what is reported about them."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from loop.check import check
from loop.hydraulics import build, solve, solve_flows
from loop.hydraulics.bore_steps import bore_steps
from loop.job import Job, locate, parse_job, read_job
from loop.job.edit import Insert, edit
from loop.parts import Hose, Intake, Seacock, Strainer
from loop.parts.friction import velocity_head
from loop.parts.step import step_coefficient
from loop.teach.explain import explain
from loop.units import parse
from loop.words.action_words import action_text
from loop.words.actions import ChangeBore, ChangeHose, FitAdapter, together
from loop.words.hazards import OUT
from loop.words.size_actions import narrower_beside
from loop.words.speaker import Speaker, called
from tests.loops import changed, check_of, codes, found, job_of, plain_loop
from tests.random_jobs import random_job
from tests.test_explain import assert_agrees_with_check, assert_balances, assert_every_line_holds
from tests.test_sweep import assert_as_check

INCH = 0.0254
some = settings(max_examples=25, deadline=None)
bores = st.floats(0.005, 0.06)
seeds = st.integers(0, 2**32 - 1)


def seacock_of(bore: str, *more: Any) -> Job:
    """The plain loop on 3/4 in with a seacock of this bore."""
    return job_of((2, "bore", bore), *more)


# The relation


@given(bores, bores)
def test_widening_loses_the_square_of_the_speeds_difference(one: float, other: float) -> None:
    """Borda and Carnot: (V1 − V2)²/2g, whatever the flow."""
    small, large = sorted((one, other))
    flow = 3e-4
    speeds = [flow / (math.pi / 4 * bore**2) for bore in (small, large)]
    head = step_coefficient(small, large) * velocity_head(flow, small)
    assert head == pytest.approx((speeds[0] - speeds[1]) ** 2 / (2 * 9.80665), abs=1e-12)


@given(bores, bores)
def test_narrowing_is_rennels(one: float, other: float) -> None:
    """Rennels & Hudson, Pipe Flow (2012), the sharp contraction as printed."""
    small, large = sorted((one, other))
    beta = small / large
    jet = 1 + 0.622 * (1 - 0.215 * beta**2 - 0.785 * beta**5)
    printed = 0.0696 * (1 - beta**5) * jet**2 + (jet - 1) ** 2
    assert step_coefficient(large, small) == pytest.approx(printed, abs=1e-12)


@given(bores)
def test_no_step_no_loss(bore: float) -> None:
    assert step_coefficient(bore, bore) == 0.0
    assert step_coefficient(bore, bore * (1 + 1e-9)) < 1e-8


# Loops


def test_a_loop_of_one_bore_has_none() -> None:
    network = build(job_of())
    assert set(network.steps) == {0.0}
    assert not list(bore_steps(network.parts, network.lines, network.forks))


def test_a_narrow_seacock_costs_its_two_steps() -> None:
    """By hand: from 3/4 in to 3/8 in and back, with the parts' own losses."""
    point = solve(seacock_of("3/8 in"))
    network, narrow, wide = point.network, 0.375 * INCH, 0.75 * INCH
    steps = step_coefficient(wide, narrow) + (1 - 0.25) ** 2

    def over(flow: float) -> float:
        lost = sum(part.head_loss(flow, network.water) for part in network.parts)
        lost += steps * velocity_head(flow, narrow)
        return float(network.pump.curve.head_curve(flow)) - lost - 5 * INCH

    assert point.flow == pytest.approx(brentq(over, 1e-9, network.pump.curve.last_flow), rel=1e-7)
    assert point.flow < 0.94 * solve(job_of()).flow


def test_the_same_valve_as_a_reduced_port_is_much_the_same() -> None:
    """Crane's reduced-port ball valve includes the two steps, by other relations."""
    port = solve(job_of((2, "port", "3/8 in")))
    assert solve(seacock_of("3/8 in")).flow == pytest.approx(port.flow, rel=0.02)


@some
@given(seeds)
def test_an_adapter_at_every_step_takes_what_the_step_took(seed: int) -> None:
    """A fitting's stated loss includes its ends, so the step is not counted again."""
    job = random_job(np.random.default_rng(seed), depth=0)
    network = build(job)
    addresses = [item.address for item in locate(job.part)]
    steps = list(bore_steps(network.parts, network.lines, network.forks))
    assume(steps and not any(step.fittings for step in steps))
    adapters = [FitAdapter(addresses[step.before], step.bore, step.to) for step in steps]
    fitted = build(together(adapters).apply(job))
    assert sum(fitted.steps) == 0
    before, after = (solve_flows(one.full, exact=True).line_flow[0] for one in (network, fitted))
    assert after == pytest.approx(before, rel=1e-6, abs=1e-10)


STATED = [{"k": 0.5}, {"kv": 9.0}, {"loss": "1 kPa at 20 L/min"}]


@some
@given(seeds, st.floats(1.2, 3.0), st.sampled_from(STATED))
def test_a_fitting_between_two_bores_adds_no_flow(
    seed: int, ratio: float, loss: dict[str, object]
) -> None:
    """A flow switch before a narrow outlet does not remove the step into it."""
    bore = float(np.random.default_rng(seed).uniform(0.012, 0.04))
    line = ("defaults", "bore", f"{1000 * bore} mm")
    job = parse_job(changed(line, (11, "bore", f"{1000 * bore / ratio} mm")))
    switched = edit(job, [Insert("part[11]", {"kind": "fitting", **loss})])
    assert solve(switched).flow <= solve(job).flow * (1 + 1e-9)
    assert_every_line_holds(explain(switched))


@pytest.mark.parametrize("k", [0.0, 0.5, 40.0])
def test_a_fitting_between_two_bores_loses_the_step_or_its_own_where_that_is_more(k: float) -> None:
    """By hand, with velocity heads: K on 3/4 in, the step's on the 3/8 in outlet."""
    job = edit(job_of((11, "bore", "3/8 in")), [Insert("part[11]", {"kind": "fitting", "k": k})])
    point = solve(job)
    network, narrow, wide = point.network, 0.375 * INCH, 0.75 * INCH
    step = step_coefficient(wide, narrow) * velocity_head(1.0, narrow)

    def over(flow: float) -> float:
        lost = sum(part.head_loss(flow, network.water) for part in network.parts)
        lost += max(step - k * velocity_head(1.0, wide), 0.0) * flow**2
        return float(network.pump.curve.head_curve(flow)) - lost - 5 * INCH

    assert point.flow == pytest.approx(brentq(over, 1e-9, network.pump.curve.last_flow), rel=1e-7)


@some
@given(seeds, st.floats(0.3, 1.0))
def test_a_narrower_seacock_never_gives_more(seed: int, share: float) -> None:
    """Crane's open valve loses less in a small bore: the steps must outweigh that."""
    rng = np.random.default_rng(seed)
    bore = float(rng.uniform(0.012, 0.04))
    hose, narrow = (f"{1000 * size} mm" for size in (bore, share * bore))
    wide = changed(("defaults", "bore", hose))
    assert solve(parse_job(changed((2, "bore", narrow), base=wide))).flow <= (
        solve(parse_job(wide)).flow * (1 + 1e-9)
    )


def test_a_header_of_another_bore_has_its_steps_too() -> None:
    """A manifold with one branch is the series loop, its header a short narrow pipe."""
    inner = plain_loop()["part"][7:10]
    data = plain_loop()
    data["part"][7:10] = [
        {"kind": "manifold", "bore": "1/2 in", "branch": [{"name": "a", "part": inner}]}
    ]
    network = build(parse_job(data))
    half, wide = 0.5 * INCH, 0.75 * INCH
    twice = 2 * (step_coefficient(wide, half) + step_coefficient(half, wide))
    assert sum(network.steps) == pytest.approx(twice * velocity_head(1.0, half))


def test_no_step_multiplies_with_what_blocks_or_shuts_a_part() -> None:
    """The step counts with the hose of the two; with a strainer only if there is no hose."""
    network = build(seacock_of("3/8 in", (4, "bore", "1-1/2 in")))
    assert {i for i, step in enumerate(network.steps) if step} == {1, 2, 4}
    assert network.head_loss(3, 2e-4) == network.parts[3].head_loss(2e-4, network.water)


@pytest.mark.parametrize(
    "vary",
    [
        {"part[3].bore": ["1/2 in", "3/4 in", "1 in"], "part[3].length": ["2 ft", "9 ft"]},
        {"part[2].bore": ["3/8 in", "3/4 in"], "part[3].bore": ["1/2 in", "3/4 in", "1 in"]},
        {
            "pump": ["demo-ac-200", "demo-ac-350", "demo-ac-700"],
            "part[5].bore": ["1/2 in", "1 in"],
            "part[8].bore": ["5/8 in", "1-1/4 in"],
            "part[8].length": ["8 ft", "20 ft"],
        },
        {"part[2].bore": ["3/8 in", "1 in"], "water.temperature": ["40 degF", "90 degF"]},
    ],
)
def test_a_sweep_takes_the_steps_along(vary: Any) -> None:
    """Steps of one axis, steps where two axes meet, and those at a pump's ports."""
    assert_as_check(seacock_of("1/2 in"), vary)


@pytest.mark.parametrize("pump", ["demo-ac-350", "demo-ac-700"])
def test_an_explanation_has_the_steps(pump: str) -> None:
    explained = explain(seacock_of("3/8 in", (6, "curve", pump), (11, "bore", "1 in")))
    assert_agrees_with_check(explained)
    assert_balances(explained)
    assert_every_line_holds(explained)
    assert sum(step.row == "step head" for step in explained.steps) == 3 + 2 * (pump[-3:] == "700")


# Findings


def test_no_loop_is_good_whose_seacock_chokes_it() -> None:
    """3/8 in between 3/4 in, with a need that a loop without steps meets at its low limit."""
    need = ("condenser", "flow_needed", f"{0.88 * solve(job_of()).flow!r} m^3/s")
    assert check_of(need).verdict == "good"
    result = check(seacock_of("3/8 in", need))
    assert result.verdict == "attention"
    assert {"flow-marginal", "inlet-fast", "bore-step"} <= codes(result)


def test_a_step_that_takes_much_says_how_much_and_asks_for_full_bore() -> None:
    result = check_of((2, "bore", "3/8 in"))
    (step,) = found(result, "bore-step")
    speed = result.point.stations[2]
    lost = 0.5625 * velocity_head(speed.flow, 0.375 * INCH)
    assert step.values["lost"] == pytest.approx(lost)
    assert step.actions[0] == ChangeBore("part[2]", parse("3/4 in", "length"))
    (slight,) = found(check_of((11, "bore", "5/8 in")), "bore-step")
    assert "lost" not in slight.values
    assert isinstance(slight.actions[0], FitAdapter)


@pytest.mark.parametrize(
    ("change", "port"),
    [((2, "bore", "3/8 in"), 0.375), ((2, "port", "3/8 in"), 0.375), ((1, "bore", "1/2 in"), 0.5)],
)
def test_the_speed_before_the_pump_is_judged_in_rigid_parts_too(change: Any, port: float) -> None:
    """By bore or port; the offered part is as wide as the hoses, and is a fix."""
    result = check_of(change)
    (fast,) = found(result, "inlet-fast")
    area = math.pi / 4 * (port * INCH) ** 2
    assert fast.values["speed"] == pytest.approx(result.point.flow / area)
    assert fast.at.part == f"part[{change[0]}]"
    after = check(fast.actions[0].apply(result.job))
    assert "inlet-fast" not in codes(after)
    assert after.verdict == "good"
    assert not any(after.point.network.steps)


def test_wider_hose_in_the_suction_takes_hull_seacock_and_strainer_along() -> None:
    """And on the pressure side it names the adapters."""
    data = changed((11, "bore", "1/2 in"), ("defaults", "bore", "1/2 in"), (8, "length", "30 ft"))
    result = check(parse_job(data))
    (short,) = found(result, "flow-short")
    wide = next(step for one in short.actions for step in one.steps if step.kind == "change-hose")
    assert isinstance(wide, ChangeHose)
    assert wide.fittings == ("part[1]", "part[2]", "part[4]", "part[7]")
    fixed = wide.apply(result.job)
    assert all(
        part.inner_bore == wide.bore
        for part in fixed.part[:5]
        if isinstance(part, Intake | Seacock | Strainer | Hose)
    )
    assert narrower_beside(result.job, wide) == ("part[9]", "part[11]")
    told = action_text(wide, Speaker(result.job))
    assert all(called(Speaker(result.job).parts[at].label) in told for at in wide.fittings)
    assert OUT in told


def test_no_adapter_is_advised_at_a_hose_that_another_fix_replaces() -> None:
    result = check(read_job(Path(__file__).parent.parent / "examples" / "curlew.toml"))
    (held,), steps = found(result, "air-held"), found(result, "bore-step")
    assert len(steps) == 2
    assert {one.actions for one in steps} == {held.actions[:1]}
