"""The job as lines and joints; its operating point; the stations along it."""

from loop.hydraulics.band import bore_factors, flow_band
from loop.hydraulics.build import build
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows
from loop.hydraulics.lines import shutoff_head
from loop.hydraulics.network import Fork, Line, Network
from loop.hydraulics.point import OperatingPoint, Station, solve, stations
from loop.hydraulics.solver import best_flows, solve_flows

__all__ = [
    "Cases",
    "Flows",
    "Fork",
    "Line",
    "Network",
    "OperatingPoint",
    "Station",
    "best_flows",
    "bore_factors",
    "build",
    "flow_band",
    "shutoff_head",
    "solve",
    "solve_flows",
    "stations",
]
