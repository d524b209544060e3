"""Flows held under a limit by hand: the valves to part-close, in whole degrees."""

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
# Rounds that may pass without coming nearer.
_PATIENCE = 4
# Flows over limits that are as good as 1.
_CLOSE = 2e-3
# How far under its limit a flow is brought before handles are set to whole degrees.
_UNDER = 0.985
# Degrees by which handles may be turned on where whole degrees left a flow over its limit.
_TURNS = 12
# The K of orifices that are tried past a ball valve's: the least, the most, how many.
_ORIFICES = (added_coefficient(SHUT_ANGLE), 1e9, 60)


@dataclass(frozen=True)
class Limit:
    """A line whose flow must not pass `most` [m³/s]; `branch` is the one that it is in."""

    line: int
    branch: str
    most: float


@dataclass(frozen=True)
class Held:
    """Valves to part-close, and the flows that they leave.

    ``line_flow`` [m³/s] and ``line_low``, the low edge of its band, are those of every line, shape
    (lines,), with nothing else changed.
    """

    throttles: tuple[Throttle, ...]
    line_flow: Array
    line_low: Array


def throttle(network: Network, unit: str, flow: float) -> Throttle:
    """The valve on a unit's line that leaves it `flow` [m³/s] or a little less.

    The valve is one that is there, or else to be fitted; its angle is the smallest whole one that
    does, and `Throttle.flow` what it then leaves. Where no ball valve holds so fine a setting the
    angle is that at which one shuts, and the K that of an orifice.
    """
    return _alone(rig(network, [(unit, flow, network.condenser_part(unit))]), flow)[0]


def hold_back(network: Network, flow: float) -> Held:
    """The valve after the pump that leaves it `flow` [m³/s] or a little less; see `throttle`."""
    line = network.lines[network.pump_line].parts
    after = line[line.index(network.pump_index) + 1 :]
    rigged = rig(network, [("", flow, after[0] if after else network.pump_index)])
    valve, coefficients = _alone(rigged, flow)
    fitted = rigged.set_to(coefficients)
    flows = solve_flows(fitted).line_flow[0]
    return Held((valve,), flows, flow_band(fitted, flows)[0])


def _alone(rigged: Rig, flow: float) -> tuple[Throttle, Array]:
    """The setting of a rig's one valve that leaves its line `flow` [m³/s], and its K."""
    (knob,) = rigged.knobs
    # From the next whole degree on; an angle that was worked out may be a hair under one.
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
    """The valves, at the sites, that keep every line within its limit; None where none do.

    Parameters
    ----------
    network : Network
    sites : list
        Unit, need [m³/s] and part beside which the valve sits; see `rig`.
    limits : list of Limit
        A line over its limit is held by the valves of its own branch, or of those inside it.
    shut : array, shape (n, parts), optional
        Factors on the parts' losses in each case that must keep to the limits; the network as it
        stands where left out.
    start : array, shape (lines,), optional
        Flows near the answer, which balance at every joint.
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
        # Which limits each knob can hold, shape (limits, knobs).
        can = [[limit.branch in around(knob.branch) for knob in knobs] for limit in limits]
        self.can = np.array(can, dtype=bool).reshape(len(limits), len(knobs))

    def flows(self, coefficients: Array, start: Array | None) -> Array:
        loss = self.cases * self.rig.loss(coefficients)
        return solve_flows(self.rig.network, Cases(loss=loss), start=start).line_flow

    def ratios(self, flows: Array) -> Array:
        """Flow over each limit, at worst; shape (limits,)."""
        return np.asarray(flows[:, self.limited].max(axis=0) / self.most)

    def over(self, flows: Array) -> Array:
        """The same of what each knob can hold, at worst; shape (knobs,)."""
        ratios = self.ratios(flows)[:, None]
        return np.asarray(np.max(np.where(self.can, ratios, 0.0), axis=0, initial=0.0))

    def continuous(self, start: Array | None) -> Array:
        """K that just hold, none under what it is now; as near as was found where none do."""
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
        """K of handles in whole degrees that hold too."""
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
                return None  # only limits that no knob can hold are left
            set_to = np.array(
                [
                    _one_degree(knob.own, k) if is_late else k
                    for knob, k, is_late in zip(self.rig.knobs, set_to.tolist(), late, strict=True)
                ]
            )
        return None


def _one_degree(own: float, coefficient: float) -> float:
    """K with the handle a degree further; of an orifice, an eighth more."""
    angle = round(angle_adding(coefficient - own)) + 1
    return coefficient * 1.125 if angle >= SHUT_ANGLE else own + added_coefficient(angle)
