"""Where a loop can be throttled by hand: ball valves that branches have, or could be given."""

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics import Network
from loop.hydraulics.network import Line
from loop.parts import Fitting, Part, Seacock
from loop.parts.friction import velocity_head
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_for, handle_angle
from loop.records import dataclass

# Angle [deg] below which a valve counts as open: it adds K 0.05, less than an open one has.
OPEN_ANGLE = 5.0


@dataclass(frozen=True)
class ThrottleValve:
    """A ball valve on a line, existing or possible.

    ``unit`` is the unit that it is set for, and ``need`` [m³/s] that unit's need ("" and 0 on a
    bypass); ``branch`` and ``line`` its location; ``part`` its index among the parts of the
    throttled network; ``bore`` [m] that of its port, to which K refers; ``open_k`` its K when open;
    ``angle`` its present handle angle [deg], None if it is still to be fitted.
    """

    unit: str
    need: float
    branch: str
    line: int
    part: int
    bore: float
    open_k: float
    angle: float | None

    @property
    def least_k(self) -> float:
        """The smallest K possible here: an open valve's, or 0 with none fitted."""
        return 0.0 if self.angle is None else self.open_k

    @property
    def present_k(self) -> float:
        """Present K."""
        return 0.0 if self.angle is None else self.open_k + added_coefficient(self.angle)

    def factor(self, coefficient: Array | float) -> Array | float:
        """Factor on the loss of the part in the throttled network that gives this K."""
        return coefficient / (self.open_k if self.angle is None else self.present_k)


@dataclass(frozen=True)
class Throttle:
    """A valve to set: on whose branch, K to add on `bore` [m], handle angle [deg].

    The angle is measured from fully open, in whole degrees, since no hand sets it finer; `flow`
    [m³/s] is the resulting flow of its line. `part` is the index of an existing valve, and `was`
    its present angle; None and 0 where one is to be fitted. For a K beyond the range of a ball
    valve, the angle is that at which one shuts. `unit` is "" on a bypass.
    """

    unit: str
    branch: str
    coefficient: float
    bore: float
    angle: float
    flow: float
    part: int | None
    was: float

    @property
    def opens(self) -> bool:
        """Whether it lets through more water than now."""
        return self.part is not None and self.angle < self.was


@dataclass(frozen=True)
class ThrottledNetwork:
    """A network with the throttle valves that it has or could be given.

    Parts and lines keep their indices in the network; valves that could be fitted follow the parts.
    """

    network: Network
    valves: tuple[ThrottleValve, ...]

    def loss_factors(self, coefficients: Array) -> Array:
        """Factor on each part's loss, shape (parts,), for these K of the valves."""
        factors = np.ones(len(self.network.parts))
        for valve, coefficient in zip(self.valves, coefficients, strict=True):
            factors[valve.part] = valve.factor(float(coefficient))
        return factors

    def with_settings(self, coefficients: Array) -> Network:
        """The network with the valves at these K; a valve with K 0 is left out."""
        parts, lines = list(self.network.parts), list(self.network.lines)
        for valve, coefficient in zip(self.valves, coefficients.tolist(), strict=True):
            part = parts[valve.part]
            k = coefficient * (part.inner_bore / valve.bore) ** 4
            parts[valve.part] = Fitting.model_construct(bore=part.inner_bore, k=k)
            if coefficient == 0:
                line = lines[valve.line]
                remaining = tuple(i for i in line.parts if i != valve.part)
                lines[valve.line] = replace(line, parts=remaining)
        return replace(self.network, parts=tuple(parts), lines=tuple(lines))

    def line_coefficients(self, flows: Array) -> Array:
        """K of the rest of each valve's line at these flows, on the valve's bore, (valves,)."""
        network = self.network
        coefficients = []
        for valve, flow in zip(self.valves, flows.tolist(), strict=True):
            others = [i for i in network.lines[valve.line].parts if i != valve.part]
            head = sum(network.head_loss(i, flow) for i in others if not network.parts[i].shut)
            coefficients.append(head / velocity_head(flow, valve.bore))
        return np.array(coefficients)

    def throttles(self, coefficients: Array, line_flow: Array) -> tuple[Throttle, ...]:
        """The valves to set for these K, without those that are set so already."""
        return tuple(
            Throttle(
                unit=valve.unit,
                branch=valve.branch,
                coefficient=max(float(k) - valve.open_k, 0.0),
                bore=valve.bore,
                angle=float(round(angle_for(float(k) - valve.open_k))),
                flow=float(line_flow[valve.line]),
                part=None if valve.angle is None else valve.part,
                was=valve.angle or 0.0,
            )
            for valve, k in zip(self.valves, coefficients, strict=True)
            if abs(float(k) - valve.present_k) > 1e-9 * valve.open_k
        )


