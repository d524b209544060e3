"""Flow as a strainer blocks, and the blockage at which a unit falls to its need."""

from collections.abc import Sequence

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Flows, OperatingPoint, solve_flows
from loop.parts import Strainer

# Blocked shares of the basket at which flows are solved, to find where they fall to the need.
SHARES = np.linspace(0.0, 0.98, 50)
# Shares solved within one interval of that table: the nearest is within a thousandth of the need
# even where the flow falls steeply at the end of the table.
_REFINED = 17


def shares_at_need(
    point: OperatingPoint, units: Sequence[tuple[int, float]], shares: Array, flows: Array
) -> list[float]:
    """Blocked share at which each unit's falling flow reaches its need; NaN where it never does.

    Parameters
    ----------
    point : OperatingPoint
    units : sequence of (line, need)
        Line of each unit, and its required flow [m³/s].
    shares : array, shape (n,)
        Blocked shares, increasing.
    flows : array, shape (n, lines)
        Flows at those shares [m³/s].

    Notes
    -----
    Each unit's interval is found in the table, then refined with shares solved within it; linear
    interpolation in the table alone would be off by several percent.
    """
    first: list[int | None] = []
    for line, need in units:
        falls = flows[0, line] >= need >= flows[-1, line]
        first.append(int(np.argmax(flows[1:, line] <= need)) if falls else None)
    pieces = {i: np.linspace(shares[i], shares[i + 1], _REFINED) for i in first if i is not None}
    if not pieces:
        return [float("nan")] * len(units)
    between = np.concatenate(list(pieces.values()))
    near = np.stack([np.interp(between, shares, line) for line in flows.T], axis=1)
    finer = solved_when_blocked(point, between, near).line_flow
    solved = dict(zip(pieces, np.split(finer, len(pieces)), strict=True))
    return [
        float("nan") if i is None else float(np.interp(-need, -solved[i][:, line], pieces[i]))
        for i, (line, need) in zip(first, units, strict=True)
    ]


def flows_when_blocked(point: OperatingPoint, blocked: Array) -> Array:
    """Flow of each line [m³/s] with all strainers blocked by these shares, shape (n, lines)."""
    return solved_when_blocked(point, blocked).line_flow


def solved_when_blocked(point: OperatingPoint, blocked: Array, start: Array | None = None) -> Flows:
    """Solve the loop with all strainers blocked, one case per share, from `start` if given."""
    # A line that runs full when clean may drain as the flow falls: solve each share as it starts.
    network = point.network.varied(air=None)
    loss = np.ones((len(blocked), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            loss[:, index] = part.blocked_factor(blocked)
    near = point.line_flow if start is None else start
    return solve_flows(network, Cases(loss=loss), start=near)
