"""How fast the water may run: limits for hoses and for the condenser's tubes."""

import math
from collections.abc import Iterator

import numpy as np

from loop.curve import Array
from loop.hydraulics import Network, OperatingPoint
from loop.parts import Condenser, Hose, Intake, Part, Seacock
from loop.parts.friction import velocity
from loop.records import dataclass

# Hose, common practice [m/s].
SUCTION_MOST, PRESSURE_MOST, HOSE_LEAST = 1.5, 2.5, 0.6
# Condenser tube of 90/10 copper-nickel [m/s]: Copper Development Association, and Powell & Michels,
# CORROSION/2000 paper 627.
TUBE_MOST, TUBE_LEAST = 2.5, 1.0


@dataclass(frozen=True)
class PartSpeed:
    """Speed in one part [m/s] against its limits; `better_bore` [m] would bring it inside."""

    index: int
    suction: bool
    tube: bool
    speed: float
    least: float
    most: float
    better_bore: float


def most_speed(part: Part, suction: bool) -> float:
    """The limit [m/s] in a unit's tube, or else in hose, `suction` of the pump or after it."""
    if isinstance(part, Condenser):
        return TUBE_MOST
    return SUCTION_MOST if suction else PRESSURE_MOST


def speed_limits(network: Network) -> Array:
    """Flow [m³/s] at which each part is at its limit, (parts,); infinite where it has none."""
    limits = np.full(len(network.parts), math.inf)
    for index, part in enumerate(network.parts):
        most = most_speed(part, index < network.pump_index)
        if isinstance(part, Hose):
            limits[index] = most / velocity(1.0, part.inner_bore)
        elif isinstance(part, Condenser) and (bore := part.clear_bore) is not None:
            limits[index] = most * part.tubes / velocity(1.0, bore)
    return limits


def part_speeds(point: OperatingPoint) -> Iterator[PartSpeed]:
    """Speed in every hose and every condenser of known tube bore, where water flows."""
    network = point.network
    for index, part in enumerate(network.parts):
        flow = float(point.line_flow[network.line_of[index]])
        if flow <= 0:
            continue
        suction = index < network.pump_index
        if isinstance(part, Hose):
            most = most_speed(part, suction)
            speed = velocity(flow, part.inner_bore)
            yield PartSpeed(
                index, suction, False, speed, HOSE_LEAST, most, _bore_for(flow, speed, most)
            )
        elif isinstance(part, Condenser) and (bore := part.clear_bore) is not None:
            speed = velocity(flow / part.tubes, bore)
            yield PartSpeed(index, False, True, speed, TUBE_LEAST, TUBE_MOST, bore)


def inlet_speeds(point: OperatingPoint) -> Iterator[tuple[int, float]]:
    """Speed [m/s] in every through-hull and seacock before the pump, where water flows.

    By its number; of a seacock of reduced port, in the port, and of a grate that is less open than
    the bore, in its openings. A hose's limit is theirs too.
    """
    network = point.network
    for index, part in enumerate(network.parts[: network.pump_index]):
        flow = float(point.line_flow[network.line_of[index]])
        if flow <= 0:
            continue
        if isinstance(part, Intake):
            yield index, max(velocity(flow, part.inner_bore), flow / part.grate_way)
        elif isinstance(part, Seacock):
            yield index, velocity(flow, min(part.port or part.inner_bore, part.inner_bore))


def _bore_for(flow: float, speed: float, most: float) -> float:
    """Bore [m] in which `flow` runs at the limit that it now breaks."""
    limit = most if speed > most else HOSE_LEAST
    return math.sqrt(4 * flow / (math.pi * limit))
