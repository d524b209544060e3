"""How to prime a dry branch: how far to close the others' valves, and how much more pump."""

from dataclasses import replace

import pytest

from loop.hydraulics import solve
from loop.job import Job
from loop.parts.friction import velocity_head
from loop.parts.seacock import opening_at
from tests.dry_loops import (
    HEADER,
    LOW,
    SHUT,
    branch,
    high,
    loop_of,
    manifold,
    priming_of,
    primings_of,
    station,
)
from tests.loops import Table


def test_the_very_head_that_it_takes_fills_a_branch() -> None:
    found = priming_of(loop_of(manifold(LOW, high(2.7))))
    assert not found.primes
    assert "dry_path" not in repr(found)  # what it was worked out from is not told
    for more, does in ((0.0, True), (1e-6, True), (-1e-6, False)):
        assert replace(found, head_left=found.head + more).primes is does


def valve(angle: float) -> Table:
    return {"kind": "seacock", "open": opening_at(angle), "bore": 0.019}


def fills(job: Job) -> bool:
    found = primings_of(job)["high"]
    return found is None or found.primes


@pytest.mark.parametrize("middle", [(), (valve(0),), (valve(20),)])
def test_all_valves_turned_to_the_angle_told_fill_it_and_a_degree_less_does_not(
    middle: tuple[Table, ...],
) -> None:
    """Low has no valve, or another branch has one that is open, or closed less already."""

    def job(*valves: tuple[Table, ...]) -> Job:
        low, mid = valves
        return loop_of(
            manifold(
                branch("low", *low, (1.0, 0.5), (1.0, 0.2)),
                branch("mid", *mid, (3.0, 0.6), (3.0, 0.2)),
                high(2.4),
            )
        )

    found = priming_of(job((), middle))
    assert found.others == ("low", "mid")
    assert [place is None for place in found.valves] == [True, middle == ()]
    angle = found.angle()
    assert 25 < angle < 80
    assert fills(job((valve(angle),), (valve(angle),)))
    assert not fills(job((valve(angle - 1),), (valve(angle - 1),)))


def test_a_valve_that_is_turned_further_stays() -> None:
    """Mid's is at 60°: set to the angle computed for low, at most 60, it would take more."""

    def job(low: float, mid: float) -> Job:
        ways = (branch("low", valve(low), (1.0, 0.5), (1.0, 0.2)),
                branch("mid", valve(mid), (3.0, 0.6), (3.0, 0.2)), high(2.4))  # fmt: skip
        return loop_of(manifold(*ways))

    angle = priming_of(job(0, 70)).angle()
    assert 10 < angle < 70
    assert fills(job(angle, 70))
    assert not fills(job(angle - 1, 70))
    assert not fills(job(angle, angle))


def speed_of(job: Job, found: tuple[float, float]) -> float:
    """Speed at which the job's pump has this head at this flow, by the affinity laws."""
    slow, fast = 1.0, 5.0
    curve = job.pump.curve.head_curve
    for _ in range(60):
        speed = (slow + fast) / 2
        has = speed**2 * float(curve.extended_with_slope(found[1] / speed)[0])
        slow, fast = (speed, fast) if has < found[0] else (slow, speed)
    return slow


def test_the_pump_told_is_the_first_that_fills_it_by_half_per_cents_of_speed() -> None:
    for top in (2.4, 3.1, 4.4):
        job = loop_of(manifold(LOW, high(top)))
        found = priming_of(job).pump()
        assert found is not None
        speed = speed_of(job, found)
        assert speed * 200 == pytest.approx(round(speed * 200), abs=0.01)
        for factor, does in ((speed, True), (speed - 0.005, False)):
            assert fills(faster(job, factor)) is does


def test_a_branch_that_fills_as_it_is_takes_the_pump_that_is_there() -> None:
    """At its duty with the branch's valve shut; and the smallest turn of a valve."""
    found = priming_of(loop_of(manifold(LOW, high(1.3))))
    shut = solve(loop_of(manifold(LOW, high(1.3, SHUT))))
    assert found.primes
    assert found.angle() == 1
    assert found.pump() == pytest.approx((shut.pump_head, shut.flow), rel=1e-3)


def faster(job: Job, speed: float) -> Job:
    """The job with its pump at this multiple of its speed."""
    return job.model_copy(update={"fitted": job.fitted.model_copy(update={"pump": speed})})


def test_no_pump_is_told_past_three_times_the_speed() -> None:
    """The highest top for it, from the loop with a shut valve at that speed.

    The header has its head less 0.30 of its velocity head, and the end 0.55 of it more (Crane
    TP-410, see test_dry_path); the top may be that high, less the pressure of the water at the
    end, 0.2 m high.
    """

    def job(top: float, *valve: Table) -> Job:
        return loop_of(manifold(LOW, branch("high", *valve, (90.0, top), (90.0, 0.2))))

    shut = solve(faster(job(20.0, SHUT), 3.0))
    header, back = station(shut, "manifold", ""), station(shut, "hose", "low", last=True)
    left = header.total_head - 0.85 * velocity_head(header.flow, HEADER)
    top = left - (back.total_head - 0.2)
    assert priming_of(job(top + 0.01)).pump() is None
    reached = priming_of(job(top - 0.01)).pump()
    assert reached is not None
    assert speed_of(job(top), reached) == pytest.approx(3.0, abs=1e-6)
