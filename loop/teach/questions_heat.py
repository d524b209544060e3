"""Quiz questions about heat: how much the water warms, and what too little flow does."""

import numpy as np

from loop.job import Unit
from loop.margins.heat import condensing_temperature, water_rise
from loop.seawater import Water
from loop.teach.question import Maker, Question, mixed
from loop.units import System, convert, parse, show

_HOUR = 3600.0  # s


def _unit(rng: np.random.Generator) -> Unit:
    cooling = int(rng.choice([9000, 12000, 16000, 24000]))
    return Unit(name="cabin", cooling=parse(f"{cooling} BTU/h", "power"))


def _carried(heat: float, flow: float, sea: Water, system: System) -> tuple[str, str]:
    """What a stream's volume takes up for a degree, as given, and the sum with it put in."""
    if system == "us":
        gallon = parse("1 gal", "volume") * sea.density * sea.heat_capacity
        degree = parse("1 degF", "temperature_difference")
        each = gallon * degree / (parse("1 BTU/h", "power") * _HOUR)
        stream = convert(flow, "flow", system) * each
        shown = f"{convert(flow, 'flow', system):,.0f} × {each:.2f}"
        return (
            f"A gallon of it takes up {each:.2f} BTU a °F.",
            f"The stream takes up {shown} = {stream:,.0f} BTU/h a °F;"
            f" {convert(heat, 'heat', system):,.0f} ÷ {stream:,.0f}",
        )
    litre = sea.density * sea.heat_capacity / 1e6
    stream = convert(flow, "flow", system) * litre / 60
    shown = f"{convert(flow, 'flow', system):.1f} ÷ 60 × {litre:.2f}"
    return (
        f"A litre of it takes up {litre:.2f} kJ a kelvin.",
        f"The stream takes up {shown} = {stream:.3f} kW a kelvin;"
        f" {convert(heat, 'heat', system):.2f} ÷ {stream:.3f}",
    )


def heat_balance(rng: np.random.Generator, system: System) -> Question:
    """How much the water warms."""
    unit, sea = _unit(rng), Water(temperature=float(rng.choice([18.0, 24.0, 29.0])))
    flow = unit.needed_flow * float(rng.choice([0.6, 0.8, 1.0, 1.25]))
    rise = float(water_rise(unit.rejected_heat, flow, sea))
    given, worked = _carried(unit.rejected_heat, flow, sea, system)
    return Question(
        "heat-balance",
        f"A condenser gives {show(unit.rejected_heat, 'heat', system)} to"
        f" {show(flow, 'flow', system)} of sea water. How much warmer does the water come out?"
        f" {given}",
        f"{worked} = {show(rise, 'temperature_difference', system)}. Near"
        f" {show(parse('10 degF', 'temperature_difference'), 'temperature_difference', system)} is"
        " the usual figure at full flow.",
        system,
        number=rise,
        quantity="temperature_difference",
    )


def flow_from_rise(rng: np.random.Generator, system: System) -> Question:
    """What two thermometers say about the flow."""
    unit, sea = _unit(rng), Water(temperature=25.0)
    share = float(rng.choice([0.4, 0.5, 0.7]))
    normal = float(water_rise(unit.rejected_heat, unit.needed_flow, sea))
    now = float(water_rise(unit.rejected_heat, share * unit.needed_flow, sea))
    before, after = (show(x, "temperature_difference", system) for x in (normal, now))
    flow = show(unit.needed_flow, "flow", system)
    return Question(
        "flow-from-rise",
        f"At {flow} the water warms by {before}. Today, at the same load, it warms by {after}. What"
        " is the flow now?",
        f"The same heat goes into less water, so rise and flow go opposite ways: {flow} × {before}"
        f" ÷ {after} = {show(share * unit.needed_flow, 'flow', system)}. Two thermometers make"
        " a flow meter.",
        system,
        number=share * unit.needed_flow,
        quantity="flow",
    )


def low_flow_heat(rng: np.random.Generator, system: System) -> Question:
    """What half the flow does to the condensing temperature."""
    unit, sea = _unit(rng), Water(temperature=float(rng.choice([22.0, 26.0, 30.0])))
    share = float(rng.choice([0.5, 0.35]))
    full, low = (
        float(condensing_temperature(unit, part * unit.needed_flow, sea.temperature, sea))
        for part in (1.0, share)
    )
    climb = low - full
    wrong = [
        show(climb * factor, "temperature_difference", system, 0) for factor in (0.1, 0.4, 2.5)
    ]
    right = show(climb, "temperature_difference", system, 0)
    choices, where = mixed(rng, right, wrong)
    return Question(
        "low-flow-heat",
        f"A unit condenses at {show(full, 'temperature', system)} on its full flow. A dirty"
        f" strainer leaves {show(share, 'ratio', system)} of it. About how much does the condensing"
        " temperature climb, if the compressor keeps going?",
        f"The water warms {1 / share:.3g} times as much, and the slower stream takes heat from the"
        f" tube less readily: to {show(low, 'temperature', system)}, up by {right}. Climbing"
        " condensing temperature with a small stream over the side points at the water, not the"
        " refrigerant.",
        system,
        choices,
        where,
    )


HEAT_TOPICS: dict[str, Maker] = {
    "heat-balance": heat_balance,
    "flow-from-rise": flow_from_rise,
    "low-flow-heat": low_flow_heat,
}
