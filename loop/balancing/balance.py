"""Several units on one pump: throttling that gives each the same share of its need."""

from functools import cached_property

import numpy as np

from loop.balancing.evening import Evening, least_share
from loop.balancing.isolation import bypasses, open_units, valves
from loop.balancing.throttle_valves import Throttle, rig, whole
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, solve_flows
from loop.hydraulics.band import flow_band
from loop.parts.seacock import SHUT_ANGLE, added_coefficient
from loop.records import dataclass

# Nominal flow over need that is sure to leave the need at the low edge of the band: the band of a
# running loop is narrower than this.
SPARE_MOST = 1.25
# Margin on flow for using the tables: in turbulent flow, as in every hose at its need, they differ
# from the parts' own functions by far less than this.
ROOM = 0.004


@dataclass(frozen=True)
class Balance:
    """Throttling that gives every branch the same share of its need.

    ``share`` is the least flow over need of any unit; ``total_flow`` [m³/s], ``pump_head`` [m] and
    ``line_flow`` [m³/s], that of every line, are those of the balanced loop; ``throttles`` the
    valves to set, none on the branch that needs it least unless its valve has to be opened.
    ``network`` is the loop with the valves set, and ``needs`` each unit's line in it and required
    flow [m³/s].
    """

    share: float
    total_flow: float
    pump_head: float
    line_flow: Array
    throttles: tuple[Throttle, ...]
    network: Network
    needs: tuple[tuple[int, float], ...]

    @cached_property
    def low(self) -> float:
        """Least flow over need of any unit at the low edge of the band."""
        return least_share(flow_band(self.network, self.line_flow)[0], self.needs)

    @property
    def enough(self) -> bool:
        """Whether every unit gets its need, at the low edge too."""
        return self.share >= 1 and self.low >= 1


def balance(network: Network) -> Balance | None:
    """The balance of a network's units, or None if there is nothing to balance.

    Existing valves of branches start open. Loss is then added to the branches with the highest
    share until flow over need is equal for all: a line whose flow is x times its even share needs
    x² times its loss, iterated to convergence. A unit cut off by a shut valve is left out. Units in
    series share one valve, set for the one that needs most; a unit on a line that feeds others has
    none. A branch without a unit is throttled only as far as the units need it.
    """
    units = open_units(network)
    chosen = valves(network, units)
    loose = bypasses(network)
    if not chosen or len(chosen) + len(loose) < 2:
        return None
    ways = [("", 0.0, index) for index in loose]
    rigged = rig(network, [*((name, need, i) for name, i, need in chosen), *ways])
    evening = Evening(rigged, units, len(chosen))
    start = np.array([knob.least for knob in rigged.knobs[: len(chosen)]])
    asis = np.array([knob.present for knob in rigged.knobs[len(chosen) :]])
    found = _whole(evening, evening.even(start, asis)[1], asis)
    if loose and not found.enough:
        return _bypass_closed(evening, found, asis)
    return found


def duty(network: Network, share: float = 1.0) -> tuple[float, float] | None:
    """Pump head [m] and flow [m³/s] that give every unit `share` times its need, balanced.

    The head that a loop takes at a flow does not depend on its pump: the pump of the job is run
    faster or slower (affinity laws) until the flows are right. Shut units are left out. None if no
    pump of up to 64 times the head is enough.
    """
    drawn = draught(network, share)
    return None if drawn is None else (drawn.pump_head, drawn.total_flow)


def draught(network: Network, share: float) -> Balance | None:
    """The balanced loop behind `duty`; its valve angles are not rounded."""
    units = open_units(network)
    if not units:
        return None
    chosen = valves(network, units)
    rigged = rig(network, [(name, need, i) for name, i, need in chosen])
    evening = Evening(rigged, units, len(chosen))
    start = np.array([knob.least for knob in rigged.knobs])
    flows, coefficients = evening.even(start, np.zeros(0), share)
    even = _found(evening, flows, coefficients)
    return even if abs(even.share / share - 1) < 1e-3 else None


def _bypass_closed(evening: Evening, open_: Balance, asis: Array) -> Balance:
    """The balance with its bypasses part-closed only as far as gives every unit its need.

    The units' own valves are left alone if that is enough. If not even shut bypasses are enough,
    the balance with them shut.
    """
    knobs, rest = evening.rig.knobs[: evening.count], evening.rig.knobs[evening.count :]
    own = np.array([knob.own for knob in rest])
    shut = np.maximum(own + added_coefficient(SHUT_ANGLE - 1), asis)
    unset = np.array([knob.present for knob in knobs])
    least = np.array([knob.least for knob in knobs])
    closed = open_
    for find in (lambda: unset, lambda: evening.even(least, shut)[1]):
        coefficients = find()
        closed = _whole(evening, coefficients, shut)
        if closed.enough:
            return _bypass_eased(evening, coefficients, closed, asis)
    return closed if closed.share > open_.share * 1.01 else open_


def _bypass_eased(evening: Evening, coefficients: Array, closed: Balance, asis: Array) -> Balance:
    """A balance with its bypasses reopened as far as every unit keeps its need."""
    own = np.array([knob.own for knob in evening.rig.knobs[evening.count :]])
    ways = [np.maximum(own + added_coefficient(a), asis) for a in np.arange(1.0, SHUT_ANGLE)]
    loss = np.stack([evening.rig.loss(np.concatenate([coefficients, way])) for way in ways])
    rows = solve_flows(evening.rig.network, Cases(loss=loss), start=closed.line_flow).line_flow
    wanted = closed.share / closed.low
    enough = [way for way, row in zip(ways, rows, strict=True) if evening.least(row) >= wanted]
    for way in enough[:4]:
        found = _whole(evening, coefficients, way)
        if found.low >= 1 + ROOM:
            return found
    return closed


def _found(evening: Evening, flows: Flows, coefficients: Array) -> Balance:
    """The balance found by a search; `coefficients` are the K of all valves."""
    line_flow, rigged = flows.line_flow[0], evening.rig
    return Balance(
        share=evening.least(line_flow),
        total_flow=float(line_flow[rigged.network.pump_line]),
        pump_head=float(flows.pump_head[0]),
        line_flow=line_flow,
        throttles=rigged.throttles(coefficients, line_flow),
        network=rigged.set_to(coefficients),
        needs=evening.needs,
    )


def _whole(evening: Evening, coefficients: Array, others: Array) -> Balance:
    """A balance with its valves set to whole degrees, and matching K and flows."""
    knobs = evening.rig.knobs[: evening.count]
    set_to = np.array([whole(k, float(c)) for k, c in zip(knobs, coefficients, strict=True)])
    return _found(evening, evening.solve(set_to, others), np.concatenate([set_to, others]))
