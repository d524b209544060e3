"""A dry branch among running ones, by hand: which lines count, what it needs and has."""

from typing import Any

import numpy as np
import pytest

from loop.air.dry_path import weakest_speeds
from loop.hydraulics import build, shutoff_head, solve, solve_flows, stations
from loop.job import Job
from loop.parts.friction import velocity_head
from tests.dry_loops import (
    HEADER,
    LOW,
    SHUT,
    branch,
    dc,
    dry_of,
    high,
    hose,
    loop_of,
    main_hose,
    manifold,
    priming_of,
    primings_of,
    station,
)
from tests.loops import Table

# What it needs


@pytest.mark.parametrize(
    ("line", "end", "head"),
    [
        # Up to 0.9 m, and back to the header's 0.2 m: the top, or the end's water plus the drop.
        (((2.0, 0.9), (2.0, 0.2)), 0.1, 0.9),
        (((2.0, 0.9), (2.0, 0.2)), 0.5, 0.5 + 0.7),
        # First down from the header's 0.2 m to -0.1, with air in that leg: 0.3 m more.
        (((1.0, -0.1), (2.0, 0.9), (2.0, 0.2)), 0.1, 0.9 + 0.3),
        (((1.0, -0.1), (2.0, 0.9), (2.0, 0.2)), 0.5, 0.5 + 0.3 + 0.7),
        # A bleed at the top lets its air out only by hand: there the line drains.
        (((1.0, -0.1), (2.0, 0.9), {"kind": "bleed"}, (2.0, 0.2)), 0.5, 0.5 + 0.3 + 0.7),
    ],
)
def test_what_a_dry_branch_needs_is_counted_from_the_header(
    line: tuple[Any, ...], end: float, head: float
) -> None:
    found = dry_of(loop_of(manifold(LOW, branch("high", *line))), "high", "low")
    assert found is not None
    assert found.rises(end).head == pytest.approx(head)


NESTED = manifold(
    LOW,
    {
        "name": "A",
        "part": [
            hose(2.0, 0.8),
            hose(2.0, 0.3),
            manifold(branch("aa", (2.0, 0.9), (2.0, 0.3)), branch("ab", (3.0, 1.4), (3.0, 0.3))),
            hose(1.0, 0.2),
        ],
    },
)


def test_a_branch_of_a_branch_that_is_all_dry_is_dry_from_the_first_header_to_its_end() -> None:
    """0.8 m down to 0.3 m, 1.4 m (or 0.9 m) down to 0.2 m where water stands at 0.6 m."""
    for name, top in (("aa", 0.9), ("ab", 1.4)):
        found = dry_of(loop_of(NESTED), f"A / {name}", "low")
        assert found is not None
        assert found.rises(0.6).head == pytest.approx(0.6 + 0.5 + top - 0.2)
        names = [found.network.lines[i].branch for i in (*found.dry, *found.before, *found.after)]
        assert names == ["A", f"A / {name}", "A", "", ""]
        assert [found.network.lines[i].branch for i in found.takeoffs] == ["low"]
        shut = {line.branch for line in found.network.lines if line.shut}
        assert shut == {"A", "A / aa", "A / ab"}


def test_a_branch_of_a_branch_that_runs_is_dry_between_its_own_headers() -> None:
    found = dry_of(loop_of(NESTED), "A / ab", "low", "A / aa")
    assert found is not None
    assert found.rises(0.6).head == pytest.approx(0.6 + 1.4 - 0.3)
    lines = found.network.lines
    assert [lines[i].branch for i in found.before] == ["", "A"]
    assert [lines[i].branch for i in found.after] == ["A", ""]
    assert {lines[i].branch for i in found.takeoffs} == {"low", "A / aa"}
    assert [line.branch for line in lines if line.shut] == ["A / ab"]


def test_where_all_of_a_ways_lines_run_nothing_of_it_is_dry() -> None:
    assert dry_of(loop_of(manifold(LOW, high(1.0))), "high", "low", "high") is None


def test_a_branch_that_has_come_back_before_takes_nothing_from_it() -> None:
    """Two manifolds in series: what runs beside one carries the other's whole flow."""
    first = manifold(branch("p", (1.0, 0.4), (1.0, 0.2)), branch("q", (1.0, 0.4), (1.0, 0.2)))
    job = loop_of(first, main_hose(0.5, 0.2), manifold(LOW, high(3.0)))
    found = priming_of(job, next(name for name in primings_of(job) if "high" in name))
    assert found.others == ("low",)


def test_an_outlet_under_water_stands_against_a_branch_that_ends_in_the_sea() -> None:
    """From 2.7 m down to 0.2 m under water: that much more; above the water nothing."""
    for end, head in ((-0.2, 2.9), (0.2, 2.7)):
        out = branch("high", (6.0, 2.7), (6.0, end), {"kind": "discharge", "height": end})
        found = priming_of(loop_of(manifold(LOW, out)))
        assert found.head == pytest.approx(head)
        assert (found.others, found.valves) == (("low",), (None,))


# What it has


