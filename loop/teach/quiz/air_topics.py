"""Topics of air in a falling hose: the widest that clears, a high unit, a stronger pump."""

from collections.abc import Mapping

from loop.air.air_paths import air_paths
from loop.air.high_points import HighPoint
from loop.hydraulics import OperatingPoint, solve
from loop.job import TRADE_BORES, Job
from loop.teach.quiz.flow_topics import one_hose
from loop.teach.quiz.sketch import PUMPS, Sketch, feet, inches, loop_text, over_a_high_point, series
from loop.teach.quiz.topic import (
    Draw,
    Form,
    ItemAsked,
    NumberAsked,
    Topic,
    bucket_time,
    by_bucket,
    topics,
)
from loop.units import show
from loop.words.template import Facts

FALLING = "falling hose"
# Pumps of the air topics in ascending size, with the bore of the hose [m] on each.
_BORE_OF_PUMP: Mapping[str, float] = {
    "demo-dc-150": 0.0127,
    **PUMPS,
    "demo-ac-1500": 0.03175,
}
# By trade size: the pumps, by size, that deliver about the flow that clears it.
_PUMPS_FOR_SIZE = {1: slice(0, 3), 2: slice(2, 5), 3: slice(4, 6), 4: slice(6, 8)}
_CHOICE_COUNT = 4


def falling_leg(job: Job) -> tuple[OperatingPoint, HighPoint | None]:
    """A loop's operating point, and the high point at the top of its falling hose.

    None where nothing flows, or where a narrower stretch next to the hose is harder to clear, so
    that the hose itself cannot be judged.
    """
    point = solve(job)
    top = point.network.labels.index(FALLING) - 1
    (path,) = air_paths(point.network, point)
    high_points = (
        high_point
        for high_point in path.high_points
        if high_point.side == "pressure" and high_point.part == top
    )
    return point, next(high_points, None) if point.flow > 0 else None


def falling_loop(
    draw: Draw, names: list[str], before_unit: bool = False, bore: float | None = None
) -> Sketch:
    """A loop with a falling hose after a high point, on one of these pumps.

    All other hose has this bore [m], default the pump's usual one.
    """
    pump = str(draw.rng.choice(names))
    high = int(draw.rng.integers(14, 26))
    bore = _BORE_OF_PUMP[pump] if bore is None else bore
    return over_a_high_point(draw.rng, draw.system, pump, bore, high, before_unit)


def _with_size(sketch: Sketch, size: int) -> Sketch:
    return sketch.put({f"{FALLING}.bore": TRADE_BORES[size]})


