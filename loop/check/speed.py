"""Findings about how fast the water runs, and about steps of bore on its way."""

import math
from collections.abc import Iterator

from loop.balancing.flow_limiting import throttle
from loop.check.rehosed import rehosed
from loop.check.remedy import reach
from loop.check.result import Finding
from loop.check.rounded import apart
from loop.check.subject import COMMON, EXCESS, Subject, finding
from loop.check.turning import turned
from loop.hydraulics import solve_flows
from loop.job import TRADE_BORES, Unit
from loop.margins.speed import PartSpeed, part_speeds
from loop.parts import Condenser, Hose, Manifold
from loop.parts.friction import velocity

_TUBE = "Copper Development Association; Powell & Michels, CORROSION/2000 paper 627"
# Bores that differ by more than this are joined by an adapter: between two trade sizes.
_STEP = 1.12


def speed_findings(subject: Subject) -> Iterator[Finding]:
    """suction-fast, hose-fast, hose-slow, tube-fast, tube-slow, bore-step."""
    fast: dict[tuple[bool, float], list[PartSpeed]] = {}
    slow: dict[float, list[PartSpeed]] = {}
    for speed in part_speeds(subject.point):
        if speed.tube:
            yield from _tube(subject, speed)
        elif speed.speed > speed.most:
            fast.setdefault((speed.suction, round(speed.speed, 6)), []).append(speed)
        elif speed.speed < speed.least and not subject.short:
            # Where flow is short, more flow is the cure and a smaller hose the contrary.
            slow.setdefault(round(speed.speed, 6), []).append(speed)
    for alike in fast.values():
        yield _fast(subject, alike)
    for alike in slow.values():
        yield _slow(subject, alike)
    yield from _steps(subject)


def _names(subject: Subject, alike: list[PartSpeed]) -> str:
    *most, last = (subject.name(speed.index) for speed in alike)
    return f"{', '.join(most)} and {last}" if most else last


def _fast(subject: Subject, alike: list[PartSpeed]) -> Finding:
    speed = alike[0]
    bore = next(
        (b for b in TRADE_BORES if b >= speed.better_bore * 0.999 and _eases(subject, alike, b)),
        TRADE_BORES[-1],
    )
    side = "suction" if speed.suction else "pressure"
    harm = (
        "its loss eats the little head there is before the pump"
        if speed.suction
        else "its loss and noise grow with the square of the speed"
    )
    runs, most = apart(subject, speed.speed, speed.most, "velocity")
    return finding(
        "suction-fast" if speed.suction else "hose-fast",
        "warning",
        subject.where(speed.index),
        f"the water runs {runs} in {_names(subject, alike)}, over {most} for a {side} hose: {harm}",
        f"fit {subject.say(bore, 'bore')} hose",
        COMMON,
    )


def _eases(subject: Subject, alike: list[PartSpeed], bore: float) -> bool:
    """Whether these hoses run within their limit at this bore, which lets more water through."""
    flows = _with_bore(subject, alike, bore)
    return all(velocity(flows[speed.index], bore) <= speed.most for speed in alike)


def _carries(subject: Subject, alike: list[PartSpeed], bore: float) -> bool:
    """Whether these hoses carry air and silt along at this bore, and every unit has its need."""
    flows = _with_bore(subject, alike, bore)
    return all(velocity(flows[speed.index], bore) >= speed.least for speed in alike) and all(
        flows[subject.network.condenser_part(unit.name)] >= reach(unit) for unit in subject.running
    )


def _with_bore(subject: Subject, alike: list[PartSpeed], bore: float) -> list[float]:
    """Flow through every part [m³/s], with these hoses in another bore."""
    changed = rehosed(subject, [speed.index for speed in alike], bore)
    flows = solve_flows(changed, start=subject.point.line_flow).line_flow[0]
    return [float(flows[line]) for line in subject.network.line_of]


def _slow(subject: Subject, alike: list[PartSpeed]) -> Finding:
    speed = alike[0]
    part = subject.network.parts[speed.index]
    smaller = [b for b in TRADE_BORES if b <= speed.better_bore * 1.001 and b < part.inner_bore]
    bore = next((b for b in reversed(smaller) if _carries(subject, alike, b)), None)
    fix = (
        "keep the hose rising all the way, so that no air can gather"
        + (": a smaller one would leave too little flow" if smaller else "")
        if bore is None
        else f"{subject.say(bore, 'bore')} hose carries air and silt along, and leaves flow enough"
    )
    runs, least = apart(subject, speed.speed, speed.least, "velocity")
    return finding(
        "hose-slow",
        "note",
        subject.where(speed.index),
        f"the water runs {runs} in {_names(subject, alike)}, under {least}: air and silt settle "
        "there",
        fix,
        COMMON,
    )


def _tube(subject: Subject, speed: PartSpeed) -> Iterator[Finding]:
    where = subject.where(speed.index)
    part = subject.network.parts[speed.index]
    assert isinstance(part, Condenser)
    unit = subject.job.unit(part.serves)
    now = subject.point.part_flow(speed.index)[0]
    if speed.speed > speed.most:
        runs, most = apart(subject, speed.speed, speed.most, "velocity")
        yield finding(
            "tube-fast",
            "warning",
            where,
            f"the water runs {runs} in the condenser's tube, over {most}: it wears copper-nickel "
            "away",
            _slowed(subject, unit, now * speed.most / speed.speed, part.tube_bore or 0.0),
            _TUBE,
        )
    elif speed.speed < speed.least and not subject.short:
        flow = now * speed.least / speed.speed
        sensible = flow <= EXCESS * unit.needed_flow
        runs, least = apart(subject, speed.speed, speed.least, "velocity")
        yield finding(
            "tube-slow",
            "note",
            where,
            f"the water runs {runs} in the condenser's tube, under {least}: silt and growth settle "
            "there",
            f"{subject.say(flow, 'flow')} or more would keep it clean; "
            + ("else" if sensible else "that is more than the unit has use for, so")
            + " flush it more often",
            _TUBE,
        )


def _slowed(subject: Subject, unit: Unit, most: float, tube_bore: float) -> str:
    """How to bring a unit's tube down to `most` [m³/s] without starving it."""
    if most >= unit.needed_flow:
        return turned(subject, throttle(subject.network, unit.name, most))
    bore = tube_bore * math.sqrt(unit.needed_flow / most)
    return (
        f"the need itself, {subject.say(unit.needed_flow, 'flow')}, is too fast for this tube: it "
        f"takes {subject.say(bore, 'bore')} or more, or tubes side by side"
    )


def _steps(subject: Subject) -> Iterator[Finding]:
    network = subject.network
    for line in network.lines:
        for before, after in zip(line.parts, line.parts[1:], strict=False):
            parts = network.parts[before], network.parts[after]
            if any(isinstance(p, Manifold) for p in parts):
                continue
            if not any(isinstance(p, Hose) for p in parts):
                continue
            small, large = sorted(p.inner_bore for p in parts)
            if large / small > _STEP:
                yield finding(
                    "bore-step",
                    "note",
                    subject.where(after),
                    f"the bore changes from {subject.say(parts[0].inner_bore, 'bore')} to "
                    f"{subject.say(parts[1].inner_bore, 'bore')} where this part begins; the "
                    "step's own loss is not reckoned",
                    f"an adapter {subject.say(large, 'bore')} to {subject.say(small, 'bore')}, "
                    "flat side up so that it holds no air; or one bore throughout",
                    COMMON,
                )
