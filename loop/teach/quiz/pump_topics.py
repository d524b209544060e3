"""Topics of the pump: its suction, its gauge, its supply; and the warmth of its water."""

from collections.abc import Mapping

from loop.hydraulics import solve
from loop.margins.heat import TRIPS, condensing_temperature, water_rise
from loop.parts.friction import GRAVITY
from loop.parts.seacock import opening_at
from loop.pumps import load_pump
from loop.seawater import ATMOSPHERE
from loop.teach.quiz.question import shown
from loop.teach.quiz.sketch import DC_PUMPS, PUMPS, series, told
from loop.teach.quiz.topic import Asked, Draw, Shape, Topic
from loop.units import show


def _suction(draw: Draw, vacuum: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    blocked = float(rng.integers(0, 17)) / 20
    job = series(rng, system).put({"strainer.blocked": blocked}).job
    point = solve(job)
    inlet, weight = point.pump_inlet, point.network.water.density * GRAVITY
    sign = -1.0 if vacuum else 1.0
    belief, right = -weight * point.pump_head, inlet.gauge_pressure
    if vacuum and right > 0:
        return None
    return Asked(
        job,
        sign * right,
        sign * belief,
        "pressure",
        {
            "loop": told(job),
            "head": show(point.pump_head, "head", system),
            "lost": show(-inlet.total_head, "head", system),
            "depth": show(-inlet.height, "head", system),
            "air": show(ATMOSPHERE / weight, "head", system, 0),
        },
    )


def _gauge(draw: Draw, ask_flow: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    open_ = series(rng, system).after("unit", "outlet valve", {"kind": "seacock"})
    angle = int(rng.integers(5, 12)) * 5
    before, job = solve(open_.job), open_.put({"outlet valve.open": opening_at(angle)}).job
    after = solve(job)
    index = before.network.pump_index
    was, now = (point.stations[index].gauge_pressure for point in (before, after))
    if min(was, now, after.flow) <= 0:
        return None
    belief = before.flow * (now / was) ** 0.5 if ask_flow else was * after.flow / before.flow
    return Asked(
        job,
        after.flow if ask_flow else now,
        belief,
        "flow" if ask_flow else "pressure",
        {
            "loop": told(open_.job),
            "valve": "outlet valve",
            "before": show(before.flow, "flow", system),
            "after": show(after.flow, "flow", system),
            "gauge": shown(was, "pressure", system),
            "gauge_now": shown(now, "pressure", system),
            "angle": f"{angle}° from open",
        },
    )


def _voltage(draw: Draw, ac: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    sketch = series(rng, system, PUMPS if ac else DC_PUMPS)
    pump = load_pump(str(sketch.parts["pump"]["curve"]))
    # An AC pump is asked about inside the tenth that its rating allows.
    share = float(rng.uniform(0.9, 0.92)) if ac else float(rng.uniform(0.78, 0.92))
    supply = round(pump.rated_supply * share * (1 if ac else 5)) / (1 if ac else 5)
    before, job = solve(sketch.job), sketch.put({"pump.supply": supply}).job
    ratio = supply / pump.rated_supply
    return Asked(
        job,
        solve(job).flow,
        before.flow * ratio if ac else before.flow,
        "flow",
        {
            "loop": told(sketch.job),
            "rated": show(pump.rated_supply, "voltage", system, 0),
            "supply": show(supply, "voltage", system),
            "hertz": show(pump.rated_frequency or 0.0, "frequency", system),
            "before": show(before.flow, "flow", system),
            "share": show(ratio, "ratio", system),
            "head_share": show(ratio**2, "ratio", system),
        },
    )


def _warmth(draw: Draw, ask_flow: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    sketch = series(rng, system)
    job = sketch.put({"intake.grate_open": float(rng.integers(6, 16)) / 100}).job
    water, (unit,) = job.water.properties, job.condenser
    was, now = solve(sketch.job).flow, solve(job).flow
    normal, rise = (float(water_rise(unit.rejected_heat, flow, water)) for flow in (was, now))
    cool, hot = (
        float(condensing_temperature(unit, flow, water.temperature, water)) for flow in (was, now)
    )
    if hot > TRIPS:
        return None
    return Asked(
        job,
        now if ask_flow else rise,
        was * rise / normal if ask_flow else normal * now / was,
        "flow" if ask_flow else "temperature_difference",
        {
            "before": show(was, "flow", system),
            "after": show(now, "flow", system),
            "normal": show(normal, "temperature_difference", system),
            "now": show(rise, "temperature_difference", system),
            "times": f"{rise / normal:.2f}",
            "hot": show(hot, "temperature", system, 1),
            "cool": show(cool, "temperature", system, 1),
        },
    )


PUMP_TOPICS: Mapping[str, Topic] = {
    topic.name: topic
    for topic in (
        Topic(
            "suction",
            (
                Shape("vacuum", True, lambda draw: _suction(draw, True)),
                Shape("gauge", False, lambda draw: _suction(draw, False)),
            ),
        ),
        Topic(
            "gauge",
            (
                Shape("now", False, lambda draw: _gauge(draw, False)),
                Shape("flow", True, lambda draw: _gauge(draw, True)),
            ),
        ),
        Topic(
            "voltage",
            (
                Shape("ac", False, lambda draw: _voltage(draw, True)),
                Shape("dc", True, lambda draw: _voltage(draw, False)),
            ),
        ),
        Topic(
            "cool-water",
            (
                Shape("rise", False, lambda draw: _warmth(draw, False)),
                Shape("flow", True, lambda draw: _warmth(draw, True)),
            ),
        ),
    )
}
