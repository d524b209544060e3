"""Equal shares by hand: loops with quadratic losses, balanced alike for every flow."""

import math

import fluids
import numpy as np
import pytest

from loop.balancing import balance as balancing
from loop.balancing.balance import (
    MAX_SURPLUS,
    TABLE_MARGIN,
    Balance,
    balance,
    balanced_at_share,
    duty,
)
from loop.balancing.throttle_valves import Throttle
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, build, flow_band, solve, solve_flows
from loop.job import Job
from loop.parts.friction import velocity_head
from loop.parts.seacock import angle_for
from tests.square_loops import GALLONS, INCH, bypass, square_job, unit, valve, way
from tests.test_settings import applied

HALF, WIDE = 0.5 * INCH, 2 * INCH
OWN = fluids.K_ball_valve_Crane(D1=HALF, D2=HALF, angle=0.0)


def lost(network: Network, line: int, flow: float) -> float:
    """Head [m] lost along a line by everything except the ball valves."""
    parts = network.lines[line].parts
    return sum(network.head_loss(i, flow) for i in parts if network.parts[i].kind != "seacock")


def by_hand(network: Network) -> tuple[dict[str, float], float]:
    """K that each of two branches needs on 1/2 in, and the pump's head [m], at their needs.

    A branch loses what its parts and the header's tees do: the first turns off, the second runs
    straight on, and likewise where they rejoin.
    """
    one, two = network.job.condenser
    flows = one.needed_flow, two.needed_flow
    total = sum(flows)
    tees = velocity_head(total, WIDE)
    ways = (WIDE, HALF, flows[1] / total, flows[0] / total, 90.0)
    turn = fluids.K_branch_diverging_Crane(*ways) + fluids.K_branch_converging_Crane(*ways)
    run = fluids.K_run_diverging_Crane(*ways) + fluids.K_run_converging_Crane(*ways)
    heads = [
        lost(network, network.line_of[network.condenser_part(each.name)], flow) + k * tees
        for each, flow, k in zip((one, two), flows, (turn, run), strict=True)
    ]
    main = sum(lost(network, i, total) for i, line in enumerate(network.lines) if not line.branch)
    wanting = {
        each.name: (max(heads) - head) / velocity_head(flow, HALF)
        for each, flow, head in zip((one, two), flows, heads, strict=True)
    }
    return wanting, main + max(heads)


UNLIKE = [
    ((100, 150), (7, 20)),
    ((100, 150), (90, 2)),
    ((150, 100), (2, 2)),
    ((30, 250), (2, 12)),
    ((200, 110), (40, 1)),
]


@pytest.mark.parametrize(
    ("needs", "ks", "share"),
    [(*each, share) for each, share in zip(UNLIKE, (0.7, 1.0, 1.4, 0.9, 2.0), strict=True)],
)
def test_what_two_branches_draw_at_even_shares(
    needs: tuple[int, int], ks: tuple[int, int], share: float
) -> None:
    """All losses are quadratic: the K to add is the same for all shares, head goes as share²."""
    job = square_job(dict(zip("ab", needs, strict=True)), [way("a", ks[0]), way("b", ks[1])])
    network = build(job)
    wanting, head = by_hand(network)
    even = balanced_at_share(network, share)
    assert even is not None
    assert even.share == pytest.approx(share, rel=1e-3)
    assert even.total_flow == pytest.approx(share * sum(needs) * GALLONS, rel=1e-3)
    assert even.pump_head == pytest.approx(share**2 * head, rel=2e-3)
    assert duty(network, share) == (even.pump_head, even.total_flow)
    (told,) = even.throttles
    assert wanting[told.unit] > 0
    # A share off by 1e-3 is 2e-3 of the branch's whole loss.
    whole = (head / velocity_head(needs["ab".index(told.unit)] * GALLONS, HALF)) * 2e-3
    assert told.coefficient == pytest.approx(wanting[told.unit] - OWN, abs=whole)


