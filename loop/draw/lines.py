"""The curves that meet at the operating point: pump curve and system curve."""

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, installed_pump, shutoff_head, solve_flows
from loop.hydraulics.network import SEA_OUT
from loop.parts import Strainer
from loop.records import dataclass


@dataclass(frozen=True)
class Curve:
    """A curve of the figure: flow [m³/s] and head [m]."""

    flow: Array
    head: Array


def pump_curve(network: Network, along: float = 1.0, up: float = 1.0) -> Curve:
    """The pump's measured curve at its speed in the job, scaled along either axis."""
    pump = installed_pump(network, Cases(pump_flow=np.array([along]), pump_head=np.array([up])))
    flow = np.linspace(0.0, float(pump.last_flow[0]), 120)
    return Curve(flow, pump.head_at(flow)[0])


def static_lift(network: Network) -> float:
    """Static head of the loop [m]: to its lowest outlet."""
    return (
        min(line.outlet_head for line in network.lines if line.end == SEA_OUT) - network.start_head
    )


def system_curve(network: Network, loss: Array | None, top: float) -> Curve:
    """The system curve, from zero flow up to a head of `top` [m].

    Extra head at the intake is swept, and each solution is a point of the curve. This holds for a
    network too, whose flows redistribute at each point. Empty if nothing can flow.
    """
    lift = static_lift(network)
    # Losses vary about as flow squared, so heads spaced as squares give evenly spaced flows.
    asked = lift + max(top - lift, 0.1) * np.linspace(0.02, 1.0, 60) ** 2
    flow, head = _met(network, loss, asked)
    used = np.flatnonzero(flow > 0)
    if not len(used):
        return Curve(np.empty(0), np.empty(0))
    flow, head = flow[used], head[used]
    first = int(used[0])
    if first:
        # A leg that holds air takes its fall before anything flows; refine where flow starts.
        near = np.linspace(asked[first - 1], asked[first], 60, endpoint=False)
        more, heads = _met(network, loss, near)
        began = more > 0
        lift = float(near[~began][-1])
        flow, head = np.concatenate([more[began], flow]), np.concatenate([heads[began], head])
    return Curve(np.concatenate([[0.0], flow]), np.concatenate([[lift], head]))


def _met(network: Network, loss: Array | None, asked: Array) -> tuple[Array, Array]:
    """Flow through the pump, and its head, with these heads [m] imposed on the loop."""
    extra = asked - float(shutoff_head(network)[0])
    # Stretched 50 times along flow, the pump curve is flat, so the imposed head is nearly met.
    wide = np.array([50.0])
    answer = solve_flows(network, Cases(extra_head=extra, pump_flow=wide, loss=loss))
    return answer.line_flow[:, network.pump_line], answer.pump_head + extra


def strainer_factors(network: Network, blocked: float) -> Array | None:
    """Loss factors, shape (1, parts), each strainer blocked by this share; None without one."""
    factors = np.ones((1, len(network.parts)))
    found = False
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            found = True
            factors[0, index] = part.blocked_factor(blocked)
    return factors if found else None
