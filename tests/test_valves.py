"""Throttling by hand: what a valve must lose, what a balanced loop draws, which valves count."""

import math
from typing import Any

import fluids
import pytest

from loop.balancing import equal_shares
from loop.balancing.balance import balance, duty
from loop.balancing.flow_limiting import throttle
from loop.balancing.isolation import open_units, valve_sites
from loop.hydraulics import Cases, Flows, Network, build, solve, solve_flows
from loop.hydraulics.clearing import clearing_froude
from loop.job import Fitted, Job, parse_job
from loop.parts.friction import GRAVITY, velocity, velocity_head
from loop.parts.seacock import added_coefficient, opening_at
from loop.pumps import Curve, PumpCurve, Series
from tests.loops import Table, job_of, plain_loop
from tests.test_balance import BRANCHES, branch, manifold_loop, many

BORE = 0.75 * 0.0254


def fitted(job: Job, loss: float) -> Job:
    return job.model_copy(update={"fitted": Fitted(loss=loss)})


# One valve


OPEN = fluids.K_ball_valve_Crane(D1=BORE, D2=BORE, angle=0.0)


def drained(network: Network, flow: float, loss: float) -> float:
    """Head [m] that the last leg, 5 in of fall on 6 ft, takes beyond its friction.

    Water too slow to sweep its air falls as a film: the leg takes the fall, or its friction if that
    is more.
    """
    fall = 5 * 0.0254
    slope = math.asin(fall / (6 * 0.3048))
    froude = velocity(flow, BORE) / math.sqrt(GRAVITY * BORE)
    if froude > float(clearing_froude(slope)[1]):
        return 0.0
    return max(fall - loss * network.head_loss(9, flow), 0.0)


@pytest.mark.parametrize("loss", [1.0, 1.2])
@pytest.mark.parametrize("share", [0.95, 0.8, 0.5, 0.2])
def test_a_valve_takes_the_head_that_the_loop_leaves(share: float, loss: float) -> None:
    """At the given flow: K V²/2g = pump's head − lift − losses. The outlet is 5 in high.

    The valve's K is its own, open, plus that of its angle; all losses are scaled by the job's fit.
    """
    job = fitted(parse_job(plain_loop()), loss)
    network = build(job)
    most = share * solve(job).flow
    valve = throttle(network, "saloon", most)
    flow = valve.flow
    lost = loss * sum(network.head_loss(i, flow) for i in range(len(network.parts)))
    lost += drained(network, flow, loss)
    left = float(network.pump.curve.head(flow)) - 5 * 0.0254 - lost
    whole = loss * (valve.coefficient + OPEN)
    # Flows are read from tables of each part's loss, accurate to 0.1 %.
    assert whole == pytest.approx(left / velocity_head(flow, BORE), rel=0.02)
    assert valve.unit == "saloon"
    assert valve.bore == pytest.approx(BORE)
    assert valve.angle == round(valve.angle)
    assert added_coefficient(valve.angle) == pytest.approx(valve.coefficient)
    # The smallest whole angle that does: no more than asked for, and not a degree too far.
    assert 0.9 * most < flow <= most


def test_a_valve_that_is_there_is_turned_on_from_where_it_stands() -> None:
    """The K that it has plus the K to add give the new angle, whatever its present one."""
    told = []
    for angle in (0.0, 20.0, 35.0):
        table = plain_loop()
        table["part"].insert(8, {"kind": "seacock", "open": f"{100 * opening_at(angle):.9f} %"})
        valve = throttle(build(parse_job(table)), "saloon", 0.6 * solve(job_of()).flow)
        assert valve.part == 8
        assert valve.was == pytest.approx(angle)
        told.append(valve.angle)
    assert told[0] == told[1] == told[2] > 35


def test_less_water_takes_a_valve_further_shut() -> None:
    network = build(parse_job(plain_loop()))
    need = network.job.condenser[0].needed_flow
    angles = [throttle(network, "saloon", share * need).angle for share in (1.0, 0.8, 0.5, 0.3)]
    assert angles == sorted(angles)
    assert 0 < angles[0] < angles[-1] < 82


# Balanced loops


