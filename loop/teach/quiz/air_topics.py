"""Topics of air: wide hoses, bleeds and when to open them, a high unit, a stronger pump."""

import math
from collections.abc import Mapping

import numpy as np

from loop.air.air_paths import AirPath, Crest, air_paths
from loop.hydraulics import OperatingPoint, solve
from loop.job import TRADE_BORES, Job
from loop.parts.friction import GRAVITY
from loop.teach.quiz.flow_topics import one_hose, station
from loop.teach.quiz.sketch import PUMPS, Sketch, feet, hose, inches, over_a_hump, series, told
from loop.teach.quiz.topic import Asked, Draw, Picked, Shape, Topic, by_bucket
from loop.units import System, show


def air_of(point: OperatingPoint) -> AirPath:
    """Air on the only way of a loop without branches."""
    return air_paths(point.network, point)[0]


def _at(job: Job, label: str) -> tuple[OperatingPoint, Crest | None]:
    """A loop's answer, and the high point from which the hose of this label falls."""
    point = solve(job)
    network = point.network
    here = network.labels.index(label)
    crests = [crest for crest in air_of(point).crests if crest.side == "pressure"]
    return point, next((crest for crest in crests if crest.part == here - 1), None)


def _sweeps(job: Job, label: str) -> tuple[bool, Crest] | None:
    """Whether the running water surely carries the air down that hose; None where it is unfit.

    Where a narrower stretch beside the hose is the harder one to sweep, nothing can be said of it.
    """
    point, crest = _at(job, label)
    if crest is None or point.flow <= 0:
        return None
    return crest.running == "swept", crest


# Pumps of the air topics, from the smallest, with the bore of hose [m] that each is put on.
_BY_SIZE: Mapping[str, float] = {
    "demo-dc-150": 0.0127,
    **PUMPS,
    "demo-ac-1500": 0.03175,
}


def _hump(draw: Draw, names: list[str]) -> Sketch:
    pump = str(draw.rng.choice(names))
    high = int(draw.rng.integers(14, 26))
    return over_a_hump(draw.rng, draw.system, pump, _BY_SIZE[pump], high)


# The pumps, of those by size, that bring about as much water as each trade size can sweep.
_BRINGS = {1: slice(0, 3), 2: slice(2, 5), 3: slice(4, 6), 4: slice(6, 8)}
_CHOICES = 4


def _fitting(draw: Draw, size: int) -> Sketch:
    """A loop whose water may carry air down a hose of this trade size, and no larger one."""
    sketch = _hump(draw, list(_BY_SIZE)[_BRINGS[size]])
    tight = float(draw.rng.uniform(1.0, 3.0))
    drop, _, flow = str(sketch.parts["unit"]["loss"]).partition(" ")
    return sketch.put({"unit.loss": f"{float(drop) * tight:.1f} {flow}"})


def _largest(sketch: Sketch, label: str, size: int) -> tuple[Crest, Crest] | None:
    """The high point with a hose of this size and of the next; None where it is not the largest."""
    best, larger = (
        _sweeps(sketch.put({f"{label}.bore": TRADE_BORES[one]}).job, label)
        for one in (size, size + 1)
    )
    return (best[1], larger[1]) if best and larger and best[0] and not larger[0] else None


def _sizes(draw: Draw, spot: int) -> range:
    """A row of trade sizes to choose among, the right one at this place from below."""
    firsts = [first for first in range(len(TRADE_BORES) - _CHOICES + 1) if first + spot in _BRINGS]
    first = firsts[int(draw.picks[0] * len(firsts))]
    return range(first, first + _CHOICES)


def _said(crest: Crest, system: System) -> tuple[str, str]:
    """The speed behind a high point, and the speed that sweeps it."""
    speed = show(crest.velocity, "velocity", system, 2)
    return speed, show(crest.clearing[1], "velocity", system, 2)


def _slope(crest: Crest) -> str:
    return f"{math.degrees(crest.slope):.0f}°"


def _holds(draw: Draw) -> Picked | None:
    right = int(draw.picks[1] * (_CHOICES - 1))
    system, sizes = draw.system, _sizes(draw, right)
    sketch = _fitting(draw, sizes[right])
    found = _largest(sketch, "falling hose", sizes[right])
    _, widest = _at(sketch.put({"falling hose.bore": TRADE_BORES[sizes[-1]]}).job, "falling hose")
    if found is None or widest is None:
        return None
    (speed, limit), (slower, larger_limit) = (_said(crest, system) for crest in found)
    return Picked(
        sketch.put({"falling hose.bore": TRADE_BORES[sizes[right]]}).job,
        tuple(show(TRADE_BORES[size], "bore", system) for size in sizes),
        right,
        len(sizes) - 1,
        {
            "loop": told(sketch.job, heights=True),
            "hose": "falling hose",
            "slope": _slope(found[0]),
            "speed": speed,
            "limit": limit,
            "slower": slower,
            "larger_limit": larger_limit,
            "slowest": _said(widest, system)[0],
        },
    )


