"""What the findings look at: one job, its operating point, and the words to speak of it."""

from dataclasses import dataclass, field

import numpy as np

from loop.check.result import CondenserResult, Finding, Level, PumpResult
from loop.curve import Array
from loop.hydraulics import Cases, Network, OperatingPoint, solve_flows
from loop.job import Job
from loop.margins.air import AirPath
from loop.margins.balance import Balance
from loop.parts import Strainer
from loop.units import show

COMMON = "common practice"


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


def flows_when_blocked(network: Network, blocked: Array) -> Array:
    """Flow of every line [m³/s] with all strainers blocked by these shares, shape (n, lines)."""
    loss = np.ones((len(blocked), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            loss[:, index] = ((1 - part.blocked) / (1 - blocked)) ** 2
    return solve_flows(network, Cases(loss=loss)).line_flow
