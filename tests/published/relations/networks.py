"""Reservoirs, parallel and branched pipes, and loops of pipes, through the program's solver."""

import math
from typing import Any

import fluids
import numpy as np

from loop.curve import Array
from loop.hydraulics import solve_flows, stations
from loop.parts import Discharge, Pump
from loop.parts.friction import GRAVITY, velocity
from tests.published.relations.registry import relation
from tests.published.textbook import (
    OUTLET,
    SOURCE,
    Liquid,
    Way,
    line_flows,
    loss,
    network_of,
    pipe,
    pump_curve,
    resistance,
)

Pipes = list[dict[str, float]]

# A feed with negligible loss: K 1 on a bore of 0.5 m, 1 mm at 100 m³/h.
_WIDE = (1.0, 0.5)


def _liquid(viscosity: float) -> Liquid:
    return Liquid(kinematic_viscosity=viscosity)


def _parallel(pipes: Pipes, level: float, viscosity: float, pump: Pump | None = None) -> Array:
    """Flows of parallel pipes between one joint and the outlet, the feed line first."""
    feed = Way((loss(*_WIDE),), SOURCE, 0)
    ways = [Way((pipe(**each),), 0, OUTLET) for each in pipes]
    return line_flows(network_of([feed, *ways], _liquid(viscosity), level, pump))


@relation("flow")
def parallel_flow(pipes: Pipes, level: float, viscosity: float, which: int) -> float:
    """Flow [m³/s] in one of several parallel pipes at a given head loss; `which` 0 is the total."""
    return float(_parallel(pipes, level, viscosity)[which])


@relation("flow")
def series_flow(pipes: Pipes, level: float, viscosity: float) -> float:
    """Flow [m³/s] of pipes in series at a given head loss."""
    line = Way(tuple(pipe(**each) for each in pipes))
    return float(line_flows(network_of([line], _liquid(viscosity), level))[0])


@relation("flow")
def reservoirs_flow(pipes: Pipes, levels: list[float], viscosity: float, which: int) -> float:
    """Flow [m³/s] in one of three pipes that meet at a joint; the first leaves the highest level.

    `levels` are those at the far ends; `which` counts pipes from 1.
    """
    datum = min(levels)
    first, *others = (pipe(**each) for each in pipes)
    ways = [Way((first,), SOURCE, 0)]
    ways += [
        Way((other,), 0, OUTLET, level - datum)
        for other, level in zip(others, levels[1:], strict=True)
    ]
    network = network_of(ways, _liquid(viscosity), levels[0] - datum)
    return float(line_flows(network)[which - 1])


@relation("length")
def junction_level(resistances: list[float], levels: list[float]) -> float:
    """Head [m] at the joint of three lines with loss r Q²; the first leaves the highest level."""
    datum = min(levels)
    ways = [Way((resistance(resistances[0]),), SOURCE, 0)]
    ways += [
        Way((resistance(r),), 0, OUTLET, level - datum)
        for r, level in zip(resistances[1:], levels[1:], strict=True)
    ]
    network = network_of(ways, level=levels[0] - datum)
    flow = float(line_flows(network)[0])
    return levels[0] - network.parts[1].head_loss(flow, network.water)


def _constant_power(power: float, density: float, most: float) -> Pump:
    """A pump of constant hydraulic power: its hyperbola starts at a third of `most`."""
    flow = np.linspace(most / 3, most, 81)
    head = power / (density * GRAVITY * flow)
    return Pump(curve=pump_curve([0.0, *flow], [head[0] * 1.5, *head]))


def _pumped(
    pipes: Pipes, lift: float, power: float, efficiency: float, density: float, viscosity: float
) -> tuple[Array, float]:
    pump = _constant_power(power * efficiency, density, 0.06)
    feed = Way((loss(*_WIDE),), SOURCE, 0)
    ways = [Way((pipe(**each),), 0, OUTLET, lift) for each in pipes]
    network = network_of([feed, *ways], _liquid(viscosity), 0.0, pump)
    flows = line_flows(network)
    return flows, float(pump.curve.head(flows[0]))


@relation("flow")
def pumped_parallel_flow(which: int, **inputs: Any) -> float:
    """Flow [m³/s] of parallel pipes fed against a lift by a pump of constant power."""
    return float(_pumped(**inputs)[0][which])


@relation("length")
def pumped_parallel_head(**inputs: Any) -> float:
    """Head [m] of that pump."""
    return _pumped(**inputs)[1]


