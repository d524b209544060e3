"""The chance that each unit of an option gets its water, by Monte Carlo."""

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import Job, Unit
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.records import dataclass
from loop.size.options import lines_of, lines_to_units
from loop.size.uncertainty import Samples, cases, samples_of, sea_temperatures
from loop.size.worst_case import at_worst_service

# Monte Carlo samples per option: the standard error of the chance is then at most 1 % where it
# matters, and far less near 0 and 1 (binomial: the root of p(1 − p)/n).
DRAWS = 1000
# Flow over need in the most favorable case below which none meets the need: with branches, which
# share their water at tees, that case is no proof, and a margin is kept (engineering estimate).
_SURELY_SHORT = 0.95


@dataclass(frozen=True)
class Chances:
    """Number of Monte Carlo samples per option, and the seed for all of them."""

    draws: int = DRAWS
    seed: int = 1

    def least(self, option: Job) -> float:
        """The chance of the unit that is least likely to meet its need."""
        return min(self.unit_chances(option))

    def unit_chances(self, option: Job, short: bool = False) -> tuple[float, ...]:
        """Chance that each unit meets its need at the worst service, in the job's order.

        With `short`, which is where it seems that none does, one look first whether any can.
        """
        job = at_worst_service(option)
        network = build(job)
        enough_water: list[list[NDArray[np.bool_]]] = []
        for samples in samples_of(network, self.draws, self.seed):
            sampled = cases(network, samples)
            if short and _none_can(network, sampled):
                enough_water.append([np.zeros(samples.count, dtype=bool) for _ in job.condenser])
                continue
            flows = solve_flows(network, sampled)
            enough_water.append(
                [
                    _meets(network, unit, flows.line_flow, samples) & flows.settled
                    for unit in job.condenser
                ]
            )
        return tuple(
            float(np.mean(np.concatenate(each))) for each in zip(*enough_water, strict=True)
        )


def _none_can(network: Network, sampled: Cases) -> bool:
    """Whether each unit misses its need where everything that is sampled favors it most."""
    job, loss = network.job, sampled.loss
    assert loss is not None
    lines, paths = np.array(lines_of(job)), lines_to_units(job)
    own = np.array([np.isin(lines, list(path)) for path in paths])
    corner = Cases(
        speed=sampled.speed.max(keepdims=True),
        pump_flow=sampled.pump_flow.max(keepdims=True),
        pump_head=sampled.pump_head.max(keepdims=True),
        tee=sampled.tee.min(keepdims=True),
        loss=np.where(own, loss.min(axis=0), loss.max(axis=0)),
    )
    flows = solve_flows(network, corner)
    most = flows.line_flow[
        range(len(paths)), [network.unit_line(one.name) for one in job.condenser]
    ]
    needs = np.array([unit.needed_flow for unit in job.condenser])
    return bool(flows.settled.all() and (most < _SURELY_SHORT * needs).all())


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
