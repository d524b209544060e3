"""Search for equal shares: throttle valves until every branch has the same share of its need."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.balancing.isolation import OpenUnit
from loop.balancing.throttle_valves import ThrottledNetwork
from loop.curve import Array
from loop.hydraulics import Cases, Flows, solve_flows
from loop.records import dataclass

_MAX_ROUNDS = 40
# Shares that differ by less are nearly even: further changes are due to the speed.
_NEARLY_EQUAL = 0.1
# Limits of the step length relative to the square law.
_STEP_LIMITS = 0.2, 8.0
# Most restarts in which the legs turn out to hold other air than assumed.
_MAX_RESTARTS = 3
# Tolerance on heads [m] during the search; shares are reported to 1e-4.
_HEAD_TOLERANCE = 1e-7
# Rounds allowed without improvement: branches that only push water between them do not balance.
_MAX_STALE = 8
# Tolerance on shares of the need, for the duty of a pump not yet chosen.
_SHARE_TOLERANCE = 1e-4
# K at which a line counts as shut, a hundred times that of a ball valve just before it shuts: a
# unit without its share by then gets none from throttling the others.
_SHUT_K = 1e6


@dataclass(frozen=True)
class _Trial:
    """K of the valves, pump speed relative to its own, and the resulting flows."""

    coefficients: Array
    speed: float
    flows: Flows


class ShareEqualizer:
    """The search for equal shares with a network's first `count` valves, those of the units."""

    def __init__(self, throttled: ThrottledNetwork, units: list[OpenUnit], count: int) -> None:
        self.throttled = throttled
        self.unit_valves, self.bypass_valves = throttled.valves[:count], throttled.valves[count:]
        line_of = throttled.network.line_of
        self.needs = tuple((line_of[index], need) for _, index, need in units)
        valves = self.unit_valves
        self.need = np.array([valve.need for valve in valves])
        self.lines = np.array([valve.line for valve in valves], dtype=np.intp)
        self.min_k = np.array([valve.least_k for valve in valves])
        self.bore = np.array([valve.bore for valve in valves])

    def equalize(
        self, coefficients: Array, bypasses_k: Array, target: float | None = None
    ) -> tuple[Flows, Array]:
        """Flows, and K of the valves, at equal shares; `bypasses_k` are the K of bypasses.

        With `target`, the pump's speed is changed until the least-supplied unit has that share. The
        state of the legs is held during the search, which restarts if they then hold other air.
        """
        trial = _Trial(coefficients, 1.0, self.solve(coefficients, bypasses_k))
        for _ in range(_MAX_RESTARTS):
            air = trial.flows.air
            trial = self._equalize_in_state(trial, bypasses_k, target)
            flows = self.solve(trial.coefficients, bypasses_k, trial.speed, trial.flows)
            trial = replace(trial, flows=flows)
            if (flows.air == air).all():
                break
        return trial.flows, trial.coefficients

    def _equalize_in_state(
        self, start: "_Trial", bypasses_k: Array, target: float | None
    ) -> "_Trial":
        """The most even of some rounds from a start, with the legs' air held."""
        trial, best, exponent = start, start, 0.6
        last = self.min_share(trial.flows.line_flow[0])
        least_error, stale = np.inf, 0
        step_length, previous, change = 1.0, None, 1.0
        line_k = ThrottledNetwork(self.throttled.network, self.unit_valves).line_coefficients(
            self.need
        )
        for _ in range(_MAX_ROUNDS):
            share = trial.flows.line_flow[0, self.lines] / self.need
            least = self.min_share(trial.flows.line_flow[0])
            if not trial.flows.settled[0]:
                break  # valves too nearly shut for the flows to converge: no balance is near
            spread = share.max() / max(share.min(), 1e-12) - 1
            error = spread if target is None else max(spread, abs(least / target - 1))
            stale += 1
            if error < least_error:
                best, least_error, stale = trial, error, 0
            hopeless = target is None and trial.coefficients.max() > _SHUT_K and spread > 1
            if error < _SHARE_TOLERANCE or stale > _MAX_STALE or hopeless:
                break
            log_change = self._log_loss_change(share)
            # Where the pump's speed changes too, flows respond to both.
            step_length = _aitken_step(step_length, previous, log_change) if target is None else 1.0
            coefficients = self._stepped(step_length * log_change, trial.coefficients, line_k)
            previous, speed = log_change, trial.speed
            if target is not None:
                # Flow rises with speed, and more steeply where part of the head is lift: take
                # smaller steps after each overshoot, and larger ones again if the last step, with
                # the shares nearly even, had less effect.
                if (least < target) != (last < target):
                    exponent *= 0.5
                elif last > target / 2 and spread < _NEARLY_EQUAL:
                    response = np.log(max(least, 1e-3) / last) / change
                    exponent = float(min(1 / max(response, 0.5), 2 * exponent))
                last = max(least, 1e-3)
                speed_factor = np.clip((target / last) ** exponent, 0.7, 1.5)
                change = float(np.log(speed_factor)) or 1.0
                speed = float(np.clip(speed * speed_factor, 0.05, 8.0))
            flows = self.solve(
                coefficients, bypasses_k, speed, trial.flows, trial.flows.air, _HEAD_TOLERANCE
            )
            trial = _Trial(coefficients, speed, flows)
        return best

    def _log_loss_change(self, share: Array) -> Array:
        """Log of the factor by which each line's loss should change to make the shares even."""
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        return np.asarray(2 * np.log(np.clip(share / middle, 0.5, 2.0)))

    def _stepped(self, step: Array, coefficients: Array, line_k: Array) -> Array:
        """K that bring the shares together, less the head that all branches could do without."""
        added = np.exp(step) * (line_k + coefficients) - line_k
        # The head of a K is in proportion to the square of the speed, which at equal shares is in
        # proportion to the need.
        weight = (self.need / self.bore**2) ** 2
        spare = np.min((added - self.min_k) * weight)
        return np.asarray(np.maximum(added - spare / weight, self.min_k))

    def solve(
        self,
        coefficients: Array,
        bypasses_k: Array,
        speed: float = 1.0,
        guess: Flows | None = None,
        air: NDArray[np.bool_] | None = None,
        within: float = 1e-9,
    ) -> Flows:
        """Flows at these K, with this air in the legs if given."""
        loss = self.throttled.loss_factors(np.concatenate([coefficients, bypasses_k]))
        cases = Cases(speed=np.array([speed]), loss=loss[None, :], air=air)
        start = None if guess is None else guess.line_flow
        return solve_flows(self.throttled.network, cases, start=start, tolerance=within)

    def min_share(self, line_flow: Array) -> float:
        """Least flow over need of any unit."""
        return min_share(line_flow, self.needs)


def _aitken_step(step_length: float, previous: Array | None, log_change: Array) -> float:
    """Step length relative to the square law of friction: Aitken's rule.

    Where most of a line's head is lift, its flow responds to a valve less than the square law says.
    """
    change = None if previous is None else previous - log_change
    if previous is None or change is None or not (size := float(change @ change)):
        return step_length
    return float(
        np.clip(step_length * (previous @ change) / size, _STEP_LIMITS[0], _STEP_LIMITS[1])
    )


def min_share(line_flow: Array, needs: tuple[tuple[int, float], ...]) -> float:
    """Least flow over need of any of these lines with their needs [m³/s]."""
    return min(float(line_flow[line]) / need for line, need in needs)
