"""A branch that is still dry while others run: the head left for it and the head it needs.

Branches that prime on less head run first and take the pump's flow. The head at the header is then
no longer the shut-off head, but what remains with the dry branch's lines shut.
"""

from collections.abc import Sequence
from dataclasses import field

from loop.air.dry_path import DryPath, PrimingPath, dry_path, weakest_speeds
from loop.air.priming_head import Rises
from loop.balancing.throttle_valves import valve_on
from loop.curve import Array
from loop.hydraulics import Network, solve_flows
from loop.parts.friction import ROUNDING
from loop.records import dataclass


@dataclass(frozen=True)
class BranchPriming:
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
    _dry_path: DryPath = field(repr=False)

    @property
    def head(self) -> float:
        """Head [m] above the waterline that fills the branch."""
        return self.rises.head

    @property
    def primes(self) -> bool:
        """Whether the head left at the header is enough."""
        return self.head <= self.head_left + ROUNDING

    def angle(self) -> int:
        """Handle angle [deg] from open of the others' ball valves at which the branch fills.

        In whole degrees, the same for all; a valve already closed further stays as it is. If
        nothing less is enough, the angle at which a valve is shut.
        """
        return self._dry_path.angle()

    def pump(self) -> tuple[float, float] | None:
        """Head [m] and flow [m³/s] of a pump that fills the branch while the others run.

        None if three times the pump speed is not enough.
        """
        return self._dry_path.pump()


def branch_primings(
    network: Network, paths: Sequence[PrimingPath], line_flow: Array
) -> tuple[BranchPriming | None, ...]:
    """How each path primes beside those that prime on less head, in the order of `paths`.

    Parameters
    ----------
    line_flow : array, shape (lines,)
        Flows at the operating point [m³/s].

    Returns
    -------
    tuple of BranchPriming or None
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
    return tuple(_branch_priming(network, path, paths, line_flow) for path in paths)


def _branch_priming(
    network: Network, path: PrimingPath, paths: Sequence[PrimingPath], line_flow: Array
) -> BranchPriming | None:
    if _shut(network, path):
        return None
    easier = [
        other for other in paths if other.head < path.head - ROUNDING and not _shut(network, other)
    ]
    running = {network.line_of[i] for other in easier for i in other.parts}
    if not running:
        return None
    dry = dry_path(network, path, running)
    if dry is None or dry.primes_at_point(line_flow):
        return None
    head_left, end = dry.heads(weakest_speeds(network))
    return BranchPriming(
        others=tuple(network.lines[i].branch for i in dry.takeoffs),
        valves=tuple(valve_on(network, i) for i in dry.takeoffs),
        rises=dry.rises(end.item()),
        head_left=head_left.item(),
        _dry_path=dry,
    )


def _shut(network: Network, path: PrimingPath) -> bool:
    return any(network.parts[i].shut for i in path.parts)