@pytest.mark.parametrize(
    ("needs", "ks", "angle"),
    [*((*each, None) for each in UNLIKE), *((*UNLIKE[n], 40.0 * n) for n in (0, 1, 2))],
)
def test_the_valve_of_the_greedy_branch_is_told_to_the_degree(
    needs: tuple[int, int], ks: tuple[int, int], angle: float | None
) -> None:
    """Wherever the valves are set: their present K counts, and a short branch's is opened."""
    more = () if angle is None else (valve(angle),)
    ways = [way("a", ks[0], *more), way("b", ks[1], *more)]
    job = square_job(dict(zip("ab", needs, strict=True)), ways)
    wanting, _ = by_hand(build(job))
    even = balance(build(job))
    assert even is not None
    greedy = max(wanting, key=lambda name: wanting[name])
    # An open valve on the branch with less water has its own K, which the other's must match.
    poor = next(each for each in job.condenser if each.name != greedy)
    flow = next(each for each in job.condenser if each.name == greedy).needed_flow
    extra = 0.0 if angle is None else OWN * (poor.needed_flow / flow) ** 2
    exact = angle_for(wanting[greedy] + extra - OWN)
    told = {t.unit: t for t in even.throttles}
    assert abs(told[greedy].angle - exact) < 0.6
    assert told[greedy].angle == round(told[greedy].angle)
    assert set(told) == ({greedy} if not angle else {"a", "b"})
    if angle:
        assert (told[poor.name].angle, told[poor.name].opens) == (0.0, True)
    after_is_as_told(even, job)


def set_as_told(job: Job, throttles: tuple[Throttle, ...]) -> Job:
    return applied(job, build(job), throttles)


def shares(job: Job) -> tuple[float, float]:
    """The least flow over need, as calculated and at the low limit of the band."""
    point = solve(job)
    low = flow_band(point.network, point.line_flow)[0]
    lines = [point.network.line_of[point.network.condenser_part(u.name)] for u in job.condenser]
    needs = np.array([u.needed_flow for u in job.condenser])
    return (
        float((point.line_flow[lines] / needs).min()),
        float((low[lines] / needs).min()),
    )


def after_is_as_told(even: Balance, job: Job) -> Job:
    """The job with its valves set, after checking that it flows as the balance predicts."""
    after = set_as_told(job, even.throttles)
    point = solve(after)
    share, low = shares(after)
    assert even.share == pytest.approx(share, rel=2e-3)
    assert even.low == pytest.approx(low, rel=3e-3)
    assert even.total_flow == pytest.approx(point.flow, rel=2e-3)
    assert even.pump_head == pytest.approx(point.pump_head, rel=2e-3)
    assert even.line_flow == pytest.approx(point.line_flow, rel=4e-3)
    return after


def test_branches_that_are_even_by_hand_need_no_valve() -> None:
    """The second, straight on at the tees, loses in its parts what the first loses there."""
    needs = {"a": 100, "b": 100}
    wanting, _ = by_hand(build(square_job(needs, [way("a", 30), way("b", 30)])))
    job = square_job(needs, [way("a", 30 + wanting["a"]), way("b", 30 + wanting["b"])])
    even = balance(build(job))
    assert even is not None
    assert even.throttles == ()
    assert even.line_flow == pytest.approx(solve(job).line_flow, rel=2e-3)
    flows = solve(job).line_flow
    assert even.share == pytest.approx(flows[0] / (200 * GALLONS), rel=1e-3)


@pytest.mark.parametrize("pump", ["demo-ac-700", "demo-dc-320"])
def test_many_unlike_branches_end_even_with_one_at_least_unthrottled(pump: str) -> None:
    """Bores from 3/8 to 3/4 in. For the least pump head, one branch is left as it is."""
    bores = ["3/8 in", "1/2 in", "3/4 in", "1/2 in"]
    needs = {"a": 40, "b": 110, "c": 180, "d": 70}
    ways = [way(name, k) for name, k in zip(needs, (3, 25, 40, 8), strict=True)]
    for each, bore in zip(ways, bores, strict=True):
        for part in each["part"]:
            part["bore"] = bore
    network = build(square_job(needs, ways, pump))
    even = balanced_at_share(network, 1.0)
    assert even is not None
    flows = [
        even.line_flow[network.line_of[network.condenser_part(name)]] / need / GALLONS
        for name, need in needs.items()
    ]
    assert max(flows) == pytest.approx(min(flows), rel=1e-3)
    assert even.share == pytest.approx(min(flows))
    assert len(even.throttles) == 3
    # What the loop takes does not depend on the pump.
    other = duty(build(square_job(needs, ways, "demo-ac-1500")))
    assert other == pytest.approx((even.pump_head, even.total_flow), rel=1e-3)
    whole = balance(network)
    assert whole is not None
    assert max(_shares(network, whole)) < 1.08 * min(_shares(network, whole))


