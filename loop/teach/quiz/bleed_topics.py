"""Topics of bleeds: where one lets air out, and the water pressure there."""

import math

import numpy as np

from loop.air.air_paths import air_paths
from loop.hydraulics import solve
from loop.job import TRADE_BORES
from loop.parts.friction import GRAVITY
from loop.teach.quiz.air_topics import falling_leg, falling_loop
from loop.teach.quiz.sketch import PUMPS, Sketch, feet, hose, inches, loop_text, series
from loop.teach.quiz.topic import Draw, Form, ItemAsked, NumberAsked, Topic, station, topics
from loop.units import System, show
from loop.words.course import SAY
from loop.words.teaching.beliefs import AT_A_BLEED
from loop.words.template import Facts

_NAMES = "ABCDE"
# Height of the pump [in], possible heights of the places after it: below the waterline, where the
# line stays full once bled; and of the outlet, above it.
_PUMP, _HEIGHTS, _OUTLET = -34, np.arange(-32, -4, 2), 4


def _bleed_height(draw: Draw) -> NumberAsked | None:
    """Height up to which a running line has positive pressure, against the pump's whole head."""
    job = falling_loop(draw, list(PUMPS), before_unit=bool(draw.rng.random() < 0.5)).job
    point, high_point = falling_leg(job)
    if high_point is None or high_point.running != "swept":
        return None
    here, weight = station(point, "rising hose"), point.network.water.density * GRAVITY
    level = here.height + here.gauge_pressure / weight
    facts: Facts = {
        "loop": loop_text(job, heights=True),
        "hose": "rising hose",
        "head": point.pump_head,
        "lost": point.pump_head - level,
        "here": here.height,
        "so": AT_A_BLEED["above" if here.height > level else "below"],
    }
    return NumberAsked(job, level, point.pump_head, "height", facts)


def _bleed_place(draw: Draw) -> ItemAsked | None:
    """Five places, one of which holds air that a bleed there lets out."""
    right = _right_place(draw)
    heights = [int(height) for height in draw.rng.permutation(_HEIGHTS)[: len(_NAMES)]]
    line = [_PUMP, *heights, heights[-1] + (-4 if right == len(_NAMES) - 1 else 2)]
    high = [i - 1 for i in range(1, len(line) - 1) if line[i - 1] < line[i] > line[i + 1]]
    order = sorted(range(len(_NAMES)), key=lambda place: heights[place])
    if right not in high or order[draw.below] != right:
        return None
    sketch = _with_places(draw.rng, draw.system, heights, line[-1])
    return _place_question(
        sketch, heights, right, order[0], [place for place in high if place != right]
    )


def _right_place(draw: Draw) -> int:
    """Index of the right place: all equally likely over all ranks of height together.

    The second lowest can be a high point only at the ends of the row, next to the pump or the unit.
    """
    pick, last = draw.pick, len(_NAMES) - 1
    if draw.below == 1:
        return 0 if pick < 0.5 else last
    return int(np.searchsorted(np.cumsum([0.1, 0.8 / 3, 0.8 / 3, 0.8 / 3]), pick))


def _with_places(
    rng: np.random.Generator, system: System, heights: list[int], at_unit: int
) -> Sketch:
    """A loop with a wide supply hose through five places of these heights before the unit."""
    pump = str(rng.choice(list(PUMPS)))
    sketch = series(rng, system, {pump: PUMPS[pump]})
    sea_to_pump = {"intake.height": -40, "suction hose.to": -37, "pump hose.to": _PUMP}
    sketch = sketch.put({place: inches(level, system) for place, level in sea_to_pump.items()})
    bore = TRADE_BORES[int(rng.integers(3, 5))]
    last, before = "supply hose", _PUMP
    sketch = sketch.put({"supply hose.to": inches(before, system), "supply hose.bore": bore})
    for name, height in zip((*_NAMES, "unit hose"), (*heights, at_unit), strict=True):
        slope = math.radians(float(rng.integers(12, 20)))
        length = max(abs(height - before) * inches(1, system) / math.sin(slope), feet(2, system))
        table = {**hose(1, height, system), "length": length, "bore": bore}
        sketch = sketch.after(last, name, table)
        last, before = name, height
    outlet = inches(_OUTLET, system)
    sketch = sketch.put({"return hose.length": feet(rng.integers(6, 12), system)})
    return sketch.put({"return hose.to": outlet, "discharge.height": outlet})


def _place_question(
    sketch: Sketch, heights: list[int], right: int, lowest: int, vented: list[int]
) -> ItemAsked | None:
    """The question, where a bleed at one place only lets out air that would stay."""
    for place in vented:
        sketch = sketch.after(_NAMES[place], f"bleed {_NAMES[place]}", {"kind": "bleed"})
    point, system = solve(sketch.job), sketch.system
    if point.flow <= 0:
        return None
    (air,) = air_paths(point.network, point)
    stays = [
        high_point
        for high_point in air.high_points
        if high_point.side == "pressure" and not high_point.vented and high_point.running != "swept"
    ]
    if [point.network.labels[high_point.part] for high_point in stays] != [_NAMES[right]]:
        return None
    (high_point,) = stays
    if high_point.running != "held" or high_point.negative_pressure:
        return None
    if any(not judged.lets_out_air or judged.draws_air for judged in air.bleeds):
        return None
    if _swept_once_bled(sketch, right):
        return None
    places = ", ".join(
        f"{name} {show(inches(height, system), 'height', system, 0)}"
        for name, height in zip(_NAMES, heights, strict=True)
    )
    levels = {one.label: one.height for one in point.stations}
    facts: Facts = {
        "pump": levels["pump"],
        "unit": levels["unit"],
        "outlet": levels["discharge"],
        "way": places,
        "there": "".join(SAY("quiz-and-at", place=_NAMES[place]) for place in vented),
        "speed": high_point.velocity,
        "limit": high_point.clearing[1],
    }
    return ItemAsked(
        sketch.job, tuple(SAY("quiz-at", place=name) for name in _NAMES), right, lowest, facts
    )


def _swept_once_bled(sketch: Sketch, right: int) -> bool:
    """Whether the flow with a bleed there would keep the line clear without it."""
    name = f"bleed {_NAMES[right]}"
    point = solve(sketch.after(_NAMES[right], name, {"kind": "bleed"}).job)
    (air,) = air_paths(point.network, point)
    labels = point.network.labels
    return any(
        high_point.running == "swept"
        and high_point.bleed is not None
        and labels[high_point.bleed] == name
        for high_point in air.high_points
    )


BLEED_TOPICS = topics(
    Topic("bleed-place", (Form("place", False, _bleed_place),)),
    Topic("bleed-when", (Form("height", True, _bleed_height),)),
)
