"""A branch that is still dry while others run: the head left for it and the head it needs.

Branches that prime on less head run first and take the pump's flow. The head at the header is then
no longer the shut-off head, but what remains with the dry branch's lines shut.
"""

from collections.abc import Sequence
from dataclasses import field

from loop.air.head_left import Beside, Starting, beside, speeds
from loop.air.priming_head import Rises
from loop.balancing.throttle_valves import valve_on
from loop.curve import Array
from loop.hydraulics import Network, solve_flows
from loop.parts.friction import ROUNDING
from loop.records import dataclass


@dataclass(frozen=True)
class Filling:
    """How a branch primes while those that prime on less head already run.

    ``others`` are the branches whose valves could raise the head at the header: those that turn off
    on the path to it. ``valves`` are the part indices of their ball valves, None for a branch
    without one. ``head`` [m] fills the branch, with `Rises` counted from the header on (and, where
    it rejoins, against the pressure of the flowing water there); ``head_left`` [m] is the head at
    the header.
    """

    others: tuple[str, ...]
    valves: tuple[int | None, ...]
    rises: Rises
    head_left: float
    _beside: Beside = field(repr=False)

    @property
    def head(self) -> float:
        """Head [m] above the waterline that fills the branch."""
        return self.rises.head

    @property
    def fills(self) -> bool:
        """Whether the head left at the header is enough."""
        return self.head <= self.head_left + ROUNDING

    def angle(self) -> int:
        """Handle angle [deg] from open of the others' ball valves at which the branch fills.

        In whole degrees, the same for all; a valve already closed further stays as it is. If
        nothing less is enough, the angle at which a valve is shut.
        """
        return self._beside.angle()

    def pump(self) -> tuple[float, float] | None:
        """Head [m] and flow [m³/s] of a pump that fills the branch while the others run.

        None if three times the pump speed is not enough.
        """
        return self._beside.pump()


def fillings(
    network: Network, ways: Sequence[Starting], line_flow: Array
) -> tuple[Filling | None, ...]:
    """How each path primes beside those that prime on less head, in the order of `ways`.

    Parameters
    ----------
    line_flow : array, shape (lines,)
        Flows at the operating point [m³/s].

    Returns
    -------
    tuple of Filling or None
        None for a path beside which nothing runs yet, one that is shut, and one that fills even on
        the head at the header with every branch running, which is less.

    Notes
    -----
    The worst order is assumed: every path that primes on less head runs full, with its siphons.
    Paths that need the same head or more are still dry. On the path that fills, no fall beyond a
    high point helps.
    """
    if any(network.air or ()):
        network = network.full
        line_flow = solve_flows(network, start=line_flow).line_flow[0]
    return tuple(_filling(network, way, ways, line_flow) for way in ways)


def _filling(
    network: Network, way: Starting, ways: Sequence[Starting], line_flow: Array
) -> Filling | None:
    if _shut(network, way):
        return None
    lower = [w for w in ways if w.head < way.head - ROUNDING and not _shut(network, w)]
    running = {network.line_of[i] for other in lower for i in other.parts}
    if not running:
        return None
    found = beside(network, way, running)
    if found is None or found.fills_at_point(line_flow):
        return None
    left, end = found.heads(speeds(network))
    return Filling(
        others=tuple(network.lines[i].branch for i in found.taking),
        valves=tuple(valve_on(network, i) for i in found.taking),
        rises=found.rises(end.item()),
        head_left=left.item(),
        _beside=found,
    )


def _shut(network: Network, way: Starting) -> bool:
    return any(network.parts[i].shut for i in way.parts)