def _house(
    common: float, branches: list[dict[str, float]], bore: float, level: float, roughness: float,
    viscosity: float,
) -> Array:  # fmt: skip
    ways = [Way((pipe(common, bore, roughness),), SOURCE, 0)]
    ways += [
        Way(
            (pipe(each["length"], bore, roughness), loss(each["k"], bore)),
            0,
            OUTLET,
            each["outlet"],
        )
        for each in branches
    ]
    return line_flows(network_of(ways, _liquid(viscosity), level))


@relation("flow")
def house_flow(which: int, **inputs: Any) -> float:
    """Flow [m³/s] in a branch of a house's piping: a common length, then branches."""
    return float(_house(**inputs)[which])


@relation("flow")
def rough_parallel_flow(
    bores: list[float], length: float, friction: float, k: float, level: float, which: int
) -> float:
    """Flow [m³/s] in one of several parallel pipes of known friction factor between reservoirs."""
    feed = Way((loss(*_WIDE),), SOURCE, 0)
    ways = [Way((loss(friction * length / bore + k, bore),), 0, OUTLET) for bore in bores]
    return float(line_flows(network_of([feed, *ways], level=level))[which])


def _siphon(
    length: float, bore: float, friction: float, level: float, high_point: float, before: float
) -> Any:
    parts = (
        loss(0.5, bore),
        loss(friction * before / bore, bore),
        loss(friction * (length - before) / bore, bore),
        Discharge(bore=bore, height=0.0),
    )
    heights = (level, level + high_point, 0.0, 0.0)
    return network_of([Way(parts, heights=heights)], Liquid(density=1000.0), level)


@relation("speed")
def siphon_speed(bore: float, **inputs: float) -> float:
    """Velocity [m/s] in a siphon of known friction factor."""
    return velocity(float(line_flows(_siphon(bore=bore, **inputs))[0]), bore)


@relation("pressure")
def siphon_high_point_pressure(**inputs: float) -> float:
    """Gauge pressure [Pa] at the siphon's high point, from the program's stations."""
    network = _siphon(**inputs)
    high_point = stations(network, solve_flows(network, exact=True))[2]
    return high_point.gauge_pressure


@relation("flow")
def gravity_contraction_flow(
    level: float, bore: float, length: float, bore_2: float, length_2: float, roughness: float,
    viscosity: float,
) -> float:  # fmt: skip
    """Gravity flow [m³/s] through two bores: entrance, miter bend, gate, contraction, exit."""
    parts = (
        loss(fluids.entrance_sharp(method="Crane"), bore),
        loss(fluids.bend_miter(Di=bore, angle=90.0, method="Crane"), bore),
        loss(fluids.K_gate_valve_Crane(D1=bore, D2=bore, angle=0.0), bore),
        pipe(length, bore, roughness),
        # Crane's sudden contraction, 0.5 (1 − β²) on the smaller bore.
        loss(0.5 * (1 - (bore_2 / bore) ** 2), bore_2),
        pipe(length_2, bore_2, roughness),
        Discharge(bore=bore_2, height=0.0),
    )
    network = network_of([Way(parts)], _liquid(viscosity), level)
    return float(line_flows(network)[0])


@relation("flow")
def gravity_ball_valve_flow(
    level: float,
    bore: float,
    length: float,
    friction: float,
    elbows: int,
    seat: float,
    angle: float,
) -> float:
    """Gravity flow [m³/s] in a pipe of known f, with elbows and a ball valve of tapered seat."""
    valve = fluids.K_ball_valve_Crane(D1=seat, D2=bore, angle=math.degrees(angle), fd=friction)
    k = friction * length / bore + 0.5 + elbows * 30 * friction + valve
    network = network_of([Way((loss(k, bore), Discharge(bore=bore, height=0.0)))], level=level)
    return float(line_flows(network)[0])


@relation("flow")
def looped_flow(ways: list[list[float]], flow: float, which: int) -> float:
    """Flow [m³/s] in one pipe of a network with loops that carries `flow` in total.

    `ways` are (from, to, r) with losses r Q²; water enters at joint 0 and leaves at the last. With
    all losses quadratic the split does not depend on the total, so any head gives it.
    """
    last = int(max(way[1] for way in ways))
    lines = [Way((loss(*_WIDE),), SOURCE, 0)]
    lines += [Way((resistance(r * 1e6),), int(a), int(b)) for a, b, r in ways]
    lines.append(Way((loss(*_WIDE),), last, OUTLET))
    flows = line_flows(network_of(lines, level=10.0))
    return float(flows[which] / flows[0] * flow)