def _stronger(draw: Draw) -> Asked | None:
    """The speed that sweeps a hose, against that which the next pump brings there."""
    rng, system = draw.rng, draw.system
    names = list(PUMPS)
    place = int(rng.integers(0, len(names) - 1))
    weak, strong = names[place], names[place + 1]
    sketch = over_a_hump(rng, system, weak, PUMPS[weak], int(rng.integers(14, 26)))
    wide = TRADE_BORES[int(rng.integers(3, 6))]
    before = sketch.put({"falling hose.bore": wide})
    job = before.put({"pump.curve": strong}).job
    now, after = _sweeps(before.job, "falling hose"), _sweeps(job, "falling hose")
    if now is None or after is None or now[0] or after[0] or after[1].velocity <= 0:
        return None
    return Asked(
        job,
        after[1].clearing[1],
        after[1].velocity,
        "velocity",
        {
            "loop": told(before.job, heights=True),
            "hose": "falling hose",
            "slope": _slope(after[1]),
            "now": _said(now[1], system)[0],
            "pump": strong,
        },
    )


def _too_wide(draw: Draw) -> Picked | None:
    """The largest size that the present pump sweeps, where the hose as it is holds air."""
    right = draw.below
    system, sizes = draw.system, _sizes(draw, right)
    sketch = _fitting(draw, sizes[right])
    found = _largest(sketch, "falling hose", sizes[right])
    if found is None:
        return None
    present = int(draw.rng.integers(right + 1, len(sizes)))
    as_is = sketch.put({"falling hose.bore": TRADE_BORES[sizes[present]]}).job
    speed, limit = _said(found[0], system)
    return Picked(
        sketch.put({"falling hose.bore": TRADE_BORES[sizes[right]]}).job,
        tuple(show(TRADE_BORES[size], "bore", system) for size in sizes),
        right,
        present,
        {
            "loop": told(as_is, heights=True),
            "hose": "falling hose",
            "slope": _slope(found[0]),
            "speed": speed,
            "limit": limit,
            "slower": _said(found[1], system)[0],
        },
    )


def _higher(draw: Draw) -> Asked | None:
    rng, system = draw.rng, draw.system
    sketch = series(rng, system)
    high = int(rng.integers(14, 40))
    lengths = {name: feet(rng.integers(7, 14), system) for name in ("supply hose", "return hose")}
    narrow = {"return hose.bore": TRADE_BORES[int(rng.integers(0, 3))]}
    sketch = sketch.put({f"{name}.length": length for name, length in lengths.items()} | narrow)
    raised = sketch.put({"supply hose.to": inches(high, system)})
    before, after = solve(sketch.job), solve(raised.job)
    air = air_of(after)
    full = [crest.running == "swept" for crest in air.crests]
    if after.flow <= 0 or not full or not all(full) or not air.starts_with_spare:
        return None
    lifted = raised.put(
        {"return hose.to": inches(high, system), "discharge.height": inches(high, system)}
    )
    return Asked(
        raised.job,
        after.flow,
        solve(lifted.job).flow,
        "flow",
        {
            "loop": told(sketch.job, heights=True),
            "before": show(before.flow, "flow", system),
            "high": show(inches(high, system), "height", system, 0),
            "start": show(air.start_head, "head", system),
            "shutoff": show(after.shutoff_head, "head", system),
        },
    )


def _bleed_when(draw: Draw, sign: float) -> Asked | None:
    """What a gauge shows at a high point; with a `sign` below 0 it counts downward."""
    system = draw.system
    sketch = _hump(draw, list(PUMPS))
    job = sketch.job
    point, crest = _at(job, "falling hose")
    if crest is None or point.flow <= 0 or crest.running != "swept":
        return None
    weight = point.network.water.density * GRAVITY
    here = station(point, "rising hose")
    spent = point.stations[point.network.pump_index].total_head - here.total_head
    low = here.gauge_pressure < 0
    return Asked(
        job,
        sign * here.gauge_pressure,
        sign * weight * (point.pump_head - here.height),
        "pressure",
        {
            "loop": told(job, heights=True),
            "hose": "rising hose",
            "head": show(point.pump_head, "head", system),
            "lost": show(spent, "head", system),
            "low": "under the air's pressure," if low else "above the air's pressure,",
            "so": "so a bleed opened while it runs draws air in. Open it while the line fills, and"
            " shut it before the stream runs."
            if low
            else "so here a bleed lets out air while it runs; measure before you rely on it.",
        },
    )


