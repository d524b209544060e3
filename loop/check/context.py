"""The context of a finding: a job at its operating point, and what would improve its flows."""

import math
from collections.abc import Iterator
from functools import cached_property

from loop.balancing.balance import MAX_SURPLUS, TABLE_MARGIN, Balance, balance, balanced_at_share
from loop.balancing.flow_limiting import FlowLimit, LimitedFlows, limit_flows
from loop.balancing.isolation import (
    OpenUnit,
    bypasses,
    open_units,
    valve_sites,
)
from loop.check.loop_state import LoopState
from loop.check.work import LEAST_GAIN
from loop.curve import Array
from loop.hydraulics import Network, flow_band
from loop.records import dataclass
from loop.words import Action

# Common practice runs from 150 to 250 gal/h a ton: where 180 is needed, above 250 is excess.
EXCESS = 250 / 180
# Units whose flow over need differs by less than this factor count as balanced: engineering
# estimate.
_BALANCED = 1.15
# Flow over need that leaves the need at the low edge of a typical band: engineering estimate, used
# where no running unit shows the width of its own.
_TYPICAL_MARGIN = 1.15


@dataclass(frozen=True)
class Context(LoopState):
    """A job with everything calculated about it, before it is judged.

    Adds to its state the balance of its branches, the valves and flows that would suffice, and what
    several findings share.
    """

    at_rest: "Context | None"

    @cached_property
    def cure_cache(self) -> dict[tuple[Action, ...], bool]:
        """Cache: whether every running unit gets its need with these actions done."""
        return {}

    @cached_property
    def shared_fixes(self) -> dict[str, Iterator[Action]]:
        """Cache of fixes that several findings share, by purpose; each a `tee`.

        Callers iterate over a copy, so that the search runs once.
        """
        return {}

    @cached_property
    def branch_balance(self) -> Balance | None:
        """The balance of the branches; None without branches, without flow, or if not converged."""
        asked = self.network.forks and self.has_flow and self.settled
        return balance(self.network) if asked else None

    @property
    def flow_margin(self) -> float:
        """Flow over need that leaves the need at the low edge of a band as wide as the present one.

        The band of a unit far short of its need says nothing about that of a loop that meets it.
        """
        wide = (
            c.flow / max(c.flow_low, 1e-12)
            for c in self.running_units
            if c.flow > c.needed_flow / 2
        )
        return min(max(wide, default=_TYPICAL_MARGIN), MAX_SURPLUS)

    @cached_property
    def throttled_units(self) -> list[OpenUnit]:
        """For each branch that can be throttled by itself, the unit with the largest need."""
        return valve_sites(self.network, open_units(self.network))

    @cached_property
    def flow_shares(self) -> dict[str, float]:
        """Flow over need in each branch, for the unit with the largest need; also of a series loop.

        Omits units whose flow is shared with others, and units cut off by a shut valve.
        """
        flows = {c.name: c.flow for c in self.condensers}
        return {name: flows[name] / need for name, _, need in self.throttled_units}

    @property
    def uneven(self) -> bool:
        """Whether flow over need differs significantly between branches."""
        shares = self.flow_shares.values()
        return bool(shares) and max(shares) > _BALANCED * min(shares)

    @cached_property
    def useful_balance(self) -> Balance | None:
        """The balance, where setting valves is the right action; otherwise None.

        It must give every unit its need and throttle no unit that misses its need at the low edge.
        Where one misses it, the balance must cure a unit that is short, or raise the least share by
        `LEAST_GAIN`, or give every unit its need at the low edge. Where none does, it must even out
        uneven shares, raise the least by `LEAST_GAIN`, and leave no unit with excess flow.
        """
        even, shares = self.branch_balance, self.flow_shares.values()
        if even is None or even.share < 1 or not even.throttles or not shares:
            return None
        wanting = {c.name for c in self.running_units if c.flow_low < c.needed_flow}
        if any(valve.unit in wanting and not valve.opens for valve in even.throttles):
            return None
        gains = even.share - min(shares) >= LEAST_GAIN
        if not wanting:
            sensible = all(
                self.unit_flow(even.line_flow, c.name) <= EXCESS * c.needed_flow
                for c in self.running_units
            )
            return even if gains and sensible and self.uneven else None
        short = any(c.flow < c.needed_flow for c in self.running_units)
        return even if short or gains or even.enough else None

    @cached_property
    def smaller_duty(self) -> Balance | None:
        """The balanced loop on a pump that would suffice, where every unit has excess flow."""
        if self._shut_parts or not all(c.flow > EXCESS * c.needed_flow for c in self.condensers):
            return None
        return balanced_at_share(self.network, self.flow_margin)

    @cached_property
    def limited_flows(self) -> LimitedFlows | None:
        """The valves with which no unit has excess flow, and none too little."""
        network = self.network
        limits = [
            FlowLimit(network.line_of[i], network.branches[i], EXCESS * c.needed_flow)
            for c in self.running_units
            for i in [network.condenser_part(c.name)]
        ]
        return self.valves_for_limits(limits)

    def valves_for_limits(
        self, limits: list[FlowLimit], shut: Array | None = None
    ) -> LimitedFlows | None:
        """The branch valves that keep to the limits, if no unit falls short because of them."""
        sites = [(name, need, index) for name, index, need in self.throttled_units]
        sites += [("", 0.0, index) for index in bypasses(self.network)]
        if not sites:
            return None
        held = limit_flows(self.network, sites, limits, shut, self.point.line_flow)
        return held if held is not None and not self.starved(held.line_low) else None

    def starved(self, line_low: Array) -> list[str]:
        """The running units that have their need now, and miss it with these low edges [m³/s]."""
        return [
            c.name
            for c in self.running_units
            if c.flow_low >= c.needed_flow
            and self.unit_flow(line_low, c.name) < (1 + TABLE_MARGIN / 2) * c.needed_flow
        ]

    def suffices(self, network: Network, line_flow: Array) -> bool:
        """Whether every running unit gets its need at the low edge, in a loop so changed."""

        if self.least_share(network, line_flow) < 1:
            return False
        low = flow_band(network, line_flow)[0]
        return self.least_share(network, low) >= 1 + TABLE_MARGIN / 2

    def least_share(self, network: Network, line_flow: Array) -> float:
        """Least flow over need of the running units, in a loop so changed; infinite if none run."""
        return min(
            (
                float(line_flow[network.unit_line(c.name)]) / c.needed_flow
                for c in self.running_units
            ),
            default=math.inf,
        )
