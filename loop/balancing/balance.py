"""Several units on one pump: throttling that gives each the same share of its need."""

from functools import cached_property

import numpy as np

from loop.balancing.equal_shares import ShareEqualizer, min_share
from loop.balancing.isolation import bypasses, open_units, valve_sites
from loop.balancing.throttle_valves import Throttle, whole_degree, with_valves
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, solve_flows
from loop.hydraulics.band import flow_band
from loop.parts.seacock import SHUT_ANGLE, added_coefficient
from loop.records import dataclass

# Nominal flow over need that is sure to leave the need at the low edge of the band: the band of a
# running loop is narrower than this.
MAX_SURPLUS = 1.25
# Margin on flow for using the tables: in turbulent flow, as in every hose at its need, they differ
# from the parts' own functions by far less than this.
TABLE_MARGIN = 0.004


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
        return min_share(flow_band(self.network, self.line_flow)[0], self.needs)

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
    sites = valve_sites(network, units)
    bypass_parts = bypasses(network)
    if not sites or len(sites) + len(bypass_parts) < 2:
        return None
    bypass_sites = [("", 0.0, index) for index in bypass_parts]
    throttled = with_valves(network, [*((name, need, i) for name, i, need in sites), *bypass_sites])
    equalizer = ShareEqualizer(throttled, units, len(sites))
    start = np.array([valve.least_k for valve in throttled.valves[: len(sites)]])
    present = np.array([valve.present_k for valve in throttled.valves[len(sites) :]])
    found = _at_whole_degrees(equalizer, equalizer.equalize(start, present)[1], present)
    if bypass_parts and not found.enough:
        return _with_bypass_closed(equalizer, found, present)
    return found


def duty(network: Network, share: float = 1.0) -> tuple[float, float] | None:
    """Pump head [m] and flow [m³/s] that give every unit `share` times its need, balanced.

    The head that a loop takes at a flow does not depend on its pump: the pump of the job is run
    faster or slower (affinity laws) until the flows are right. Shut units are left out. None if no
    pump of up to 64 times the head is enough.
    """
    balanced = balanced_at_share(network, share)
    return None if balanced is None else (balanced.pump_head, balanced.total_flow)


def balanced_at_share(network: Network, share: float) -> Balance | None:
    """The balanced loop behind `duty`; its valve angles are not rounded."""
    units = open_units(network)
    if not units:
        return None
    sites = valve_sites(network, units)
    throttled = with_valves(network, [(name, need, i) for name, i, need in sites])
    equalizer = ShareEqualizer(throttled, units, len(sites))
    start = np.array([valve.least_k for valve in throttled.valves])
    flows, coefficients = equalizer.equalize(start, np.zeros(0), share)
    balanced = _balance_of(equalizer, flows, coefficients)
    return balanced if abs(balanced.share / share - 1) < 1e-3 else None


def _with_bypass_closed(equalizer: ShareEqualizer, open_: Balance, present: Array) -> Balance:
    """The balance with its bypasses part-closed only as far as gives every unit its need.

    The units' own valves are left alone if that is enough. If not even shut bypasses are enough,
    the balance with them shut.
    """
    open_k = np.array([valve.open_k for valve in equalizer.bypass_valves])
    shut = np.maximum(open_k + added_coefficient(SHUT_ANGLE - 1), present)
    unchanged = np.array([valve.present_k for valve in equalizer.unit_valves])
    least_k = np.array([valve.least_k for valve in equalizer.unit_valves])
    closed = open_
    for setting in (lambda: unchanged, lambda: equalizer.equalize(least_k, shut)[1]):
        coefficients = setting()
        closed = _at_whole_degrees(equalizer, coefficients, shut)
        if closed.enough:
            return _with_bypass_reopened(equalizer, coefficients, closed, present)
    return closed if closed.share > open_.share * 1.01 else open_


def _with_bypass_reopened(
    equalizer: ShareEqualizer, coefficients: Array, closed: Balance, present: Array
) -> Balance:
    """A balance with its bypasses reopened as far as every unit keeps its need."""
    open_k = np.array([valve.open_k for valve in equalizer.bypass_valves])
    settings = [
        np.maximum(open_k + added_coefficient(a), present) for a in np.arange(1.0, SHUT_ANGLE)
    ]
    loss = np.stack(
        [
            equalizer.throttled.loss_factors(np.concatenate([coefficients, setting]))
            for setting in settings
        ]
    )
    rows = solve_flows(
        equalizer.throttled.network, Cases(loss=loss), start=closed.line_flow
    ).line_flow
    required = closed.share / closed.low
    enough = [
        setting
        for setting, row in zip(settings, rows, strict=True)
        if equalizer.min_share(row) >= required
    ]
    for setting in enough[:4]:
        found = _at_whole_degrees(equalizer, coefficients, setting)
        if found.low >= 1 + TABLE_MARGIN:
            return found
    return closed


def _balance_of(equalizer: ShareEqualizer, flows: Flows, coefficients: Array) -> Balance:
    """The balance found by a search; `coefficients` are the K of all valves."""
    line_flow, throttled = flows.line_flow[0], equalizer.throttled
    return Balance(
        share=equalizer.min_share(line_flow),
        total_flow=float(line_flow[throttled.network.pump_line]),
        pump_head=float(flows.pump_head[0]),
        line_flow=line_flow,
        throttles=throttled.throttles(coefficients, line_flow),
        network=throttled.with_settings(coefficients),
        needs=equalizer.needs,
    )


def _at_whole_degrees(equalizer: ShareEqualizer, coefficients: Array, bypasses_k: Array) -> Balance:
    """A balance with its valves set to whole degrees, and matching K and flows."""
    pairs = zip(equalizer.unit_valves, coefficients.tolist(), strict=True)
    settings = np.array([whole_degree(valve, k) for valve, k in pairs])
    flows = equalizer.solve(settings, bypasses_k)
    return _balance_of(equalizer, flows, np.concatenate([settings, bypasses_k]))