@pytest.mark.parametrize(("first", "taken", "given"), [(False, 0.30, 0.55), (True, 1.0, -0.9)])
def test_heads_are_those_of_the_loop_with_its_valve_shut(
    first: bool, taken: float, given: float
) -> None:
    """More or less the headers' velocity head, by what their tees make of it in standing water.

    Crane TP-410, a tee at 90° with all water going the other way: past it 0.30 on leaving and
    1.55 - 1 = 0.55 on return; into it 1 on leaving, and -0.9 on return.
    """

    def job(*valve: Table) -> Job:
        ways = [LOW, high(2.7, *valve)]
        return loop_of(manifold(*(ways[::-1] if first else ways)))

    found, shut = priming_of(job()), solve(job(SHUT))
    header, back = station(shut, "manifold", ""), station(shut, "hose", "low", last=True)
    moving = velocity_head(header.flow, HEADER)
    assert found.head == pytest.approx(2.7 + back.total_head + given * moving - 0.2, abs=1e-3)
    assert header.total_head - found.head_left == pytest.approx(taken * moving, abs=1e-3)


def test_heads_in_a_branch_of_a_branch_are_those_of_its_own_header() -> None:
    def job(*valve: Table) -> Job:
        inner = manifold(branch("aa", (1.0, 0.6), (1.0, 0.2)), high(2.7, *valve))
        line = [hose(1.0, 0.2, bore=HEADER), inner, hose(1.0, 0.2)]
        return loop_of(manifold(LOW, {"name": "A", "part": line}))

    found, shut = priming_of(job(), "A / high"), solve(job(SHUT))
    header = next(s for s in shut.stations if (s.kind, s.branch) == ("manifold", "A"))
    back = station(shut, "hose", "A / aa", last=True)
    moving = velocity_head(header.flow, HEADER)
    assert found.head == pytest.approx(2.7 + back.total_head + 0.55 * moving - 0.2, abs=1e-3)
    assert header.total_head - found.head_left == pytest.approx(0.30 * moving, abs=1e-3)
    assert set(found.others) == {"low", "A / aa"}


@pytest.mark.parametrize("nested", [False, True])
def test_a_way_is_let_off_where_the_header_has_its_head_with_all_branches_running(
    nested: bool,
) -> None:
    """Header head less its tees' losses, and one velocity head for the tee into standing water.

    A high point's height changes no flow, so its limit follows from the stations.
    """

    def job(top: float) -> Job:
        if not nested:
            return loop_of(manifold(LOW, high(top)))
        inner = manifold(branch("aa", (1.0, 0.4), (1.0, 0.2)), high(top))
        line = [hose(0.5, 0.2, bore=HEADER), inner, hose(0.5, 0.2, bore=HEADER)]
        return loop_of(manifold(LOW, {"name": "A", "part": line}))

    name = "A / high" if nested else "high"
    network = build(job(0.7)).full  # the others run full, siphons and all
    found = stations(network, solve_flows(network, exact=True))
    ends = [i for i, s in enumerate(found) if s.branch == name and s.kind == "hose"]
    hoses = [(found[i], network.parts[i]) for i in ends]
    header = next(s for s in found if s.kind == "manifold" and s.branch == name[:-7])
    tees = sum(s.head_loss - part.head_loss(s.flow, network.water) for s, part in hoses)
    back = hoses[-1][0].total_head
    limit = header.total_head - tees - velocity_head(header.flow, HEADER) - (back - 0.2)
    assert 0.52 < limit < 1.2  # over the high points that run already
    assert primings_of(job(limit - 0.004))[name] is None
    assert primings_of(job(limit + 0.004))[name] is not None


def test_while_nothing_flows_a_header_has_the_shutoff_head() -> None:
    """Its tees take none of it; at the end the outlet is 0.15 m below the branch's end."""
    job = loop_of(manifold(LOW, high(3.0)))
    head, lines = float(shutoff_head(build(job))[0]), len(build(job).lines)
    for top, fills in ((head - 0.001, True), (head + 0.001, False)):
        found = dry_of(loop_of(manifold(LOW, high(top))), "high", "low")
        assert found is not None
        assert found.primes_at_point(np.zeros(lines)) is fills


def test_a_start_on_the_lowest_supply_is_that_of_a_pump_on_this_supply() -> None:
    low, there = priming_of(dc(2.6, lowest=10.0)), priming_of(dc(2.6, supply=10.0))
    for ours, theirs in (
        (low.head, there.head),
        (low.head_left, there.head_left),
        (low.angle(), there.angle()),
    ):
        assert ours == pytest.approx(theirs, rel=1e-4)
    assert low.pump() == pytest.approx(there.pump(), rel=1e-4)
    assert low.head_left < priming_of(dc(2.6)).head_left


def test_speeds_start_from_the_weakest_supply() -> None:
    network = solve(dc(1.0, supply=12.0, lowest=9.0)).network
    assert weakest_speeds(network) == pytest.approx([0.75])
    assert weakest_speeds(solve(dc(1.0)).network) == pytest.approx([1.0])
