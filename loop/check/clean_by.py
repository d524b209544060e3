"""Flows as a strainer blocks, and how far it may before a unit falls to its need."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Flows, OperatingPoint, solve_flows
from loop.parts import Strainer

# Shares of the basket at which the flow is asked, to find where it falls to the need.
SHARES = np.linspace(0.0, 0.98, 50)
# Shares between two of the table that are solved for: the nearest of them is within a thousandth
# of the need even where the last of the table's flows falls steeply.
_BETWEEN = 17


def shares_at_need(
    point: OperatingPoint, units: Sequence[tuple[int, float]], shares: Array, flows: Array
) -> list[float]:
    """Share blocked at which each unit's falling flow reaches its need; NaN where it never does.

    Parameters
    ----------
    point : OperatingPoint
    units : sequence of (line, need)
        Line of each unit, and the flow that it needs [m³/s].
    shares : array, shape (n,)
        Shares blocked, rising.
    flows : array, shape (n, lines)
        Flows at those shares [m³/s].

    Notes
    -----
    Each unit's share is looked for in the table first, then among shares solved for between the
    two that hold it; a straight line through the table alone would be off by some percent.
    """
    first: list[int | None] = []
    for line, need in units:
        falls = flows[0, line] >= need >= flows[-1, line]
        first.append(int(np.argmax(flows[1:, line] <= need)) if falls else None)
    pieces = {i: np.linspace(shares[i], shares[i + 1], _BETWEEN) for i in first if i is not None}
    if not pieces:
        return [float("nan")] * len(units)
    finer = flows_when_blocked(point, np.concatenate(list(pieces.values())))
    solved = dict(zip(pieces, np.split(finer, len(pieces)), strict=True))
    return [
        float("nan") if i is None else float(np.interp(-need, -solved[i][:, line], pieces[i]))
        for i, (line, need) in zip(first, units, strict=True)
    ]


def flows_when_blocked(point: OperatingPoint, blocked: Array) -> Array:
    """Flow of every line [m³/s] with all strainers blocked by these shares, shape (n, lines)."""
    return solved_when_blocked(point, blocked).line_flow


def solved_when_blocked(point: OperatingPoint, blocked: Array) -> Flows:
    """The loop with all strainers blocked by these shares, a case a share."""
    # A line that runs full at the clean flow may drain as the flow falls: each share as it starts.
    network = point.network.varied(air=None)
    loss = np.ones((len(blocked), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            loss[:, index] = part.blocked_factor(blocked)
    return solve_flows(network, Cases(loss=loss), start=point.line_flow)
