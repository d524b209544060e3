"""Search for even shares: throttle valves until every branch has the same share of its need."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.balancing.isolation import Unit
from loop.balancing.throttle_valves import Rig
from loop.curve import Array
from loop.hydraulics import Cases, Flows, solve_flows
from loop.records import dataclass

_ROUNDS = 40
# Shares that differ by less are nearly even: further changes are due to the speed.
_NEARLY = 0.1
# Limits of the step length relative to the square law.
_BOLDNESS = 0.2, 8.0
# Most restarts in which the legs turn out to hold other air than assumed.
_STATES = 3
# Tolerance on heads [m] during the search; shares are reported to 1e-4.
_WITHIN = 1e-7
# Rounds allowed without improvement: branches that only push water between them do not balance.
_PATIENCE = 8
# Tolerance on shares of the need, for the duty of a pump not yet chosen.
_CLOSE = 1e-4
# K at which a line counts as shut, a hundred times that of a ball valve just before it shuts: a
# unit without its share by then gets none from throttling the others.
_CLOSED = 1e6


@dataclass(frozen=True)
class _Tried:
    """K of the valves, pump speed relative to its own, and the resulting flows."""

    coefficients: Array
    speed: float
    flows: Flows


class Evening:
    """The search for even shares with a rig's first `count` valves, those of the units."""

    def __init__(self, rigged: Rig, units: list[Unit], count: int) -> None:
        self.rig, self.count = rigged, count
        line_of = rigged.network.line_of
        self.needs = tuple((line_of[index], need) for _, index, need in units)
        knobs = rigged.knobs[:count]
        self.need = np.array([knob.need for knob in knobs])
        self.lines = np.array([knob.line for knob in knobs], dtype=np.intp)
        self.floor = np.array([knob.least for knob in knobs])
        self.bore = np.array([knob.bore for knob in knobs])

    def even(
        self, coefficients: Array, others: Array, aim: float | None = None
    ) -> tuple[Flows, Array]:
        """Flows, and K of the valves, at even shares; `others` are the K of bypasses.

        With `aim`, the pump's speed is changed until the least-supplied unit has that share. The
        state of the legs is held during the search, which restarts if they then hold other air.
        """
        tried = _Tried(coefficients, 1.0, self.solve(coefficients, others))
        for _ in range(_STATES):
            held = tried.flows.air
            tried = self._evened(tried, others, aim)
            flows = self.solve(tried.coefficients, others, tried.speed, tried.flows)
            tried = replace(tried, flows=flows)
            if (flows.air == held).all():
                break
        return tried.flows, tried.coefficients

    def _evened(self, first: "_Tried", others: Array, aim: float | None) -> "_Tried":
        """The most even of some rounds from a start, with the legs' air held."""
        now, kept, eager = first, first, 0.6
        last = self.least(now.flows.line_flow[0])
        least_error, stale = np.inf, 0
        boldness, before, change = 1.0, None, 1.0
        lost = Rig(self.rig.network, self.rig.knobs[: self.count]).line_coefficients(self.need)
        for _ in range(_ROUNDS):
            share = now.flows.line_flow[0, self.lines] / self.need
            least = self.least(now.flows.line_flow[0])
            if not now.flows.settled[0]:
                break  # valves too nearly shut for the flows to converge: no balance is near
            uneven = share.max() / max(share.min(), 1e-12) - 1
            error = uneven if aim is None else max(uneven, abs(least / aim - 1))
            stale += 1
            if error < least_error:
                kept, least_error, stale = now, error, 0
            hopeless = aim is None and now.coefficients.max() > _CLOSED and uneven > 1
            if error < _CLOSE or stale > _PATIENCE or hopeless:
                break
            over = self._over(share)
            # Where the pump's speed changes too, flows respond to both.
            boldness = _bolder(boldness, before, over) if aim is None else 1.0
            coefficients = self._more_even(boldness * over, now.coefficients, lost)
            before, speed = over, now.speed
            if aim is not None:
                # Flow rises with speed, and more steeply where part of the head is lift: take
                # smaller steps after each overshoot, and larger ones again if the last step, with
                # the shares nearly even, had less effect.
                if (least < aim) != (last < aim):
                    eager *= 0.5
                elif last > aim / 2 and uneven < _NEARLY:
                    answered = np.log(max(least, 1e-3) / last) / change
                    eager = float(min(1 / max(answered, 0.5), 2 * eager))
                last = max(least, 1e-3)
                faster = np.clip((aim / last) ** eager, 0.7, 1.5)
                change = float(np.log(faster)) or 1.0
                speed = float(np.clip(speed * faster, 0.05, 8.0))
            flows = self.solve(coefficients, others, speed, now.flows, now.flows.air, _WITHIN)
            now = _Tried(coefficients, speed, flows)
        return kept

    def _over(self, share: Array) -> Array:
        """Log of the factor by which each line's loss should change to make the shares even."""
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        return np.asarray(2 * np.log(np.clip(share / middle, 0.5, 2.0)))

    def _more_even(self, step: Array, coefficients: Array, lost: Array) -> Array:
        """K that bring the shares together, less the head that all branches could do without."""
        added = np.exp(step) * (lost + coefficients) - lost
        # The head of a K is in proportion to the square of the speed, which at even shares is in
        # proportion to the need.
        weight = (self.need / self.bore**2) ** 2
        spare = np.min((added - self.floor) * weight)
        return np.asarray(np.maximum(added - spare / weight, self.floor))

    def solve(
        self,
        coefficients: Array,
        others: Array,
        speed: float = 1.0,
        near: Flows | None = None,
        air: NDArray[np.bool_] | None = None,
        within: float = 1e-9,
    ) -> Flows:
        """Flows at these K, with this air in the legs if given."""
        loss = self.rig.loss(np.concatenate([coefficients, others]))
        cases = Cases(speed=np.array([speed]), loss=loss[None, :], air=air)
        start = None if near is None else near.line_flow
        return solve_flows(self.rig.network, cases, start=start, within=within)

    def least(self, line_flow: Array) -> float:
        """Least flow over need of any unit."""
        return least_share(line_flow, self.needs)


def _bolder(boldness: float, before: Array | None, over: Array) -> float:
    """Step length relative to the square law of friction: Aitken's rule.

    Where most of a line's head is lift, its flow responds to a valve less than the square law says.
    """
    change = None if before is None else before - over
    if before is None or change is None or not (size := float(change @ change)):
        return boldness
    return float(np.clip(boldness * (before @ change) / size, _BOLDNESS[0], _BOLDNESS[1]))


def least_share(line_flow: Array, needs: tuple[tuple[int, float], ...]) -> float:
    """Least flow over need of any of these lines with their needs [m³/s]."""
    return min(float(line_flow[line]) / need for line, need in needs)