def _shares(network: Network, even: Balance) -> list[float]:
    return [
        even.line_flow[network.line_of[network.condenser_part(u.name)]] / u.needed_flow
        for u in network.job.condenser
    ]


def test_there_is_nothing_to_balance_without_two_ways_or_without_a_unit_that_is_open() -> None:
    assert balance(build(square_job({"a": 100}, [way("a")]))) is None
    shut = valve(90.0)
    assert balance(build(square_job({"a": 100}, [way("a", 5, shut), bypass(5)]))) is None
    assert duty(build(square_job({"a": 100}, [way("a", 5, shut), bypass(5)]))) is None
    ways = [way("a"), way("b", 5, shut)]
    assert balance(build(square_job({"a": 100, "b": 100}, ways))) is None
    assert balance(build(square_job({"a": 100}, [way("a"), bypass(5)]))) is not None


def test_a_branch_that_lifts_its_water_is_evened_at_the_pumps_own_speed() -> None:
    """5 ft of lift take head at any flow: equal at one speed is not equal at another."""
    high = way("b", 9)
    high["part"] += [
        {"kind": "hose", "length": "12 ft", "to": "5 ft", "bore": "1 in"},
        {"kind": "discharge", "height": "5 ft", "bore": "1 in"},
    ]
    job = square_job({"a": 100, "b": 100}, [way("a", 9), high])
    network = build(job)
    even = balance(network)
    assert even is not None
    (told,) = even.throttles
    assert told.unit == "a"
    after_is_as_told(even, job)
    assert max(_shares(network, even)) < 1.03 * min(_shares(network, even))
    drawn = balanced_at_share(network, even.share)
    assert drawn is not None
    assert drawn.pump_head == pytest.approx(even.pump_head, rel=0.02)
    # With less water each, most of the head is that lift, and it is not quadratic.
    less = balanced_at_share(network, even.share / 2)
    assert less is not None
    assert 5 * 12 * INCH + even.pump_head / 4 > less.pump_head > 5 * 12 * INCH


@pytest.fixture
def looks(monkeypatch: pytest.MonkeyPatch) -> list[Flows]:
    """Solves that a balance needs."""
    found: list[Flows] = []

    def counted(network: Network, cases: Cases, *, start: Array | None = None) -> Flows:
        found.append(solve_flows(network, cases, start=start))
        return found[-1]

    monkeypatch.setattr(balancing, "solve_flows", counted)
    return found


def test_a_balance_that_stands_is_found_at_once(looks: list[Flows]) -> None:
    """One solve for the shares, and one with the valves where they are."""
    needs = {"a": 100, "b": 100}
    wanting, _ = by_hand(build(square_job(needs, [way("a", 30), way("b", 30)])))
    job = square_job(needs, [way("a", 30 + wanting["a"]), way("b", 30 + wanting["b"])])
    assert balance(build(job)) is not None
    assert len(looks) <= 4


@pytest.mark.parametrize(("needs", "ks"), UNLIKE)
def test_what_goes_with_the_square_is_even_in_a_few_looks(
    looks: list[Flows], needs: tuple[int, int], ks: tuple[int, int]
) -> None:
    """A line that has x times its share needs x² its loss: exact, except for the pump's response.

    If each solve leaves a tenth of the imbalance, six bring it from all to 1e-4.
    """
    ways = [way("a", ks[0]), way("b", ks[1])]
    for bore in ("1/2 in", "3/4 in"):
        for part in ways[1]["part"]:
            part["bore"] = bore
        looks.clear()
        assert balance(build(square_job(dict(zip("ab", needs, strict=True)), ways))) is not None
        assert len(looks) <= 8


# Bands


@pytest.mark.parametrize("pump", ["demo-dc-320", "demo-ac-700", "demo-ac-1500"])
def test_the_band_of_a_loop_that_runs_is_narrower_than_the_most_that_is_spared(pump: str) -> None:
    for k in (2, 50, 1000):
        middle, low = shares(
            square_job({"a": 100}, [], pump, unit("a"), {"kind": "fitting", "k": k})
        )
        assert 1 < middle / low < MAX_SURPLUS < 2


def test_room_is_twice_what_flows_on_tables_are_off() -> None:
    """Tables are within 0.2 % of a part's loss where flow turns turbulent: 0.1 % of flow."""
    assert math.isclose(TABLE_MARGIN, 2 * 0.002)
