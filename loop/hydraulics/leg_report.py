"""State of each falling leg at an operating point: full, with air, or either; and why."""

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from loop.curve import Array
from loop.hydraulics.flow_paths import open_lines
from loop.hydraulics.grade_line import films_at, friction
from loop.hydraulics.legs import Leg, Outlet, Section, Valve
from loop.hydraulics.network import Network
from loop.parts.friction import GRAVITY, velocity
from loop.records import dataclass

State = Literal["full", "air", "either"]
# Why a leg is in its state. swept: at start-up the water sweeps the air out; pressure: its friction
# exceeds its fall, or its high point is under pressure; bleed: a bleed under pressure lets the air
# out; vent: a vented loop lets air in; cavity: even in a full leg the water is too slow to stop air
# from climbing it; filling: the water neither sweeps air out nor lets it back in, so that the state
# depends on how the loop was filled.
Reason = Literal["swept", "pressure", "bleed", "vent", "cavity", "filling"]


@dataclass(frozen=True)
class LegState:
    """A falling leg on the pressure side: from a high point to the next low point, or the outlet.

    ``from_part`` and ``to_part`` are positions in the file, ``along`` [m] the distance of the high
    point along the first (0: at its end), ``top`` and ``bottom`` heights [m]. ``froude`` is V/√(gD)
    at start-up where the leg is hardest to sweep, on a bore of ``bore`` [m] at ``slope`` [rad];
    ``extrapolated`` if that is steeper than was measured. Above ``clears[1]`` the air is swept out,
    below ``clears[0]`` it stays; at ``holds`` or below, air climbs a full leg from an outlet in
    air. ``head_taken`` [m] is the head lost to air at start-up. ``outlet`` is what the leg ends in,
    None at a low point; ``valve`` the valve at the high point, as in `Leg`.
    """

    from_part: str
    to_part: str
    branch: str
    along: float
    top: float
    bottom: float
    froude: float
    bore: float
    slope: float
    extrapolated: bool
    clears: tuple[float, float]
    holds: float
    head_taken: float
    outlet: Outlet | None
    valve: Valve | None
    state: State
    decides: Reason


def leg_below(legs: Sequence[LegState], place: str, top: float) -> LegState | None:
    """The leg that falls from this height [m] on the part at `place`; None if there is none."""
    fits = (leg for leg in legs if leg.from_part == place)
    return next((leg for leg in fits if math.isclose(leg.top, top, abs_tol=1e-6)), None)


@dataclass(frozen=True)
class _LegFlows:
    """Line flows, which sections hold air, and which of them lose head to it."""

    flows: Array
    air: Sequence[bool]
    loses: Sequence[bool]

    def froude(self, section: Section) -> float:
        flow = max(float(self.flows[section.line]), 0.0)
        return velocity(flow, section.bore) / float(np.sqrt(GRAVITY * section.bore))


def leg_states(
    start: Network, flows: Array, best: Network, best_flows: Array
) -> tuple[LegState, ...]:
    """Falling legs with their states in `start` and `best`, at the flows [m³/s] of each.

    Legs through which nothing can flow are left out.
    """
    first, second = _leg_flows(start, flows), _leg_flows(best, best_flows)
    is_open = open_lines(start)
    return tuple(_leg_state(start, leg, first, second) for leg in start.legs if is_open[leg.line])


def _leg_flows(network: Network, flows: Array) -> _LegFlows:
    films = films_at(network, flows)
    held = network.air or (False,) * len(network.sections)
    loses = [
        air and section.fall > 0 and (section.pieces[0] in films or flows[section.line] <= 0)
        for air, section in zip(held, network.sections, strict=True)
    ]
    return _LegFlows(flows, held, loses)


def _leg_state(network: Network, leg: Leg, start: _LegFlows, best: _LegFlows) -> LegState:
    sections = [network.sections[number] for number in leg.sections]
    hardest = min(sections, key=lambda section: start.froude(section) / section.clears[1])
    air, air_at_best = (any(answer.loses[i] for i in leg.sections) for answer in (start, best))
    state: State = "full" if not air else "air" if air_at_best else "either"
    return LegState(
        from_part=network.places[leg.from_part],
        to_part=network.places[leg.to_part],
        branch=leg.branch,
        along=leg.along,
        top=leg.top,
        bottom=leg.bottom,
        froude=start.froude(hardest),
        bore=hardest.bore,
        slope=hardest.slope,
        extrapolated=hardest.extrapolated,
        clears=hardest.clears,
        holds=hardest.holds,
        head_taken=_head_lost_to_air(network, leg, start),
        outlet=leg.outlet,
        valve=leg.valve,
        state=state,
        decides=_reason(leg, sections, state, start),
    )


def _reason(leg: Leg, sections: Sequence[Section], state: State, start: _LegFlows) -> Reason:
    if state == "either":
        return "filling"
    if state == "air":
        return "vent" if leg.valve == "vented loop" else "cavity"
    if any(start.air[number] for number in leg.sections):
        return "pressure"
    if all(start.froude(section) > section.clears[1] for section in sections):
        return "swept"
    return "bleed" if leg.valve == "bleed" else "pressure"


def _head_lost_to_air(network: Network, leg: Leg, start: _LegFlows) -> float:
    """Head [m] lost to air in a leg, beyond its friction."""
    lost = 0.0
    for number in leg.sections:
        section = network.sections[number]
        if start.loses[number]:
            flow = max(float(start.flows[section.line]), 0.0)
            lost += section.fall - (friction(network, section, flow) if flow else 0.0)
    return lost