@pytest.mark.parametrize("count", [2, 4, 6])
@pytest.mark.parametrize("share", [0.7, 1.0, 1.5])
def test_a_balanced_loop_draws_the_sum_of_its_needs(count: int, share: float) -> None:
    """Branches in parallel: the pump's flow is their sum, each at the same share of its need.

    Within the 1e-4 to which the balance converges.
    """
    network = build(many(count))
    found = duty(network, share)
    assert found is not None
    total = sum(unit.needed_flow for unit in network.job.condenser)
    assert found[1] == pytest.approx(share * total, rel=3e-4)


def test_a_duty_of_more_water_takes_more_head_by_the_losses_law() -> None:
    """From 1 to 2 times the need losses rise by a factor 2^1.75 to 2^2; the lift, 5 in, stays."""
    network = build(many(3))
    one, two = duty(network, 1.0), duty(network, 2.0)
    assert one is not None
    assert two is not None
    ratio = (two[0] - 5 * 0.0254) / (one[0] - 5 * 0.0254)
    assert 2**1.75 < ratio < 4


@pytest.mark.parametrize("loss", [1.0, 1.3])
def test_a_balance_is_what_its_valves_bring_about(loss: float) -> None:
    """K added to each branch, from its valve's angle: the predicted flows and shares."""
    job = fitted(many(4), loss)
    network = build(job)
    even = balance(network)
    assert even is not None
    table = manifold_loop(
        {f"unit {n}": BRANCHES[n][1] for n in range(4)},
        [
            branch(
                f"unit {n}",
                BRANCHES[n][0],
                tuple(
                    {"kind": "fitting", "k": valve.coefficient + OPEN}
                    for valve in even.throttles
                    if valve.unit == f"unit {n}"
                ),
            )
            for n in range(4)
        ],
    )
    point = solve(fitted(parse_job(table), loss))
    assert even.total_flow == pytest.approx(point.flow, rel=2e-3)
    assert even.pump_head == pytest.approx(point.pump_head, rel=2e-3)
    flows = {
        unit.name: point.flow_through(point.network.condenser_part(unit.name))
        for unit in job.condenser
    }
    for valve in even.throttles:
        assert valve.flow == pytest.approx(flows[valve.unit], rel=2e-3)
        assert valve.angle == round(valve.angle)
        assert valve.coefficient == pytest.approx(added_coefficient(valve.angle))
    least = min(flows[unit.name] / unit.needed_flow for unit in job.condenser)
    assert even.share == pytest.approx(least, rel=2e-3)


def test_a_pump_too_weak_for_all_is_shared_evenly_too() -> None:
    table = manifold_loop(
        {f"unit {n}": BRANCHES[n][1] for n in range(3)},
        [branch(f"unit {n}", BRANCHES[n][0]) for n in range(3)],
        "demo-dc-150",
    )
    job = parse_job(table)
    point = solve(job)
    shares = [
        point.flow_through(point.network.condenser_part(unit.name)) / unit.needed_flow
        for unit in job.condenser
    ]
    assert max(shares) < 1
    even = balance(point.network)
    assert even is not None
    # Shares are equal to within whole degrees; the total is hardly less.
    total = sum(unit.needed_flow for unit in job.condenser)
    assert min(shares) < 0.9 * even.share
    assert even.share == pytest.approx(even.total_flow / total, rel=0.04)


def test_even_flows_are_found_in_few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """A check balances a single case, and a study thousands: at most 16 and 30 rounds."""
    rounds: list[Flows] = []

    def counted(network: Network, cases: Cases, **options: Any) -> Flows:
        rounds.append(solve_flows(network, cases, **options))
        return rounds[-1]

    network = build(many(6))
    monkeypatch.setattr(equal_shares, "solve_flows", counted)
    for find, most in ((balance, 16), (duty, 30)):
        rounds.clear()
        assert find(network) is not None
        assert 1 < len(rounds) <= most


