"""Quiz questions about heat: how much the water warms, and what too little flow does."""

import numpy as np

from loop.job import Unit
from loop.margins.heat import condensing_temperature, water_rise
from loop.seawater import Water
from loop.teach.question import Maker, Question, mixed
from loop.units import System, parse, show


def _unit(rng: np.random.Generator) -> Unit:
    cooling = int(rng.choice([9000, 12000, 16000, 24000]))
    return Unit(name="cabin", cooling=parse(f"{cooling} BTU/h", "power"))


def heat_balance(rng: np.random.Generator, system: System) -> Question:
    """How much the water warms."""
    unit, sea = _unit(rng), Water(temperature=float(rng.choice([18.0, 24.0, 29.0])))
    flow = unit.needed_flow * float(rng.choice([0.6, 0.8, 1.0, 1.25]))
    rise = float(water_rise(unit.rejected_heat, flow, sea))
    carried = sea.density * flow * sea.heat_capacity
    heat = show(unit.rejected_heat, "heat", system)
    return Question(
        "heat-balance",
        f"A condenser gives {heat} to {show(flow, 'flow', system)} of sea water. How much warmer"
        " does the water come out? A kilogram of it takes up"
        f" {sea.heat_capacity:.0f} J a kelvin, and a cubic metre weighs {sea.density:.0f} kg.",
        f"The stream carries {sea.density:.0f} × {flow:.3g} m³/s × {sea.heat_capacity:.0f} ="
        f" {carried:.0f} W a kelvin; {unit.rejected_heat:.0f} W ÷ {carried:.0f} = {rise:.2f} K,"
        f" or {show(rise, 'temperature_difference', system)}. Near 10 °F (5.6 K) is the usual"
        " figure at full flow.",
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
