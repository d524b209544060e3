"""The job as lines and joints; its operating point; the stations along it."""

from loop.hydraulics.band import bore_factors, flow_band
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Fork, Line, Network, build
from loop.hydraulics.point import OperatingPoint, Station, solve, stations
from loop.hydraulics.solver import Flows, shutoff_head, solve_flows

__all__ = [
    "Cases",
    "Flows",
    "Fork",
    "Line",
    "Network",
    "OperatingPoint",
    "Station",
    "bore_factors",
    "build",
    "flow_band",
    "shutoff_head",
    "solve",
    "solve_flows",
    "stations",
]
