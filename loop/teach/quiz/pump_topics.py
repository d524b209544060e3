"""Topics of the pump: its suction, its gauge, its supply; and the temperature of its water."""

from loop.hydraulics import solve
from loop.margins.heat import condensing_temperature, runs_on, water_rise
from loop.parts.friction import GRAVITY
from loop.parts.seacock import opening_at
from loop.pumps import load_pump
from loop.seawater import ATMOSPHERE
from loop.teach.quiz.question import shown
from loop.teach.quiz.sketch import DC_PUMPS, PUMPS, series
from loop.teach.quiz.topic import Asked, Draw, Shape, Topic, by_bucket, changed, topics
from loop.words.course import SAY
from loop.words.template import Facts

# Spacing of answers on an AC pump's voltage: the question stays within the 10 % that its rating
# allows, so the belief's answer is as near.
_NEAR = 0.08
# Frequencies of shore power [Hz].
_AMERICAN, _EUROPEAN = 60.0, 50.0


def _suction(draw: Draw, vacuum: bool) -> Asked | None:
    blocked = float(draw.rng.integers(0, 19)) / 20
    job = series(draw.rng, draw.system).put({"strainer.blocked": blocked}).job
    point = solve(job)
    inlet, weight = point.pump_inlet, point.network.water.density * GRAVITY
    sign = -1.0 if vacuum else 1.0
    if inlet.gauge_pressure >= 0:
        return None
    facts: Facts = {
        "head": point.pump_head,
        "lost": -inlet.total_head,
        "depth": -inlet.height,
        "air": ATMOSPHERE / weight,
    }
    belief = -weight * point.pump_head
    return Asked(job, sign * inlet.gauge_pressure, sign * belief, "pressure", facts)


def _gauge(draw: Draw, ask_flow: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    open_ = series(rng, system).after("unit", "outlet valve", {"kind": "seacock"})
    angle = int(rng.integers(5, 12)) * 5
    job = open_.put({"outlet valve.open": opening_at(angle)}).job
    before, after = solve(open_.job), solve(job)
    was, now = (point.stations[point.network.pump_index].gauge_pressure
                for point in (before, after))  # fmt: skip
    if min(was, now, after.flow) <= 0:
        return None
    facts: Facts = {
        "valve": "outlet valve",
        "after": after.flow,
        "gauge": shown(was, "pressure", system),
        "gauge_now": shown(now, "pressure", system),
        "angle": SAY("quiz-angle", angle=float(angle)),
    }
    if ask_flow:
        return changed(open_, before, job, before.flow * (now / was) ** 0.5, facts)
    asked = changed(open_, before, job, 0.0, facts)
    return Asked(job, now, was * after.flow / before.flow, "pressure", asked.facts)


def _voltage(draw: Draw, ac: bool) -> Asked:
    sketch = series(draw.rng, draw.system, PUMPS if ac else DC_PUMPS)
    pump = load_pump(str(sketch.parts["pump"]["curve"]))
    share = float(draw.rng.uniform(0.9, 0.92)) if ac else float(draw.rng.uniform(0.7, 0.84))
    supply = round(pump.rated_supply * share * (1 if ac else 5)) / (1 if ac else 5)
    before, ratio = solve(sketch.job), supply / pump.rated_supply
    facts: Facts = {
        "rated": pump.rated_supply,
        "supply": supply,
        "hertz": pump.rated_frequency or 0.0,
        "share": ratio,
        "head_share": ratio**2,
    }
    belief = before.flow * ratio if ac else before.flow
    return changed(sketch, before, sketch.put({"pump.supply": supply}).job, belief, facts)


def _hertz(draw: Draw) -> Asked | None:
    """The flow of an AC pump at rated voltage and another frequency."""
    sketch = series(draw.rng, draw.system)
    pump = load_pump(str(sketch.parts["pump"]["curve"]))
    if pump.rated_frequency != _AMERICAN:
        return None
    before, ratio = solve(sketch.job), _EUROPEAN / _AMERICAN
    facts: Facts = {
        "rated": pump.rated_supply,
        "hertz": _AMERICAN,
        "other": _EUROPEAN,
        "share": ratio,
        "head_share": ratio**2,
    }
    job = sketch.put({"pump.frequency": _EUROPEAN}).job
    return changed(sketch, before, job, before.flow, facts)


def _warmth(draw: Draw, ask_flow: bool) -> Asked | None:
    sketch = series(draw.rng, draw.system)
    job = sketch.put({"intake.grate_open": float(draw.rng.integers(6, 16)) / 100}).job
    water, (unit,) = job.water.properties, job.condenser
    was, now = solve(sketch.job).flow, solve(job).flow
    normal, rise = (float(water_rise(unit.rejected_heat, flow, water)) for flow in (was, now))
    cool, hot = (
        float(condensing_temperature(unit, flow, water.temperature, water)) for flow in (was, now)
    )
    if not runs_on(hot):
        return None
    facts: Facts = {"before": was, "after": now, "normal": normal, "now": rise, "hot": hot}
    facts = {**facts, "cool": cool, "times": f"{rise / normal:.2f}"}
    if ask_flow:
        return Asked(job, now, was * rise / normal, "flow", facts)
    return Asked(job, rise, normal * now / was, "temperature_difference", facts)


PUMP_TOPICS = topics(
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
            Shape("ac", True, by_bucket(lambda draw: _voltage(draw, True)), _NEAR),
            Shape("hertz", False, by_bucket(_hertz)),
            Shape("dc", False, by_bucket(lambda draw: _voltage(draw, False))),
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
