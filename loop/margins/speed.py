"""Limits on water speed in hoses and in condenser tubes."""

import math
from collections.abc import Iterator

import numpy as np

from loop.curve import Array
from loop.hydraulics import Network, OperatingPoint
from loop.parts import Condenser, Hose, Intake, Part, Seacock
from loop.parts.friction import velocity
from loop.records import dataclass

# Hose, common practice [m/s].
SUCTION_MAX, PRESSURE_MAX, HOSE_MIN = 1.5, 2.5, 0.6
# Condenser tube of 90/10 copper-nickel [m/s]: Copper Development Association, and Powell & Michels,
# CORROSION/2000 paper 627.
TUBE_MAX, TUBE_MIN = 2.5, 1.0


@dataclass(frozen=True)
class PartSpeed:
    """Speed in one part [m/s] and its limits.

    `better_bore` [m] is the bore at which a hose just meets the limit that it breaks; for a tube,
    its present bore.
    """

    index: int
    suction: bool
    tube: bool
    speed: float
    least: float
    most: float
    better_bore: float


def speed_limit(part: Part, suction: bool) -> float:
    """Speed limit [m/s]: in a unit's tube, or in hose, on the pump's suction or pressure side."""
    if isinstance(part, Condenser):
        return TUBE_MAX
    return SUCTION_MAX if suction else PRESSURE_MAX


def flow_limits(network: Network) -> Array:
    """Flow [m³/s] at which each part reaches its speed limit, (parts,); infinite if it has none."""
    limits = np.full(len(network.parts), math.inf)
    for index, part in enumerate(network.parts):
        limit = speed_limit(part, index < network.pump_index)
        if isinstance(part, Hose):
            limits[index] = limit / velocity(1.0, part.inner_bore)
        elif isinstance(part, Condenser) and (bore := part.clear_bore) is not None:
            limits[index] = limit * part.tubes / velocity(1.0, bore)
    return limits


def part_speeds(point: OperatingPoint) -> Iterator[PartSpeed]:
    """Speed in every hose, and every condenser of known tube bore, that has flow."""
    network = point.network
    for index, part in enumerate(network.parts):
        flow = float(point.line_flow[network.line_of[index]])
        if flow <= 0:
            continue
        suction = index < network.pump_index
        if isinstance(part, Hose):
            limit = speed_limit(part, suction)
            speed = velocity(flow, part.inner_bore)
            yield PartSpeed(
                index, suction, False, speed, HOSE_MIN, limit, _bore_for(flow, speed, limit)
            )
        elif isinstance(part, Condenser) and (bore := part.clear_bore) is not None:
            speed = velocity(flow / part.tubes, bore)
            yield PartSpeed(index, False, True, speed, TUBE_MIN, TUBE_MAX, bore)


def inlet_speeds(point: OperatingPoint) -> Iterator[tuple[int, float]]:
    """Speed [m/s] in every through-hull and seacock before the pump that has flow.

    By part index. For a seacock of reduced port, the speed in the port; for a grate with less open
    area than the bore, the speed in its openings. The limit of hoses applies to them too.
    """
    network = point.network
    for index, part in enumerate(network.parts[: network.pump_index]):
        flow = float(point.line_flow[network.line_of[index]])
        if flow <= 0:
            continue
        if isinstance(part, Intake):
            yield index, max(velocity(flow, part.inner_bore), flow / part.grate_way)
        elif isinstance(part, Seacock):
            yield index, velocity(flow, part.clear_port)


def _bore_for(flow: float, speed: float, upper: float) -> float:
    """Bore [m] in which `flow` just meets the limit that it now breaks."""
    limit = upper if speed > upper else HOSE_MIN
    return math.sqrt(4 * flow / (math.pi * limit))