def _largest_swept(draw: Draw, right: int) -> tuple[Sketch, range, HighPoint, HighPoint] | None:
    """A loop whose flow clears one size of falling hose, and no larger one.

    Returns the loop, the trade sizes to choose among, with that one at index `right`, and the high
    point with it and with the next size. None where the sampled loop does not qualify.
    """
    firsts = [
        first
        for first in range(len(TRADE_BORES) - _CHOICE_COUNT + 1)
        if first + right in _PUMPS_FOR_SIZE
    ]
    first = firsts[int(draw.pick * len(firsts))]
    size = first + right
    # The size of the other hose, which the question states, must not hint at the right one.
    other_bore = TRADE_BORES[size + draw.turn // (_CHOICE_COUNT - 1) % 3 - 1]
    sketch = falling_loop(draw, list(_BORE_OF_PUMP)[_PUMPS_FOR_SIZE[size]], bore=other_bore)
    factor = float(draw.rng.uniform(1.0, 3.0))
    drop, _, flow = str(sketch.parts["unit"]["loss"]).partition(" ")
    sketch = sketch.put({"unit.loss": f"{float(drop) * factor:.1f} {flow}"})
    best, larger = (falling_leg(_with_size(sketch, one).job)[1] for one in (size, size + 1))
    if best is None or larger is None or best.running != "swept" or larger.running == "swept":
        return None
    return sketch, range(first, first + _CHOICE_COUNT), best, larger


def _size_question(
    sketch: Sketch, sizes: range, answers: tuple[int, int], best: HighPoint, more_facts: Facts
) -> ItemAsked:
    """A choice among sizes, with the right and the tempting one at these indices."""
    facts: Facts = {
        "loop": loop_text(sketch.job, heights=True),
        "hose": FALLING,
        "slope": best.slope,
        "speed": best.velocity,
        "limit": best.clearing[1],
    }
    texts = tuple(show(TRADE_BORES[size], "bore", sketch.system) for size in sizes)
    job = _with_size(sketch, sizes[answers[0]]).job
    return ItemAsked(job, texts, *answers, {**facts, **more_facts})


def _largest_that_clears(draw: Draw) -> ItemAsked | None:
    """The largest size that the flow clears, where the widest has the least friction."""
    right = draw.turn % (_CHOICE_COUNT - 1)
    found = _largest_swept(draw, right)
    if found is None:
        return None
    sketch, sizes, best, larger = found
    _, widest = falling_leg(_with_size(sketch, sizes[-1]).job)
    if widest is None:
        return None
    more_facts: Facts = {"slower": larger.velocity, "larger_limit": larger.clearing[1]}
    more_facts = {**more_facts, "slowest": widest.velocity}
    return _size_question(sketch, sizes, (right, len(sizes) - 1), best, more_facts)


def _smaller_hose(draw: Draw) -> ItemAsked | None:
    """The largest size that the present pump clears, where the present hose holds air."""
    right = draw.turn % (_CHOICE_COUNT - 1)
    found = _largest_swept(draw, right)
    if found is None:
        return None
    sketch, sizes, best, larger = found
    present = int(draw.rng.integers(right + 1, len(sizes)))
    as_is = _with_size(sketch, sizes[present])
    return _size_question(as_is, sizes, (right, present), best, {"slower": larger.velocity})


def _clearing_velocity(draw: Draw) -> NumberAsked | None:
    """The velocity that clears a hose, against the one that the next pump gives there."""
    names = list(PUMPS)
    place = int(draw.rng.integers(0, len(names) - 1))
    sketch = falling_loop(draw, names[place : place + 1])
    before = _with_size(sketch, int(draw.rng.integers(3, 6)))
    job = before.put({"pump.curve": names[place + 1]}).job
    (_, now), (_, after) = falling_leg(before.job), falling_leg(job)
    if now is None or after is None or "swept" in (now.running, after.running):
        return None
    facts: Facts = {
        "loop": loop_text(before.job, heights=True),
        "hose": FALLING,
        "slope": after.slope,
        "now": now.velocity,
        "pump": names[place + 1],
    }
    return NumberAsked(job, after.clearing[1], after.velocity, "velocity", facts)


def _raised_unit(draw: Draw, by_clock: bool) -> NumberAsked | None:
    """The flow with the unit moved up; the flow before is given as a bucket time, or directly.

    The two flows are nearly equal: the answer must not appear in the question.
    """
    rng, system = draw.rng, draw.system
    sketch = series(rng, system)
    high = inches(int(rng.integers(14, 40)), system)
    lengths = {name: feet(rng.integers(7, 14), system) for name in ("supply hose", "return hose")}
    narrow = {"return hose.bore": TRADE_BORES[int(rng.integers(0, 3))]}
    sketch = sketch.put({f"{name}.length": length for name, length in lengths.items()} | narrow)
    raised = sketch.put({"supply hose.to": high})
    before, after = solve(sketch.job), solve(raised.job)
    (air,) = air_paths(after.network, after)
    full = [high_point.running == "swept" for high_point in air.high_points]
    if after.flow <= 0 or not full or not all(full) or not air.starts_with_spare:
        return None
    lifted = raised.put({"return hose.to": high, "discharge.height": high})
    facts: Facts = {
        "loop": loop_text(sketch.job, heights=True),
        "high": high,
        "start": air.start_head,
        "shutoff": after.shutoff_head,
    }
    known: Facts = (
        {"time": bucket_time(before.flow, system)} if by_clock else {"before": before.flow}
    )
    return NumberAsked(raised.job, after.flow, solve(lifted.job).flow, "flow", {**facts, **known})


AIR_TOPICS = topics(
    Topic(
        "bigger-hose",
        (
            Form("flow", True, one_hose),
            Form("bucket", False, by_bucket(one_hose)),
            Form("holds-air", True, _largest_that_clears),
        ),
    ),
    Topic(
        "higher-unit",
        (
            Form("flow", False, lambda draw: _raised_unit(draw, True)),
            Form("bucket", True, by_bucket(lambda draw: _raised_unit(draw, False))),
        ),
    ),
    Topic(
        "more-pump", (Form("speed", False, _clearing_velocity), Form("bore", True, _smaller_hose))
    ),
)
