"""Flows kept within limits by hand: the valves to part-close, in whole degrees."""

import math

import numpy as np

from loop.balancing.balance import TABLE_MARGIN
from loop.balancing.isolation import enclosing_branches
from loop.balancing.throttle_valves import (
    Throttle,
    ThrottledNetwork,
    whole_degree,
    with_valves,
)
from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.hydraulics.band import flow_band
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_for
from loop.records import dataclass

_MAX_ROUNDS = 30
# Rounds allowed without improvement.
_MAX_STALE = 4
# Tolerance on flow over limit.
_TOLERANCE = 2e-3
# Target flow over limit before handle angles are rounded.
_TARGET = 0.985
# Most single degrees by which handles are closed further where rounding left a flow over its limit.
_MAX_TURNS = 12
# K of orifices tried beyond a ball valve's range: least, most, number.
_ORIFICES = (added_coefficient(SHUT_ANGLE), 1e9, 60)


@dataclass(frozen=True)
class FlowLimit:
    """A line whose flow must not exceed `max_flow` [m³/s], and its branch."""

    line: int
    branch: str
    max_flow: float


@dataclass(frozen=True)
class LimitedFlows:
    """Valves to part-close, and the resulting flows.

    ``line_flow`` [m³/s] and ``line_low``, the low edge of its band, are those of every line, shape
    (lines,), with nothing else changed.
    """

    throttles: tuple[Throttle, ...]
    line_flow: Array
    line_low: Array


def throttle(network: Network, unit: str, flow: float) -> Throttle:
    """The valve on a unit's line that leaves it `flow` [m³/s] or slightly less.

    The valve exists or is to be fitted. Its angle is the smallest whole degree that is enough, and
    `Throttle.flow` the resulting flow. If the setting is too fine for a ball valve, the angle is
    that at which it shuts, and the K that of an orifice.
    """
    return _single_valve(with_valves(network, [(unit, flow, network.condenser_part(unit))]), flow)[
        0
    ]


def limit_pump_flow(network: Network, flow: float) -> LimitedFlows:
    """The valve after the pump that leaves it `flow` [m³/s] or slightly less; see `throttle`."""
    line = network.lines[network.pump_line].parts
    after = line[line.index(network.pump_index) + 1 :]
    throttled = with_valves(network, [("", flow, after[0] if after else network.pump_index)])
    valve, coefficients = _single_valve(throttled, flow)
    fitted = throttled.with_settings(coefficients)
    flows = solve_flows(fitted).line_flow[0]
    return LimitedFlows((valve,), flows, flow_band(fitted, flows)[0])


def _single_valve(throttled: ThrottledNetwork, flow: float) -> tuple[Throttle, Array]:
    """Setting of a network's only valve that leaves its line `flow` [m³/s], and its K."""
    (valve,) = throttled.valves
    # Start at the next whole degree; a calculated angle may be slightly below one.
    angles = np.arange(math.floor((valve.angle or 0.0) + 1e-6) + 1, SHUT_ANGLE)
    added = [*map(added_coefficient, angles.tolist()), *np.geomspace(*_ORIFICES)]
    settings = valve.open_k + np.array(added)[:, None]
    loss = np.stack([throttled.loss_factors(setting) for setting in settings])
    flows = solve_flows(throttled.network, Cases(loss=loss)).line_flow
    enough = np.flatnonzero(flows[:, valve.line] <= flow * (1 - TABLE_MARGIN))
    row = enough[0] if len(enough) else -1
    return throttled.throttles(settings[row], flows[row])[0], settings[row]


def limit_flows(
    network: Network,
    sites: list[tuple[str, float, int]],
    limits: list[FlowLimit],
    shut: Array | None = None,
    start: Array | None = None,
) -> LimitedFlows | None:
    """The valves at the sites that keep every line within its limit; None if none can.

    Parameters
    ----------
    network : Network
    sites : list
        Unit, need [m³/s] and the part next to the valve; see `with_valves`.
    limits : list of Limit
        A line over its limit is throttled by the valves of its own branch, or of those inside it.
    shut : array, shape (n, parts), optional
        Factors on the parts' losses in each case that must meet the limits; the network as it
        stands if omitted.
    start : array, shape (lines,), optional
        Flows near the solution, which balance at every joint.
    """
    return _limited(with_valves(network, sites), limits, shut, start)


