"""The curves that meet at the operating point: the pump's, and the head that the loop asks for."""

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, installed_pump, shutoff_head, solve_flows
from loop.hydraulics.network import SEA_OUT
from loop.parts import Strainer
from loop.records import dataclass


@dataclass(frozen=True)
class Curve:
    """A line of the figure: flow [m³/s] and head [m]."""

    flow: Array
    head: Array


def pump_curve(network: Network, along: float = 1.0, up: float = 1.0) -> Curve:
    """The pump's measured curve at its speed in the job, scaled along each axis."""
    pump = installed_pump(network, Cases(pump_flow=np.array([along]), pump_head=np.array([up])))
    flow = np.linspace(0.0, float(pump.last_flow[0]), 120)
    return Curve(flow, pump.head_at(flow)[0])


def static_lift(network: Network) -> float:
    """Head [m] that the loop asks for before anything flows: to its lowest way out."""
    return (
        min(line.outlet_head for line in network.lines if line.end == SEA_OUT) - network.start_head
    )


def system_curve(network: Network, loss: Array | None, top: float) -> Curve:
    """Head that the loop asks of its pump, from no flow up to a head of `top` [m].

    Head is added and taken away at the intake, and each answer of the solver is a point of the
    curve; so it holds for a network, whose flows share themselves out anew at each point. Empty
    where nothing can flow.
    """
    lift = static_lift(network)
    # Losses go nearly with the square of flow: heads spaced so give flows evenly spaced.
    asked = lift + max(top - lift, 0.1) * np.linspace(0.02, 1.0, 60) ** 2
    flow, head = _met(network, loss, asked)
    used = np.flatnonzero(flow > 0)
    if not len(used):
        return Curve(np.empty(0), np.empty(0))
    flow, head = flow[used], head[used]
    first = int(used[0])
    if first:
        # A leg that holds air asks for its fall before anything flows: looked for more closely.
        near = np.linspace(asked[first - 1], asked[first], 60, endpoint=False)
        more, heads = _met(network, loss, near)
        began = more > 0
        lift = float(near[~began][-1])
        flow, head = np.concatenate([more[began], flow]), np.concatenate([heads[began], head])
    return Curve(np.concatenate([[0.0], flow]), np.concatenate([[lift], head]))


def _met(network: Network, loss: Array | None, asked: Array) -> tuple[Array, Array]:
    """Flow through the pump and its head as these heads [m] are asked of the loop."""
    extra = asked - float(shutoff_head(network)[0])
    # A pump that is much too large is flat, so that the head asked for is nearly the head met.
    wide = np.array([50.0])
    answer = solve_flows(network, Cases(extra_head=extra, pump_flow=wide, loss=loss))
    return answer.line_flow[:, network.pump_line], answer.pump_head + extra


def strainer_factors(network: Network, blocked: float) -> Array | None:
    """Loss factors, shape (1, parts), with every strainer blocked so far; None without one."""
    factors = np.ones((1, len(network.parts)))
    found = False
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            found = True
            factors[0, index] = part.blocked_factor(blocked)
    return factors if found else None