_NAMES = "ABCDE"
# Height of the pump [in] before them, and heights that they may have.
_PUMP, _HEIGHTS = -12, np.arange(-8, 26, 2)


def _bleed_place(draw: Draw) -> Picked | None:
    """Five places, one of which holds air that a bleed there lets out."""
    rng, system = draw.rng, draw.system
    right = _place_of(draw)
    heights = [int(height) for height in rng.permutation(_HEIGHTS)[: len(_NAMES)]]
    line = [_PUMP, *heights, heights[-1] + (-4 if right == len(_NAMES) - 1 else 2)]
    high = [i - 1 for i in range(1, len(line) - 1) if line[i - 1] < line[i] > line[i + 1]]
    order = sorted(range(len(_NAMES)), key=lambda place: heights[place])
    if right not in high or order[draw.below] != right:
        return None
    sketch = _places(rng, system, heights, line[-1])
    return _judged(sketch, heights, right, order[0], [place for place in high if place != right])


def _place_of(draw: Draw) -> int:
    """Which place is the right one: each alike, all ranks of height together.

    The second lowest can be a high point at the ends of the row only, next to the pump or the unit.
    """
    pick, last = draw.picks[0], len(_NAMES) - 1
    if draw.below == 1:
        return 0 if pick < 0.5 else last
    return int(np.searchsorted(np.cumsum([0.1, 0.8 / 3, 0.8 / 3, 0.8 / 3]), pick))


def _places(rng: np.random.Generator, system: System, heights: list[int], at_unit: int) -> Sketch:
    """A loop whose wide supply hose passes five places of these heights on its way to the unit."""
    pump = str(rng.choice(list(PUMPS)))
    sketch = series(rng, system, {pump: PUMPS[pump]})
    wide = TRADE_BORES[int(rng.integers(3, 5))]
    last, before = "supply hose", _PUMP
    sketch = sketch.put({"supply hose.to": inches(before, system), "supply hose.bore": wide})
    for name, height in zip((*_NAMES, "unit hose"), (*heights, at_unit), strict=True):
        slope = math.radians(float(rng.integers(12, 20)))
        long = max(abs(height - before) * inches(1, system) / math.sin(slope), feet(2, system))
        table = {**hose(1, height, system), "length": long, "bore": wide}
        sketch = sketch.after(last, name, table)
        last, before = name, height
    outlet = inches(at_unit + 2, system)
    return sketch.put({"return hose.to": outlet, "discharge.height": outlet})


def _judged(
    sketch: Sketch, heights: list[int], right: int, lowest: int, vented: list[int]
) -> Picked | None:
    """The question, where a bleed at one place and no other lets out air that would stay."""
    for place in vented:
        sketch = sketch.after(_NAMES[place], f"bleed {_NAMES[place]}", {"kind": "bleed"})
    point, system = solve(sketch.job), sketch.system
    if point.flow <= 0:
        return None
    air = air_of(point)
    held = {
        point.network.labels[crest.part]: crest
        for crest in air.crests
        if crest.side == "pressure"
        and crest.bleed is None
        and crest.running == "held"
        and not crest.negative_pressure
    }
    others = [c for c in air.crests if c.side == "pressure" and c.bleed is None]
    if list(held) != [_NAMES[right]] or any(
        crest.running != "swept" for crest in others if crest is not held[_NAMES[right]]
    ):
        return None
    if any(not judged.lets_out_air or judged.draws_air for judged in air.bleeds):
        return None
    crest = held[_NAMES[right]]
    there = "".join(f" and one at {_NAMES[place]}" for place in vented)
    way = ", ".join(
        f"{name} {show(inches(height, system), 'height', system, 0)}"
        for name, height in zip(_NAMES, heights, strict=True)
    )
    speed, limit = _said(crest, system)
    return Picked(
        sketch.job,
        tuple(f"at {name}" for name in _NAMES),
        right,
        lowest,
        {"way": way, "there": there, "speed": speed, "limit": limit},
    )


AIR_TOPICS: Mapping[str, Topic] = {
    topic.name: topic
    for topic in (
        Topic(
            "bigger-hose",
            (
                Shape("flow", True, one_hose),
                Shape("bucket", False, by_bucket(one_hose)),
                Shape("holds-air", True, _holds),
            ),
        ),
        Topic(
            "higher-unit",
            (Shape("flow", False, _higher), Shape("bucket", True, by_bucket(_higher))),
        ),
        Topic("bleed-place", (Shape("place", False, _bleed_place),)),
        Topic(
            "bleed-when",
            (
                Shape("gauge", True, lambda draw: _bleed_when(draw, 1.0)),
                Shape("vacuum", False, lambda draw: _bleed_when(draw, -1.0)),
            ),
        ),
        Topic("more-pump", (Shape("speed", False, _stronger), Shape("bore", True, _too_wide))),
    )
}
