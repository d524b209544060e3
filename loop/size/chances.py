"""The chance that each unit of an option gets its water, by Monte Carlo."""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import Network, build, solve_flows
from loop.job import Job, Unit
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.records import dataclass
from loop.size.uncertainty import Samples, cases, samples_of, sea_temperatures
from loop.size.worst_case import at_worst_service

# Monte Carlo samples per option: the standard error of the chance is then at most 1 % where it
# matters, and far less near 0 and 1 (binomial: the root of p(1 − p)/n).
DRAWS = 1000


@dataclass(frozen=True)
class Chances:
    """Number of Monte Carlo samples per option, and the seed for all of them."""

    draws: int = DRAWS
    seed: int = 1

    def least(self, option: Job) -> float:
        """The chance of the unit that is least likely to meet its need."""
        return min(self.unit_chances(option))

    def unit_chances(self, option: Job) -> tuple[float, ...]:
        """Chance that each unit meets its need at the worst service, in the job's order."""
        job = at_worst_service(option)
        network = build(job)
        enough_water: list[list[NDArray[np.bool_]]] = []
        for samples in samples_of(network, self.draws, self.seed):
            flows = solve_flows(network, cases(network, samples))
            enough_water.append(
                [
                    _meets(network, unit, flows.line_flow, samples) & flows.settled
                    for unit in job.condenser
                ]
            )
        return tuple(
            float(np.mean(np.concatenate(each))) for each in zip(*enough_water, strict=True)
        )


def _meets(network: Network, unit: Unit, line_flow: Array, samples: Samples) -> NDArray[np.bool_]:
    """Whether a unit gets its flow and condenses below the job's stop limit, if it sets one."""
    flow = line_flow[:, network.unit_line(unit.name)]
    enough: NDArray[np.bool_] = flow >= unit.needed_flow
    if unit.condensing_stop is None:
        return enough
    job, sea = network.job, sea_temperatures(network, samples)
    inlet = sea + inlet_rises(network, line_flow, sea)[:, job.condenser.index(unit)]
    condensing = condensing_in_loop(network, unit, flow, inlet)
    return enough & (condensing < unit.condensing_stop)
