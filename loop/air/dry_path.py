"""Lines that run beside a branch that is still dry, and the head that they leave for it."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from loop.air.high_points import HighPoint
from loop.air.priming_head import Rises, rises_between, weakest_speed
from loop.balancing.throttle_valves import with_valves
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, solve_flows
from loop.hydraulics.line_profile import Profile
from loop.hydraulics.lines import LineLosses
from loop.parts.friction import ROUNDING, velocity_head
from loop.parts.seacock import SHUT_ANGLE, added_coefficient
from loop.records import dataclass

# Pump speeds tried to find one that fills the branch; then as many within the interval found.
_SPEED_MULTIPLES = np.linspace(1.0, 3.0, 21)
# Step of handle angle [deg] in the first search; the second is by single degrees.
_COARSE_STEP = 10


@dataclass(frozen=True)
class PrimingPath:
    """Priming data of a path: branch, parts, line, high points, head [m] that it needs alone."""

    branch: str
    parts: tuple[int, ...]
    line: Profile
    high_points: tuple[HighPoint, ...]
    head: float


@dataclass(frozen=True)
class DryPath:
    """A path whose lines from a joint on are dry, beside lines that run.

    ``network`` has the dry lines shut. ``before`` are the path's lines up to the joint, ``dry`` the
    dry ones, ``after`` those beyond the joint where it returns, empty if it ends overboard;
    ``takeoffs`` the running lines that turn off before it. ``span`` gives the positions of the dry
    stretch on the path's line.
    """

    network: Network
    path: PrimingPath
    before: tuple[int, ...]
    dry: tuple[int, ...]
    after: tuple[int, ...]
    takeoffs: tuple[int, ...]
    span: tuple[int, int]

    def rises(self, end: float) -> Rises:
        """The rises of the dry stretch, with water standing at `end` [m] at its far end."""
        return rises_between(self.path.line, self.path.high_points, self.span, end)

    def heads(self, speed: Array) -> tuple[Array, Array]:
        """Head [m] at the joint and at the end of the stretch, at these pump speeds, shape (n,)."""
        cases = Cases(speed=speed)
        return self.heads_at(self.network, cases, solve_flows(self.network, cases).line_flow)

    def heads_at(self, network: Network, cases: Cases, flows: Array) -> tuple[Array, Array]:
        """The same at given flows.

        A dry branch gets the header's head less its tee's loss; where it returns, the head includes
        the effect of its tee there. ``network`` is this one, or one with valves fitted to its
        lines.
        """
        losses = LineLosses(network, cases, exact=False)
        leaving, returning = losses.tees_by_side(flows)
        losses_by_line = losses.lines(flows)[0] + leaving + returning
        head_left = network.start_head - losses_by_line[:, list(self.before)].sum(axis=1)
        head_left = head_left - leaving[:, self.dry[0]]
        if not self.after:
            return head_left, np.zeros(len(flows))
        outlet = network.lines[self.after[-1]].outlet_head
        end = outlet + losses_by_line[:, list(self.after)].sum(axis=1)
        return head_left, end + returning[:, self.dry[-1]]

    def primes_at_point(self, line_flow: Array) -> bool:
        """Whether the branch would fill on the header's head with every branch running.

        Shutting lines leaves at least that head at the header, and at most that head at the end,
        except for the tee, which takes at most the header's velocity head from standing water.
        """
        speed = weakest_speeds(self.network)
        if speed[0] < 1:
            return False
        head_left, end = self.heads_at(self.network, Cases(speed=speed), line_flow[None, :])
        fork = next(f for f in self.network.forks if self.dry[0] in f.first)
        arriving = float(line_flow[self.before[-1]])
        tee = velocity_head(arriving, fork.header_bore) if arriving > 0 else 0.0
        return self.rises(float(end[0])).head <= float(head_left[0]) - tee

    def angle(self) -> int:
        """Handle angle [deg] from open of the others' valves at which the branch fills."""
        network, tried = self.network, [*range(1, int(SHUT_ANGLE))]
        sites = [("", 0.0, network.lines[i].parts[0]) for i in self.takeoffs]
        throttled = with_valves(network, sites)
        open_k = np.array([valve.open_k for valve in throttled.valves])
        present_k = np.array([valve.present_k for valve in throttled.valves])
        found = int(SHUT_ANGLE)
        for step in (_COARSE_STEP, 1):
            # Counted back from the largest angle, so that it is included.
            angles = tried[::-1][::step][::-1]
            # A valve already closed further stays.
            settings = (np.maximum(open_k + added_coefficient(a), present_k) for a in angles)
            loss = np.stack([throttled.loss_factors(setting) for setting in settings])
            cases = Cases(speed=weakest_speeds(network), loss=loss)
            flows = solve_flows(throttled.network, cases)
            row = self._first_primed(throttled.network, cases, flows)
            if row is None:
                break
            found = angles[row]
            tried = [a for a in tried if found - _COARSE_STEP < a <= found]
        return found

    def _first_primed(self, network: Network, cases: Cases, flows: Flows) -> int | None:
        """Index of the first case in which the branch fills."""
        heads = zip(*self.heads_at(network, cases, flows.line_flow), strict=True)
        fill = (self.rises(float(end)).head <= head_left + ROUNDING for head_left, end in heads)
        return next((row for row, fills in enumerate(fill) if fills), None)

    def pump(self) -> tuple[float, float] | None:
        """Head [m] and flow [m³/s] of the pump at the first speed at which the branch fills."""
        found, tried = None, _SPEED_MULTIPLES
        for refine in (True, False):
            cases = Cases(speed=weakest_speeds(self.network, tried))
            flows = solve_flows(self.network, cases)
            row = self._first_primed(self.network, cases, flows)
            if row is None:
                break
            head, flow = flows.pump_head[row], flows.line_flow[row, self.network.pump_line]
            found = float(head), float(flow)
            if refine:
                tried = np.linspace(tried[max(row - 1, 0)], tried[row], len(tried))
        return found


def dry_path(network: Network, path: PrimingPath, running: set[int]) -> DryPath | None:
    """The path's first dry stretch beside running lines; None if it has none."""
    lines = list(dict.fromkeys(network.line_of[i] for i in path.parts))
    dry = [i for i, line in enumerate(lines) if line not in running]
    if not dry:
        return None
    first = last = dry[0]
    while last + 1 in dry:
        last += 1
    before, after = lines[:first], lines[last + 1 :]
    shut = tuple(
        line if number in running else replace(line, shut=True)
        for number, line in enumerate(network.lines)
    )
    parts = {i for line in lines[first : last + 1] for i in network.lines[line].parts}
    at = [i for i, point in enumerate(path.line.points) if point.part in parts]
    return DryPath(
        network=network.varied(lines=shut),
        path=path,
        before=tuple(before),
        dry=tuple(lines[first : last + 1]),
        after=tuple(after),
        takeoffs=tuple(_takeoffs(network, before, running - set(lines))),
        span=(at[0] - 1, at[-1]),
    )


def _takeoffs(network: Network, before: Sequence[int], others: set[int]) -> Iterator[int]:
    """Running lines that turn off the path before a joint and do not return before it."""
    joints = {network.lines[i].end for i in before}
    for fork in network.forks:
        if fork.split in joints and fork.join not in joints:
            yield from (line for line in fork.first if line in others)


def weakest_speeds(network: Network, multiples: Array | None = None) -> Array:
    """Pump speed at its weakest supply relative to the job's, alone or times `multiples`."""
    return np.asarray(weakest_speed(network) * (np.ones(1) if multiples is None else multiples))