def _limited(
    throttled: ThrottledNetwork,
    limits: list[FlowLimit],
    shut: Array | None,
    start: Array | None = None,
) -> LimitedFlows | None:
    search = _Search(throttled, limits, shut)
    settings = search.whole_degrees(search.continuous(start))
    if settings is None:
        return None
    network = throttled.with_settings(settings)
    flow = solve_flows(network, start=start).line_flow[0]
    return LimitedFlows(throttled.throttles(settings, flow), flow, flow_band(network, flow)[0])


class _Search:
    def __init__(
        self, throttled: ThrottledNetwork, limits: list[FlowLimit], shut: Array | None
    ) -> None:
        self.throttled = throttled
        network, valves = throttled.network, throttled.valves
        factors = np.ones((1, len(network.parts))) if shut is None else shut
        added = len(network.parts) - factors.shape[1]
        self.cases = np.pad(factors, ((0, 0), (0, added)), constant_values=1.0)
        self.lines = np.array([valve.line for valve in valves], dtype=np.intp)
        self.least_k = np.array([valve.present_k for valve in valves])
        self.limited = np.array([limit.line for limit in limits], dtype=np.intp)
        self.max_flow = np.array([limit.max_flow for limit in limits])
        # Which limits each valve can keep, shape (limits, valves).
        can_limit = [
            [limit.branch in enclosing_branches(valve.branch) for valve in valves]
            for limit in limits
        ]
        self.can_limit = np.array(can_limit, dtype=bool).reshape(len(limits), len(valves))

    def flows(self, coefficients: Array, start: Array | None) -> Array:
        loss = self.cases * self.throttled.loss_factors(coefficients)
        return solve_flows(self.throttled.network, Cases(loss=loss), start=start).line_flow

    def ratios(self, flows: Array) -> Array:
        """Highest flow over each limit in any case, shape (limits,)."""
        return np.asarray(flows[:, self.limited].max(axis=0) / self.max_flow)

    def worst_ratios(self, flows: Array) -> Array:
        """Highest flow over limit among those that each valve can keep, shape (valves,)."""
        ratios = self.ratios(flows)[:, None]
        return np.asarray(np.max(np.where(self.can_limit, ratios, 0.0), axis=0, initial=0.0))

    def continuous(self, start: Array | None) -> Array:
        """K that just meet the limits, none below its present value; else the closest found."""
        coefficients, flows = self.least_k, start
        least, stale = np.inf, 0
        for _ in range(_MAX_ROUNDS):
            flows = self.flows(coefficients, flows)
            ratios = self.worst_ratios(flows) / _TARGET
            on_line = flows[:, self.lines].max(axis=0)
            acting = (coefficients > self.least_k) | (ratios > 1)
            error = float(np.max(np.where(acting, np.abs(ratios - 1), 0.0), initial=0.0))
            least, stale = (error, 0) if error < 0.98 * least else (least, stale + 1)
            if error < _TOLERANCE or stale > _MAX_STALE:
                break
            line_k = self.throttled.line_coefficients(np.maximum(on_line, 1e-9))
            factor = np.clip(ratios, 0.5, 3.0) ** 2
            stepped = np.maximum(factor * (line_k + coefficients) - line_k, self.least_k)
            coefficients = np.where(on_line > 0, stepped, coefficients)
        return coefficients

    def whole_degrees(self, coefficients: Array) -> Array | None:
        """K at whole-degree handle angles that also meet the limits."""
        settings = np.array(
            [
                k if k <= valve.present_k else whole_degree(valve, k, up=True)
                for valve, k in zip(self.throttled.valves, coefficients.tolist(), strict=True)
            ]
        )
        flows = None
        for _ in range(_MAX_TURNS):
            flows = self.flows(settings, flows)
            if np.all(self.ratios(flows) <= 1 - TABLE_MARGIN):
                return settings
            over_limit = self.worst_ratios(flows) > 1 - TABLE_MARGIN
            if not over_limit.any():
                return None  # only limits that no valve can keep are left
            settings = np.array(
                [
                    _one_degree_further(valve.open_k, k) if is_over else k
                    for valve, k, is_over in zip(
                        self.throttled.valves, settings.tolist(), over_limit, strict=True
                    )
                ]
            )
        return None


def _one_degree_further(open_k: float, coefficient: float) -> float:
    """K with the handle closed one degree further; for an orifice, an eighth more."""
    angle = round(angle_for(coefficient - open_k)) + 1
    return coefficient * 1.125 if angle >= SHUT_ANGLE else open_k + added_coefficient(angle)