def with_valves(network: Network, sites: Iterable[tuple[str, float, int]]) -> ThrottledNetwork:
    """The network with a valve on the line of each site, the existing one if there is one.

    A site is the unit's name ("" on a bypass), its need [m³/s], and the part next to which a valve
    would be fitted.
    """
    parts, lines = list(network.parts), list(network.lines)
    neighbors: list[int] = []
    valves = []
    for unit, need, neighbor in sites:
        line = network.line_of[neighbor]
        index = valve_on(network, line)
        angle = None if index is None else handle_angle(_seacock(parts[index]).open)
        if index is None:
            index = len(parts)
            parts.append(Seacock(bore=network.parts[neighbor].inner_bore))
            lines[line] = replace(lines[line], parts=(*lines[line].parts, index))
            neighbors.append(neighbor)
        seacock = _seacock(parts[index])
        port = seacock.clear_port
        # The K of an open valve does not vary with flow; it refers to the larger bore.
        inner_k = seacock.model_copy(update={"open": 1.0}).loss_coefficient(need, network.water)
        open_k = inner_k * (port / seacock.inner_bore) ** 4
        valves.append(
            ThrottleValve(unit, need, network.branches[neighbor], line, index, port, open_k, angle)
        )
    return ThrottledNetwork(_with_parts(network, parts, lines, neighbors), tuple(valves))


def _with_parts(
    network: Network, parts: list[Part], lines: list[Line], neighbors: list[int]
) -> Network:
    count = len(neighbors)
    return replace(
        network,
        parts=tuple(parts),
        lines=tuple(lines),
        places=network.places + ("",) * count,
        labels=network.labels + ("",) * count,
        steps=network.steps + (0.0,) * count,
        branches=network.branches + tuple(network.branches[i] for i in neighbors),
        heights=network.heights + tuple(network.heights[i] for i in neighbors),
        line_of=network.line_of + tuple(network.line_of[i] for i in neighbors),
    )


def _seacock(part: Part) -> Seacock:
    assert isinstance(part, Seacock)
    return part


def valve_on(network: Network, line: int) -> int | None:
    """The most nearly shut ball valve of a line, not a shut one, and only after the pump."""
    found = [
        i
        for i in network.lines[line].parts
        if i > network.pump_index
        and isinstance(network.parts[i], Seacock)
        and not network.parts[i].shut
    ]
    return min(found, key=lambda i: _seacock(network.parts[i]).open, default=None)


def whole_degree(valve: ThrottleValve, coefficient: float, up: bool = False) -> float:
    """K of the valve with its handle at the nearest whole degree (the next one with `up`).

    A valve within a degree of its present angle is left there; one that would add almost nothing
    stays open, or is not fitted.
    """
    angle = angle_for(coefficient - valve.open_k)
    if valve.angle is not None and abs(angle - valve.angle) < (1e-6 if up else 1.0):
        return valve.present_k
    degrees = math.ceil(angle - 1e-6) if up else round(angle)
    if degrees >= SHUT_ANGLE:
        return coefficient
    if degrees < OPEN_ANGLE and not up:
        return valve.least_k
    return valve.open_k + added_coefficient(degrees)
