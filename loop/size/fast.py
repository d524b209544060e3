"""Flows of an option at its worst service, without the rest of a check: about ten times faster."""

import numpy as np

from loop.hydraulics import Network, build, running
from loop.job import Job
from loop.margins.speed import flow_limits
from loop.parts import Hose
from loop.records import dataclass
from loop.size.fitting import applied
from loop.size.options import Choice, lines_of
from loop.size.worst_case import in_service


@dataclass(frozen=True)
class Fast:
    """Flow over need of each unit, and the highest speed over its limit in each line's hoses.

    ``speeds`` are in the order of `Choice.bores`, 0 for a line without hose.
    """

    shares: tuple[float, ...]
    speeds: tuple[float, ...]

    @property
    def share(self) -> float:
        """Flow over need of the unit that is shortest of water."""
        return min(self.shares)


class Flows:
    """Flows of one job's options, each solved once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.solves = 0
        self._known: dict[Choice, Fast] = {}
        self._last: dict[Choice, Network] = {}

    def network(self, choice: Choice) -> Network | None:
        """An option's network at its worst service, if it is the last one solved."""
        return self._last.get(choice)

    def __call__(self, choice: Choice) -> Fast:
        """An option's flows at its worst service, the worse of at speed and at rest."""
        if choice not in self._known:
            option = in_service(applied(self.job, choice))
            network = build(option)
            self._last = {choice: network}
            found = [self._solved(network)]
            if self.job.boat.speed:
                found.append(self._solved(build(option.at_speed(0.0))))
            self._known[choice] = Fast(
                tuple(min(each) for each in zip(*(one.shares for one in found), strict=True)),
                tuple(max(each) for each in zip(*(one.speeds for one in found), strict=True)),
            )
        return self._known[choice]

    def _solved(self, network: Network) -> Fast:
        self.solves += 1
        option, flow = network.job, running(network).line_flow[0]
        shares = tuple(
            float(flow[network.unit_line(unit.name)]) / unit.needed_flow
            for unit in option.condenser
        )
        lines = lines_of(option)
        speeds = [0.0] * (max(1, *lines) + 1)
        over = np.abs(flow[list(network.line_of)]) / flow_limits(network)
        for part, line, speed in zip(network.parts, lines, over.tolist(), strict=True):
            if isinstance(part, Hose):
                speeds[line] = max(speeds[line], speed)
        return Fast(shares, tuple(speeds))
