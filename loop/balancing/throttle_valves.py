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
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_adding, handle_angle
from loop.records import dataclass

# Angle [deg] below which a valve counts as open: it adds K 0.05, less than an open one has.
OPEN_ANGLE = 5.0


@dataclass(frozen=True)
class Knob:
    """A ball valve on a line, existing or possible.

    ``unit`` is the unit that it is set for, and ``need`` [m³/s] that unit's need ("" and 0 on a
    bypass); ``branch`` and ``line`` its location; ``part`` its index among the parts of the rigged
    network; ``bore`` [m] that of its port, to which K refers; ``own`` its K when open; ``now`` its
    present handle angle [deg], None if it is still to be fitted.
    """

    unit: str
    need: float
    branch: str
    line: int
    part: int
    bore: float
    own: float
    now: float | None

    @property
    def least(self) -> float:
        """The smallest K possible here: an open valve's, or 0 with none fitted."""
        return 0.0 if self.now is None else self.own

    @property
    def present(self) -> float:
        """Present K."""
        return 0.0 if self.now is None else self.own + added_coefficient(self.now)

    def factor(self, coefficient: Array | float) -> Array | float:
        """Factor on the loss of the part in the rigged network that gives this K."""
        return coefficient / (self.own if self.now is None else self.present)


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
class Rig:
    """A network with the throttle valves that it has or could be given.

    Parts and lines keep their indices in the network; valves that could be fitted follow the parts.
    """

    network: Network
    knobs: tuple[Knob, ...]

    def loss(self, coefficients: Array) -> Array:
        """Factor on each part's loss, shape (parts,), for these K of the valves."""
        factors = np.ones(len(self.network.parts))
        for knob, coefficient in zip(self.knobs, coefficients, strict=True):
            factors[knob.part] = knob.factor(float(coefficient))
        return factors

    def set_to(self, coefficients: Array) -> Network:
        """The network with the valves at these K; a valve with K 0 is left out."""
        parts, lines = list(self.network.parts), list(self.network.lines)
        for knob, coefficient in zip(self.knobs, coefficients.tolist(), strict=True):
            valve = parts[knob.part]
            moved = coefficient * (valve.inner_bore / knob.bore) ** 4
            parts[knob.part] = Fitting.model_construct(bore=valve.inner_bore, k=moved)
            if coefficient == 0:
                line = lines[knob.line]
                left = tuple(i for i in line.parts if i != knob.part)
                lines[knob.line] = replace(line, parts=left)
        return replace(self.network, parts=tuple(parts), lines=tuple(lines))

    def line_coefficients(self, flows: Array) -> Array:
        """K of the rest of each valve's line at these flows, on the valve's bore, (knobs,)."""
        network = self.network
        found = []
        for knob, flow in zip(self.knobs, flows.tolist(), strict=True):
            others = [i for i in network.lines[knob.line].parts if i != knob.part]
            lost = sum(network.head_loss(i, flow) for i in others if not network.parts[i].shut)
            found.append(lost / velocity_head(flow, knob.bore))
        return np.array(found)

    def throttles(self, coefficients: Array, line_flow: Array) -> tuple[Throttle, ...]:
        """The valves to set for these K, without those that are set so already."""
        return tuple(
            Throttle(
                unit=knob.unit,
                branch=knob.branch,
                coefficient=max(float(k) - knob.own, 0.0),
                bore=knob.bore,
                angle=float(round(angle_adding(float(k) - knob.own))),
                flow=float(line_flow[knob.line]),
                part=None if knob.now is None else knob.part,
                was=knob.now or 0.0,
            )
            for knob, k in zip(self.knobs, coefficients, strict=True)
            if abs(float(k) - knob.present) > 1e-9 * knob.own
        )


def rig(network: Network, sites: Iterable[tuple[str, float, int]]) -> Rig:
    """The network with a valve on the line of each site, the existing one if there is one.

    A site is the unit's name ("" on a bypass), its need [m³/s], and the part next to which a valve
    would be fitted.
    """
    parts, lines = list(network.parts), list(network.lines)
    fitted: list[int] = []
    knobs = []
    for unit, need, beside in sites:
        line = network.line_of[beside]
        index = valve_on(network, line)
        now = None if index is None else handle_angle(_seacock(parts[index]).open)
        if index is None:
            index = len(parts)
            parts.append(Seacock(bore=network.parts[beside].inner_bore))
            lines[line] = replace(lines[line], parts=(*lines[line].parts, index))
            fitted.append(beside)
        valve = _seacock(parts[index])
        port = min(valve.port or valve.inner_bore, valve.inner_bore)
        # The K of an open valve does not vary with flow; it refers to the larger bore.
        whole = valve.model_copy(update={"open": 1.0}).loss_coefficient(need, network.water)
        own = whole * (port / valve.inner_bore) ** 4
        knobs.append(Knob(unit, need, network.branches[beside], line, index, port, own, now))
    return Rig(_with_parts(network, parts, lines, fitted), tuple(knobs))


def _with_parts(
    network: Network, parts: list[Part], lines: list[Line], fitted: list[int]
) -> Network:
    more = len(fitted)
    return replace(
        network,
        parts=tuple(parts),
        lines=tuple(lines),
        places=network.places + ("",) * more,
        labels=network.labels + ("",) * more,
        steps=network.steps + (0.0,) * more,
        branches=network.branches + tuple(network.branches[i] for i in fitted),
        heights=network.heights + tuple(network.heights[i] for i in fitted),
        line_of=network.line_of + tuple(network.line_of[i] for i in fitted),
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


def whole(knob: Knob, coefficient: float, up: bool = False) -> float:
    """K of the valve with its handle at the nearest whole degree (the next one with `up`).

    A valve within a degree of its present angle is left there; one that would add almost nothing
    stays open, or is not fitted.
    """
    angle = angle_adding(coefficient - knob.own)
    if knob.now is not None and abs(angle - knob.now) < (1e-6 if up else 1.0):
        return knob.present
    turned = math.ceil(angle - 1e-6) if up else round(angle)
    if turned >= SHUT_ANGLE:
        return coefficient
    if turned < OPEN_ANGLE and not up:
        return knob.least
    return knob.own + added_coefficient(turned)
