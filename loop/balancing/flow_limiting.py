"""Flows kept within limits by hand: the valves to part-close, in whole degrees."""

import math

import numpy as np

from loop.balancing.balance import ROOM
from loop.balancing.isolation import around
from loop.balancing.throttle_valves import Rig, Throttle, rig, whole
from loop.curve import Array
from loop.hydraulics import Cases, Network, solve_flows
from loop.hydraulics.band import flow_band
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, angle_adding
from loop.records import dataclass

_ROUNDS = 30
# Rounds allowed without improvement.
_PATIENCE = 4
# Tolerance on flow over limit.
_CLOSE = 2e-3
# Target flow over limit before handle angles are rounded.
_UNDER = 0.985
# Most single degrees by which handles are closed further where rounding left a flow over its limit.
_TURNS = 12
# K of orifices tried beyond a ball valve's range: least, most, number.
_ORIFICES = (added_coefficient(SHUT_ANGLE), 1e9, 60)


@dataclass(frozen=True)
class Limit:
    """A line whose flow must not exceed `most` [m³/s], and its branch."""

    line: int
    branch: str
    most: float


@dataclass(frozen=True)
class Held:
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
    return _alone(rig(network, [(unit, flow, network.condenser_part(unit))]), flow)[0]


def hold_back(network: Network, flow: float) -> Held:
    """The valve after the pump that leaves it `flow` [m³/s] or slightly less; see `throttle`."""
    line = network.lines[network.pump_line].parts
    after = line[line.index(network.pump_index) + 1 :]
    rigged = rig(network, [("", flow, after[0] if after else network.pump_index)])
    valve, coefficients = _alone(rigged, flow)
    fitted = rigged.set_to(coefficients)
    flows = solve_flows(fitted).line_flow[0]
    return Held((valve,), flows, flow_band(fitted, flows)[0])


def _alone(rigged: Rig, flow: float) -> tuple[Throttle, Array]:
    """Setting of a rig's only valve that leaves its line `flow` [m³/s], and its K."""
    (knob,) = rigged.knobs
    # Start at the next whole degree; a calculated angle may be slightly below one.
    angles = np.arange(math.floor((knob.now or 0.0) + 1e-6) + 1, SHUT_ANGLE)
    added = [*map(added_coefficient, angles.tolist()), *np.geomspace(*_ORIFICES)]
    ways = knob.own + np.array(added)[:, None]
    loss = np.stack([rigged.loss(way) for way in ways])
    flows = solve_flows(rigged.network, Cases(loss=loss)).line_flow
    enough = np.flatnonzero(flows[:, knob.line] <= flow * (1 - ROOM))
    row = enough[0] if len(enough) else -1
    return rigged.throttles(ways[row], flows[row])[0], ways[row]


def hold(
    network: Network,
    sites: list[tuple[str, float, int]],
    limits: list[Limit],
    shut: Array | None = None,
    start: Array | None = None,
) -> Held | None:
    """The valves at the sites that keep every line within its limit; None if none can.

    Parameters
    ----------
    network : Network
    sites : list
        Unit, need [m³/s] and the part next to the valve; see `rig`.
    limits : list of Limit
        A line over its limit is throttled by the valves of its own branch, or of those inside it.
    shut : array, shape (n, parts), optional
        Factors on the parts' losses in each case that must meet the limits; the network as it
        stands if omitted.
    start : array, shape (lines,), optional
        Flows near the solution, which balance at every joint.
    """
    return _held(rig(network, sites), limits, shut, start)


def _held(
    rigged: Rig, limits: list[Limit], shut: Array | None, start: Array | None = None
) -> Held | None:
    search = _Search(rigged, limits, shut)
    set_to = search.whole_degrees(search.continuous(start))
    if set_to is None:
        return None
    network = rigged.set_to(set_to)
    flow = solve_flows(network, start=start).line_flow[0]
    return Held(rigged.throttles(set_to, flow), flow, flow_band(network, flow)[0])


class _Search:
    def __init__(self, rigged: Rig, limits: list[Limit], shut: Array | None) -> None:
        self.rig = rigged
        network, knobs = rigged.network, rigged.knobs
        known = np.ones((1, len(network.parts))) if shut is None else shut
        more = len(network.parts) - known.shape[1]
        self.cases = np.pad(known, ((0, 0), (0, more)), constant_values=1.0)
        self.lines = np.array([knob.line for knob in knobs], dtype=np.intp)
        self.floor = np.array([knob.present for knob in knobs])
        self.limited = np.array([limit.line for limit in limits], dtype=np.intp)
        self.most = np.array([limit.most for limit in limits])
        # Which limits each valve can keep, shape (limits, knobs).
        can = [[limit.branch in around(knob.branch) for knob in knobs] for limit in limits]
        self.can = np.array(can, dtype=bool).reshape(len(limits), len(knobs))

    def flows(self, coefficients: Array, start: Array | None) -> Array:
        loss = self.cases * self.rig.loss(coefficients)
        return solve_flows(self.rig.network, Cases(loss=loss), start=start).line_flow

    def ratios(self, flows: Array) -> Array:
        """Highest flow over each limit in any case, shape (limits,)."""
        return np.asarray(flows[:, self.limited].max(axis=0) / self.most)

    def over(self, flows: Array) -> Array:
        """Highest flow over limit among those that each valve can keep, shape (knobs,)."""
        ratios = self.ratios(flows)[:, None]
        return np.asarray(np.max(np.where(self.can, ratios, 0.0), axis=0, initial=0.0))

    def continuous(self, start: Array | None) -> Array:
        """K that just meet the limits, none below its present value; else the closest found."""
        coefficients, flows = self.floor, start
        least, stale = np.inf, 0
        for _ in range(_ROUNDS):
            flows = self.flows(coefficients, flows)
            over = self.over(flows) / _UNDER
            on_line = flows[:, self.lines].max(axis=0)
            acting = (coefficients > self.floor) | (over > 1)
            error = float(np.max(np.where(acting, np.abs(over - 1), 0.0), initial=0.0))
            least, stale = (error, 0) if error < 0.98 * least else (least, stale + 1)
            if error < _CLOSE or stale > _PATIENCE:
                break
            lost = self.rig.line_coefficients(np.maximum(on_line, 1e-9))
            factor = np.clip(over, 0.5, 3.0) ** 2
            moved = np.maximum(factor * (lost + coefficients) - lost, self.floor)
            coefficients = np.where(on_line > 0, moved, coefficients)
        return coefficients

    def whole_degrees(self, coefficients: Array) -> Array | None:
        """K at whole-degree handle angles that also meet the limits."""
        set_to = np.array(
            [
                k if k <= knob.present else whole(knob, k, up=True)
                for knob, k in zip(self.rig.knobs, coefficients.tolist(), strict=True)
            ]
        )
        flows = None
        for _ in range(_TURNS):
            flows = self.flows(set_to, flows)
            if np.all(self.ratios(flows) <= 1 - ROOM):
                return set_to
            late = self.over(flows) > 1 - ROOM
            if not late.any():
                return None  # only limits that no valve can keep are left
            set_to = np.array(
                [
                    _one_degree(knob.own, k) if is_late else k
                    for knob, k, is_late in zip(self.rig.knobs, set_to.tolist(), late, strict=True)
                ]
            )
        return None


def _one_degree(own: float, coefficient: float) -> float:
    """K with the handle closed one degree further; for an orifice, an eighth more."""
    angle = round(angle_adding(coefficient - own)) + 1
    return coefficient * 1.125 if angle >= SHUT_ANGLE else own + added_coefficient(angle)
