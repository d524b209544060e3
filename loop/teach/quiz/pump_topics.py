"""Topics of the pump: its suction, its gauge, its supply; and the temperature of its water."""

from loop.hydraulics import solve
from loop.margins.heat import condensing_temperature, runs_on, water_rise
from loop.parts.friction import GRAVITY
from loop.parts.seacock import opening_at
from loop.pumps import load_pump
from loop.seawater import ATMOSPHERE
from loop.teach.quiz.question import answer_text
from loop.teach.quiz.sketch import DC_PUMPS, PUMPS, series
from loop.teach.quiz.topic import Draw, Form, NumberAsked, Topic, by_bucket, flow_after, topics
from loop.words.course import SAY
from loop.words.template import Facts

# Spacing of answers on an AC pump's voltage: the question stays within the 10 % that its rating
# allows, so the belief's answer is as near.
_NARROW_SPACING = 0.08
# Frequencies of shore power [Hz].
_AMERICAN, _EUROPEAN = 60.0, 50.0


def _inlet_pressure(draw: Draw, vacuum: bool) -> NumberAsked | None:
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
    return NumberAsked(job, sign * inlet.gauge_pressure, sign * belief, "pressure", facts)


def _gauge_question(draw: Draw, ask_flow: bool) -> NumberAsked | None:
    rng, system = draw.rng, draw.system
    open_sketch = series(rng, system).after("unit", "outlet valve", {"kind": "seacock"})
    angle = int(rng.integers(5, 12)) * 5
    job = open_sketch.put({"outlet valve.open": opening_at(angle)}).job
    before, after = solve(open_sketch.job), solve(job)
    before_pressure, after_pressure = (
        point.stations[point.network.pump_index].gauge_pressure for point in (before, after)
    )
    if min(before_pressure, after_pressure, after.flow) <= 0:
        return None
    facts: Facts = {
        "valve": "outlet valve",
        "after": after.flow,
        "gauge": answer_text(before_pressure, "pressure", system),
        "gauge_now": answer_text(after_pressure, "pressure", system),
        "angle": SAY("quiz-angle", angle=float(angle)),
    }
    if ask_flow:
        return flow_after(
            open_sketch, before, job, before.flow * (after_pressure / before_pressure) ** 0.5, facts
        )
    asked = flow_after(open_sketch, before, job, 0.0, facts)
    return NumberAsked(
        job, after_pressure, before_pressure * after.flow / before.flow, "pressure", asked.facts
    )


def _flow_at_voltage(draw: Draw, ac: bool) -> NumberAsked:
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
    return flow_after(sketch, before, sketch.put({"pump.supply": supply}).job, belief, facts)


def _flow_at_frequency(draw: Draw) -> NumberAsked | None:
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
    return flow_after(sketch, before, job, before.flow, facts)


def _warmer_water(draw: Draw, ask_flow: bool) -> NumberAsked | None:
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
        return NumberAsked(job, now, was * rise / normal, "flow", facts)
    return NumberAsked(job, rise, normal * now / was, "temperature_difference", facts)


PUMP_TOPICS = topics(
    Topic(
        "suction",
        (
            Form("vacuum", True, lambda draw: _inlet_pressure(draw, True)),
            Form("gauge", False, lambda draw: _inlet_pressure(draw, False)),
        ),
    ),
    Topic(
        "gauge",
        (
            Form("now", False, lambda draw: _gauge_question(draw, False)),
            Form("flow", True, lambda draw: _gauge_question(draw, True)),
        ),
    ),
    Topic(
        "voltage",
        (
            Form("ac", True, by_bucket(lambda draw: _flow_at_voltage(draw, True)), _NARROW_SPACING),
            Form("hertz", False, by_bucket(_flow_at_frequency)),
            Form("dc", False, by_bucket(lambda draw: _flow_at_voltage(draw, False))),
        ),
    ),
    Topic(
        "cool-water",
        (
            Form("rise", False, lambda draw: _warmer_water(draw, False)),
            Form("flow", True, lambda draw: _warmer_water(draw, True)),
        ),
    ),
)
