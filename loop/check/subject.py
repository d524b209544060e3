"""What the findings look at: one job, its operating point, and the words to speak of it."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from loop.check.result import CondenserResult, Finding, Level, PumpResult
from loop.curve import Array
from loop.hydraulics import Cases, Network, OperatingPoint, solve_flows
from loop.job import Job
from loop.margins.air import AirPath
from loop.margins.balance import (
    Balance,
    duty,
    open_units,
    shut_on_way,
    shut_parts,
    valves,
)
from loop.parts import Strainer
from loop.units import show

COMMON = "common practice"
# Common practice runs from 150 to 250 gal/h a ton: past 250 where 180 is needed is more than use.
EXCESS = 250 / 180
# Units whose flow over need differs by less than this are called balanced: engineering estimate.
_EVEN = 1.15


@dataclass(frozen=True)
class Subject:
    """A job with everything reckoned about it, before it is judged.

    ``tried`` keeps the flows of all lines with another bore of hose and another pump, since every
    unit that is short asks for the same ones.
    """

    job: Job
    point: OperatingPoint
    pump: PumpResult
    condensers: tuple[CondenserResult, ...]
    air: tuple[AirPath, ...]
    even: Balance | None
    tried: dict[tuple[float | None, str | None], Array] = field(default_factory=dict, repr=False)

    @property
    def network(self) -> Network:
        """The job's lines and joints."""
        return self.point.network

    @property
    def flows(self) -> bool:
        """Whether any water goes round at all."""
        return self.point.flow > 0

    @property
    def short(self) -> bool:
        """Whether any condenser gets less than it needs."""
        return any(c.flow < c.needed_flow for c in self.condensers)

    @property
    def marginal(self) -> bool:
        """Whether any condenser gets less than it needs at the low end of the band."""
        return any(c.flow_low < c.needed_flow for c in self.condensers)

    @property
    def running(self) -> tuple[CondenserResult, ...]:
        """The units that no shut valve keeps from their water."""
        return tuple(c for c in self.condensers if not self.shut_before(c.name))

    @property
    def worst_off(self) -> int:
        """Number of the unit that gets the least of its need, of those that run."""
        running = self.running or self.condensers
        worst = min(running, key=lambda c: c.flow_low / c.needed_flow)
        return self.condensers.index(worst)

    @property
    def spare(self) -> float:
        """Flow over need at the middle of the band that leaves the need at its low end."""
        return max(
            (c.flow / max(c.flow_low, 0.5 * c.flow) for c in self.running if c.flow > 0),
            default=1.0,
        )

    @cached_property
    def shares(self) -> dict[str, float]:
        """Flow over need, in each branch, of the unit that needs most; of a series loop, its own.

        Left out are units whose flow is that of others, and those that a shut valve keeps dry.
        """
        flows = {c.name: c.flow for c in self.condensers}
        units = valves(self.network, open_units(self.network))
        return {name: flows[name] / need for name, _, need in units}

    @cached_property
    def balanced(self) -> Balance | None:
        """The balance, where part-closing valves is the thing to do; None where it is not."""
        even, shares = self.even, self.shares.values()
        if even is None or even.share < 1 or not even.throttles:
            return None
        return even if self.marginal or max(shares) > _EVEN * min(shares) else None

    @cached_property
    def smaller_duty(self) -> tuple[float, float] | None:
        """Head [m] and flow [m³/s] of a pump that would do where every unit has too much."""
        if self._shut or not all(c.flow > EXCESS * c.needed_flow for c in self.condensers):
            return None
        return duty(self.network, self.spare)

    @cached_property
    def _shut(self) -> list[int]:
        return shut_parts(self.network)

    def shut_before(self, unit: str) -> list[int]:
        """The shut parts that keep a unit from its water."""
        return shut_on_way(self.network, self._shut, self.network.condenser_part(unit))

    def say(self, value: float, quantity: str) -> str:
        """A number with its unit, in the job's system."""
        return show(value, quantity, self.job.units)

    def where(self, index: int) -> str:
        """A part's place in the file, with what a person calls it."""
        place, label = self.network.places[index], self.network.labels[index]
        return place if label == self.network.parts[index].kind else f"{place}, {label}"

    def name(self, index: int) -> str:
        """What a person calls a part, with an article unless it is numbered."""
        label = self.network.labels[index]
        return label if label[-1].isdigit() else f"the {label}"


def finding(code: str, level: Level, where: str, message: str, fix: str, source: str) -> Finding:
    """A finding, in the order in which it is read."""
    return Finding(code, level, where, message, fix, source)


def flows_when_blocked(point: OperatingPoint, blocked: Array) -> Array:
    """Flow of every line [m³/s] with all strainers blocked by these shares, shape (n, lines)."""
    network = point.network
    loss = np.ones((len(blocked), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            loss[:, index] = ((1 - part.blocked) / (1 - blocked)) ** 2
    return solve_flows(network, Cases(loss=loss), start=point.line_flow).line_flow
