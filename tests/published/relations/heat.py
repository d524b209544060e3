"""Heat transfer in the condenser."""

import math

from loop.job import Unit
from loop.job.model import TON
from loop.margins import heat
from loop.margins.heat import (
    condensing_temperature,
    conductance,
    rated_conductance,
    water_rise,
)
from loop.seawater import Water
from tests.published.relations.registry import relation
from tests.published.textbook import Liquid


def _unit(inlet: float, leaving: float, condensing: float, liquid: Liquid) -> Unit:
    """A surface that transfers 1 kW with this water temperature rise and this approach."""
    flow = 1000.0 / (liquid.density * liquid.heat_capacity * (leaving - inlet))
    # A textbook surface has no compressor to limit it.
    return Unit.model_construct(
        name="book",
        cooling=1000.0,
        heat_rejection=1.0,
        flow_needed=flow,
        approach=condensing - leaving,
    )


@relation()
def transfer_units(inlet: float, leaving: float, condensing: float) -> float:
    """NTU = UA/(ρ Q cp) implied by a rated approach."""
    liquid = Liquid()
    unit = _unit(inlet, leaving, condensing, liquid)
    carried = liquid.density * liquid.heat_capacity * unit.needed_flow
    return rated_conductance(unit, liquid) / carried


@relation("power")
def heat_of_conductance(
    inlet: float, leaving: float, condensing: float, conductance: float
) -> float:
    """Heat [W] transferred by a surface of this UA [W/K] between these temperatures."""
    liquid = Liquid()
    per_watt = rated_conductance(_unit(inlet, leaving, condensing, liquid), liquid) / 1000.0
    return conductance / per_watt


@relation("temperature")
def leaving_temperature(heat: float, mass_flow: float, heat_capacity: float, inlet: float) -> float:
    """Temperature of the water leaving [°C]."""
    liquid = Liquid(heat_capacity=heat_capacity)
    return inlet + float(water_rise(heat, mass_flow / liquid.density, liquid))


@relation("temperature_difference")
def rise(heat: float, flow: float, temperature: float, salinity: float = 0.0) -> float:
    """Temperature rise of the water [K]."""
    return float(water_rise(heat, flow, Water(temperature, salinity)))


@relation("temperature")
def condensing_at_rating(inlet: float, heat: float, flow: float, approach: float) -> float:
    """Condensing temperature [°C] of a unit at its rated flow, in fresh water."""
    unit = Unit.model_construct(
        name="book",
        cooling=heat,
        heat_rejection=1.0,
        flow_needed=flow,
        approach=approach,
    )
    return float(condensing_temperature(unit, flow, inlet, Water(inlet, 0.0)))


@relation("length")
def tube_length(
    heat: float,
    mass_flow: float,
    heat_capacity: float,
    inlet: float,
    condensing: float,
    film_inside: float,
    film_outside: float,
    tubes: int,
    passes: int,
    bore: float,
) -> float:
    """Length of a pass [m] for the UA that the temperatures require."""
    liquid = Liquid(heat_capacity=heat_capacity)
    leaving = leaving_temperature(heat, mass_flow, heat_capacity, inlet)
    unit = _unit(inlet, leaving, condensing, liquid)
    surface = rated_conductance(unit, liquid) * heat / 1000.0
    coefficient = 1 / (1 / film_inside + 1 / film_outside)
    return surface / (coefficient * tubes * passes * math.pi * bore)


@relation("power")
def refrigeration_ton() -> float:
    """One ton of refrigeration [W]."""
    return TON


@relation()
def film_at_twice_the_velocity() -> float:
    """Water-side film coefficient over that at half the velocity."""
    liquid = Liquid()
    unit = _unit(20.0, 25.0, 30.0, liquid)
    at_need, at_twice = (
        float(rated_conductance(unit, liquid) / conductance(unit, flow, liquid))
        for flow in (unit.needed_flow, 2 * unit.needed_flow)
    )
    # Each is the film's share of the resistance over the film, plus the rest.
    return heat.WATER_SHARE / (at_twice - at_need + heat.WATER_SHARE)


@relation("temperature")
def trip_temperature() -> float:
    """Condensing temperature [°C] above which a unit has tripped."""
    return heat.TRIPS
