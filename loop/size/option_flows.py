"""Flows of an option at its worst service, without the rest of a check: about ten times faster."""

import math
from collections.abc import Iterable, Mapping
from itertools import islice

import numpy as np

from loop.hydraulics import Network, build, nominal_flows
from loop.hydraulics.build import resized
from loop.hydraulics.installed_pump import installed_pump
from loop.hydraulics.together import solve_together
from loop.job import Job
from loop.margins.speed import flow_limits
from loop.parts import Hose
from loop.records import dataclass
from loop.size.fit_choice import with_choice
from loop.size.options import Choice, lines_of
from loop.size.worst_case import at_worst_service

# Relative error of a flow calculated from the parts' tables: twice the most that random boats have.
_TABLE_ERROR = 0.005
# Most options solved at once: more would take much memory.
_MOST_AHEAD = 32


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
        self._first: tuple[Network, ...] | None = None
        self._ahead: dict[Choice, tuple[Network, ...]] = {}

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
            networks = self._ahead.pop(choice, None) or self._built(choice)
            self._last = {choice: networks[0]}
            found = [self._solve(network) for network in networks]
            self.known[choice] = OptionFlows(
                tuple(min(each) for each in zip(*(one.flow_ratios for one in found), strict=True)),
                tuple(max(each) for each in zip(*(one.speed_ratios for one in found), strict=True)),
                found[0].most_margin,
                found[0].least_power,
                found[0].least_speed,
            )
        return self.known[choice]

    def __contains__(self, choice: Choice) -> bool:
        """Whether an option's flows are found."""
        return choice in self.known or choice in self._ahead

    def ahead(self, choices: Iterable[Choice]) -> None:
        """Solve at once the first of the options that will likely be asked for next."""
        choices = dict.fromkeys(islice(choices, _MOST_AHEAD))
        left = [one for one in choices if one not in self]
        if len(left) > 1:
            new = {choice: self._built(choice) for choice in left}
            solve_together([network for networks in new.values() for network in networks])
            self._ahead |= new
            for choice in list(self._ahead)[:-_MOST_AHEAD]:
                del self._ahead[choice]

    def _built(self, choice: Choice) -> tuple[Network, ...]:
        """The networks of an option: for a boat at speed, also at rest."""
        option = at_worst_service(with_choice(self.job, choice))
        jobs = (option, option.at_speed(0.0)) if self.job.boat.speed else (option,)
        if self._first is None:
            self._first = tuple(build(job) for job in jobs)
            return self._first
        return tuple(resized(one, job) for one, job in zip(self._first, jobs, strict=True))

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