@pytest.mark.parametrize(("shutoff", "reaches"), [(0.55, True), (0.45, False)])
def test_a_duty_is_looked_for_up_to_64_times_the_pumps_head(shutoff: float, reaches: bool) -> None:
    """30 m of lift: 64 · 0.55 m = 35 m reach it, 64 · 0.45 m = 29 m do not."""
    table = plain_loop()
    flow = 4e-4
    table["part"][5]["curve"] = PumpCurve(
        name="demo-weak",
        drive="dc",
        rated_supply=12.0,
        port=0.019,
        curve=Curve(
            flow=Series(unit="m3/s", values=(0.0, 0.4 * flow, 0.7 * flow, flow)),
            head=Series(unit="m", values=tuple(shutoff * share for share in (1, 0.995, 0.99, 0.9))),
        ),
    )
    table["part"][9] |= {"length": "40 m", "to": "29.9 m"}
    table["part"][10]["height"] = "29.9 m"
    found = duty(build(parse_job(table)), 0.5)
    assert (found is not None) is reaches
    if found is not None:
        assert found[0] > 29.9


# Which units and valves count


def nested() -> Table:
    """Unit c feeds a manifold of a1 and a2; b is beside them all."""
    inner = {"kind": "manifold", "branch": [branch("a1", "3 ft"), branch("a2", "10 ft")]}
    outer = {
        "name": "outer",
        "part": [
            {"kind": "hose", "length": "3 ft", "to": "6 in"},
            {"kind": "seacock", "label": "outer valve"},
            {"kind": "condenser", "serves": "c", "loss": "1 psi at 440 gal/h"},
            inner,
            {"kind": "hose", "length": "3 ft", "to": "6 in"},
        ],
    }
    cooling = {"c": "6000 BTU/h", "a1": "6000 BTU/h", "a2": "9000 BTU/h", "b": "12000 BTU/h"}
    return manifold_loop(cooling, [outer, branch("b", "2 ft")])


def names(units: Any) -> list[str]:
    return [name for name, _, _ in units]


def test_a_branch_that_feeds_others_has_no_valve_of_its_own() -> None:
    network = build(parse_job(nested()))
    units = open_units(network)
    assert names(units) == ["c", "a1", "a2", "b"]
    assert [need for _, _, need in units] == [unit.needed_flow for unit in network.job.condenser]
    assert names(valve_sites(network, units)) == ["a1", "a2", "b"]
    # What c gets is what a1 and a2 take together, so c's share follows theirs.
    even = balance(network)
    assert even is not None
    assert {valve.unit for valve in even.throttles} <= {"a1", "a2", "b"}


def test_of_units_in_line_the_valve_is_set_for_the_one_that_needs_most() -> None:
    for first, second, chosen in (
        ("6000", "9000", "d"),
        ("9000", "6000", "a"),
        ("6000", "6000", "a"),
    ):
        extra = ({"kind": "condenser", "serves": "d", "loss": "1 psi at 240 gal/h"},)
        table = manifold_loop(
            {"a": f"{first} BTU/h", "d": f"{second} BTU/h", "b": "8000 BTU/h"},
            [branch("a", extra=extra), branch("b")],
        )
        network = build(parse_job(table))
        assert names(valve_sites(network, open_units(network))) == [chosen, "b"]


def test_a_shut_valve_takes_out_the_units_behind_it_and_no_others() -> None:
    table = nested()
    manifold = next(part for part in table["part"] if part["kind"] == "manifold")
    manifold["branch"][0]["part"][1]["open"] = "0 %"
    assert names(open_units(build(parse_job(table)))) == ["b"]
    inner = nested()
    manifold = next(part for part in inner["part"] if part["kind"] == "manifold")
    manifold["branch"][0]["part"][3]["branch"][1]["part"].insert(
        0, {"kind": "seacock", "open": "0 %"}
    )
    network = build(parse_job(inner))
    assert names(open_units(network)) == ["c", "a1", "b"]
    found = duty(network)
    assert found is not None
    # The one that is shut draws nothing: b, and the greater of what c needs and what a1 needs.
    needs = {unit.name: unit.needed_flow for unit in network.job.condenser}
    assert math.isclose(found[1], needs["b"] + max(needs["c"], needs["a1"]), rel_tol=1e-3)
    main = nested()
    main["part"][1]["open"] = "0 %"
    assert open_units(build(parse_job(main))) == []
    assert duty(build(parse_job(main))) is None
    assert balance(build(parse_job(main))) is None
