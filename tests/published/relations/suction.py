"""Suction, submergence and air."""

import math
from types import SimpleNamespace

import numpy as np
from scipy.optimize import brentq

from loop.curve import MonotoneCurve
from loop.hydraulics import cavity, clearing
from loop.hydraulics.cavity import cavity_froude
from loop.hydraulics.clearing import clearing_froude
from loop.margins import suction
from loop.margins.speed import part_speeds
from loop.parts import Condenser, Hose, Pump
from loop.parts.friction import GRAVITY, velocity_head
from loop.pumps import load_pump
from loop.seawater import Water
from loop.units import parse
from loop.units.stated import Rating
from tests.published.relations.registry import relation
from tests.published.textbook import Liquid, loss, pipe


def _available(inlet_head: float, pump_height: float, water: Water) -> float:
    """The program's NPSH for a total head at the inlet and a pump height [m]."""
    point = SimpleNamespace(
        flow=1.0,
        pump_inlet=SimpleNamespace(total_head=inlet_head),
        network=SimpleNamespace(pump_index=0, heights=(pump_height,)),
    )
    return suction.npsh_available(point, water)


@relation("length")
def npsh_available(level: float, temperature: float, loss: float) -> float:
    """NPSH [m] of a pump this far below its open fresh water surface (negative: above it)."""
    return _available(level - loss, 0.0, Water(temperature, 0.0))


@relation("length")
def npsh_available_at_gauge(
    pressure: float, speed: float, height: float, temperature: float
) -> float:
    """NPSH [m] from a gauge at a height above the pump, with water at `speed`."""
    water = Water(temperature, 0.0)
    head = pressure / (water.density * GRAVITY) + height + speed**2 / (2 * GRAVITY)
    return _available(head, 0.0, water)


@relation("length")
def highest_pump(needed: float, loss: float, temperature: float) -> float:
    """Greatest height [m] of a pump above its open supply at which it has the required NPSH."""
    water = Water(temperature, 0.0)
    return _available(-loss, 0.0, water) - needed


@relation("length")
def highest_pump_by_k(
    needed: float, flow: float, bore: float, k: float, temperature: float
) -> float:
    """The same, with the suction line's losses as a K."""
    return highest_pump(needed, loss(k, bore).head_loss(flow, Liquid()), temperature)


@relation("flow")
def cavitating_flow(
    level: float,
    temperature: float,
    length: float,
    bore: float,
    roughness: float,
    k: float,
    kinetic: float,
    flows: list[float],
    needed_heads: list[float],
) -> float:
    """Flow [m³/s] at which NPSH available falls to NPSH required."""
    water = Water(temperature, 0.0)
    line = [pipe(length, bore, roughness), loss(k, bore)]
    required = MonotoneCurve(np.array(flows), np.array(needed_heads))

    def spare(flow: float) -> float:
        lost = sum(part.head_loss(flow, water) for part in line)
        # The textbook counts the inlet's velocity head (1 + kinetic) once less.
        lost += kinetic * velocity_head(flow, bore)
        return _available(level - lost, 0.0, water) - float(required(flow))

    return float(brentq(spare, flows[0], flows[-1]))


@relation("length")
def submergence(flow: float, bore: float) -> float:
    """Depth [m] over an inlet that keeps air out."""
    return suction.needed_submergence(bore, flow)


@relation()
def submergence_factor(flow: float, bore: float) -> float:
    """(S − D) D^1.5/Q in inches and US gallons per minute."""
    inch, gpm = parse("1 in", "length"), parse("1 gal/min", "flow")
    depth = (suction.needed_submergence(bore, flow) - bore) / inch
    return depth * (bore / inch) ** 1.5 / (flow / gpm)


def _wisner(slope: float) -> float:
    """Wisner's limit: the higher of the two relations up to where they cross."""
    low, high = clearing_froude(slope)
    return float(high if slope < math.radians(28.75) else low)


@relation()
def clearing_froude_wisner(slope: float) -> float:
    """Froude number that sweeps a pocket, after Wisner."""
    return _wisner(slope)


@relation()
def clearing_froude_escarameia(slope: float) -> float:
    """Froude number that sweeps a pocket, after Escarameia."""
    low, high = clearing_froude(slope)
    return float(low if slope < math.radians(28.75) else high)


@relation()
def clearing_slope_term() -> float:
    """Escarameia's factor on √sin: upright less level."""
    return clearing_froude_escarameia(math.pi / 2) - clearing_froude_escarameia(0.0)


@relation()
def cavity_froude_large(slope: float) -> float:
    """Froude number that holds a cavity in a bore too large for surface tension to matter."""
    return float(cavity_froude(10.0, slope, 1000.0))


@relation()
def cavity_froude_water(bore: float, slope: float) -> float:
    """The same in fresh water, in a bore [m] where surface tension matters."""
    return float(cavity_froude(bore, slope, 998.2))


@relation("speed")
def speed_limit(where: str, most: bool) -> float:
    """Velocity limit [m/s] in a hose before or after the pump, or in a condenser's tube."""
    hose = Hose(length=1.0, to=0.0, bore=0.02)
    tube = Condenser(serves="book", bore=0.02, tube_bore=0.02, loss=(Rating(1e4, 1e-4),))
    pump = Pump(curve=load_pump("demo-ac-350"))
    network = SimpleNamespace(parts=(hose, pump, hose, tube), pump_index=1, line_of=(0, 0, 0, 0))
    point = SimpleNamespace(network=network, line_flow=np.array([1e-4]))
    found = {one.index: one for one in part_speeds(point)}
    one = found[{"suction": 0, "pressure": 2, "tube": 3}[where]]
    return one.most if most else one.least


@relation()
def surface_tension() -> float:
    """Surface tension of water [N/m]."""
    return cavity.SURFACE_TENSION


@relation("angle")
def tested_slope() -> float:
    """Steepest leg [rad] for which the clearing relations were measured."""
    return clearing.TESTED_SLOPE
