"""The job as a network of lines and joints, its operating point, and the stations along it."""

from loop.hydraulics.band import flow_band
from loop.hydraulics.build import build
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows
from loop.hydraulics.installed_pump import InstalledPump, installed_pump
from loop.hydraulics.lines import shutoff_head
from loop.hydraulics.network import Fork, Line, Network
from loop.hydraulics.point import OperatingPoint, Station, operating_point, solve, stations
from loop.hydraulics.solver import best_flows, nominal_flows, solve_flows

__all__ = [
    "Cases",
    "Flows",
    "Fork",
    "InstalledPump",
    "Line",
    "Network",
    "OperatingPoint",
    "Station",
    "best_flows",
    "build",
    "flow_band",
    "installed_pump",
    "nominal_flows",
    "operating_point",
    "shutoff_head",
    "solve",
    "solve_flows",
    "stations",
]
