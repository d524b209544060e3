"""Flows of an option at its worst service, without the rest of a check: about ten times faster."""

import math
from collections.abc import Mapping

import numpy as np

from loop.hydraulics import Network, build, nominal_flows
from loop.hydraulics.installed_pump import installed_pump
from loop.job import Job
from loop.margins.speed import flow_limits
from loop.parts import Hose
from loop.records import dataclass
from loop.size.fit_choice import with_choice
from loop.size.options import Choice, lines_of
from loop.size.worst_case import at_worst_service

# Relative error of a flow calculated from the parts' tables: twice the most that random boats have.
_TABLE_ERROR = 0.005


@dataclass(frozen=True)
class OptionFlows:
    """Flow over need of each unit, and the highest speed over its limit in each line's hoses.

    ``speed_ratios`` are in the order of `Choice.bores`, 0 for a line without hose. Those are the
    worse of at speed and at rest; the rest bounds what a check can find at the boat's own speed:
    the least flow over need of a unit, minus 1; the pump's power [W], infinite if unknown; and the
    highest of the speed ratios.
    """

    flow_ratios: tuple[float, ...]
    speed_ratios: tuple[float, ...]
    most_margin: float
    least_power: float
    least_speed: float

    @property
    def least_ratio(self) -> float:
        """Flow over need of the unit that is shortest of water."""
        return min(self.flow_ratios)


class FlowSolver:
    """Flows of one job's options, each solved once; `known` are those found before."""

    def __init__(self, job: Job, known: Mapping[Choice, OptionFlows]) -> None:
        self.job = job
        self.known = dict(known)
        self._last: dict[Choice, Network] = {}

    @property
    def solves(self) -> int:
        """Number of networks solved: for a boat at speed, also at rest."""
        return len(self.known) * (2 if self.job.boat.speed else 1)

    def network(self, choice: Choice) -> Network | None:
        """An option's network at its worst service, if it is the last one solved."""
        return self._last.get(choice)

    def __call__(self, choice: Choice) -> OptionFlows:
        """An option's flows at its worst service, the worse of at speed and at rest."""
        if choice not in self.known:
            option = at_worst_service(with_choice(self.job, choice))
            network = build(option)
            self._last = {choice: network}
            found = [self._solve(network)]
            if self.job.boat.speed:
                found.append(self._solve(build(option.at_speed(0.0))))
            self.known[choice] = OptionFlows(
                tuple(min(each) for each in zip(*(one.flow_ratios for one in found), strict=True)),
                tuple(max(each) for each in zip(*(one.speed_ratios for one in found), strict=True)),
                found[0].most_margin,
                found[0].least_power,
                found[0].least_speed,
            )
        return self.known[choice]

    def _solve(self, network: Network) -> OptionFlows:
        job, flow = network.job, nominal_flows(network).line_flow[0]
        flow_ratios = tuple(
            float(flow[network.unit_line(unit.name)]) / unit.needed_flow for unit in job.condenser
        )
        lines = lines_of(job)
        speed_ratios = [0.0] * (max(1, *lines) + 1)
        part_ratios = np.abs(flow[list(network.line_of)]) / flow_limits(network)
        for part, line, ratio in zip(network.parts, lines, part_ratios.tolist(), strict=True):
            if isinstance(part, Hose):
                speed_ratios[line] = max(speed_ratios[line], ratio)
        most_margin = min(flow_ratios) * (1 + _TABLE_ERROR) - 1
        near = flow[network.pump_line] * np.array([1 - _TABLE_ERROR, 1.0, 1 + _TABLE_ERROR])
        powers = installed_pump(network).power_at(near)
        least_power = min(powers[np.isfinite(powers)].tolist(), default=math.inf)
        least_speed = max(speed_ratios) * (1 - _TABLE_ERROR)
        return OptionFlows(flow_ratios, tuple(speed_ratios), most_margin, least_power, least_speed)
