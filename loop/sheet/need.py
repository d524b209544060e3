"""What the flow at a discharge says about the needs of the units behind it."""

import math

import numpy as np

from loop.check import CheckResult
from loop.check.strainer_fouling import SHARES, flows_when_blocked
from loop.curve import Array
from loop.hydraulics import Cases, solve_flows
from loop.hydraulics.network import SEA_OUT
from loop.parts import Strainer

# Shares of the pump's speed to solve at if there is no strainer to block; flow falls from first
# to last.
_SPEEDS = np.linspace(1.0, 0.2, 50)


def need_at(result: CheckResult, index: int) -> float | None:
    """Flow at a discharge when the first unit behind it falls to its need [m³/s].

    For units that share the discharge it exceeds the sum of their needs: as the strainer blocks,
    one runs short while another still has plenty. Infinite if a unit is already short; None if none
    ever is, or if a manifold sends only part of the units' water there.
    """
    network = result.point.network
    line = network.line_of[index]
    lines = {u.name: network.unit_line(u.name) for u in result.condensers}
    alone = sum(line.end == SEA_OUT for line in network.lines) == 1
    behind = [unit for unit in result.condensers if alone or lines[unit.name] == line]
    if not behind:
        return None
    if all(lines[unit.name] == line for unit in behind):
        return max(unit.needed_flow for unit in behind)
    if any(unit.flow < unit.needed_flow for unit in behind):
        return math.inf
    flows = _failing(result)
    falls = [_at(unit.needed_flow, flows[:, lines[unit.name]], flows[:, line]) for unit in behind]
    return max((flow for flow in falls if flow is not None), default=None)


def _failing(result: CheckResult) -> Array:
    """Flow of every line [m³/s] as the strainers block or, without one, as the pump slows."""
    network = result.point.network
    if any(isinstance(part, Strainer) for part in network.parts):
        return flows_when_blocked(result.point, SHARES)
    return solve_flows(network, Cases(speed=_SPEEDS)).line_flow


def _at(need: float, own: Array, shown: Array) -> float | None:
    """The flow `shown` when a unit's `own` first falls below its need; None if it never does."""
    short = np.flatnonzero(own < need)
    if not len(short):
        return None
    if short[0] == 0:
        return float(shown[0])
    before, after = short[0] - 1, short[0]
    share = (own[before] - need) / (own[before] - own[after])
    return float(shown[before] + share * (shown[after] - shown[before]))
