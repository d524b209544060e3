"""The chance that each unit gets its water in an option, by loops drawn about it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import Network, build, solve_flows
from loop.job import Job, Unit
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.size.uncertainty import Draws, cases, sea_temperatures


def chances(job: Job, blocks: Sequence[Draws]) -> tuple[float, ...]:
    """Chance that each unit meets its need, in the job's order; `job` is at its worst service."""
    network = build(job)
    met: list[list[NDArray[np.bool_]]] = []
    for drawn in blocks:
        flows = solve_flows(network, cases(network, drawn))
        met.append(
            [
                _meets(network, unit, flows.line_flow, drawn) & flows.settled
                for unit in job.condenser
            ]
        )
    return tuple(float(np.mean(np.concatenate(each))) for each in zip(*met, strict=True))


def _meets(network: Network, unit: Unit, line_flow: Array, drawn: Draws) -> NDArray[np.bool_]:
    """Whether a unit gets its flow, and condenses below the limit that the job may set."""
    flow = line_flow[:, network.unit_line(unit.name)]
    enough: NDArray[np.bool_] = flow >= unit.needed_flow
    if unit.condensing_stop is None:
        return enough
    job, sea = network.job, sea_temperatures(network, drawn)
    inlet = sea + inlet_rises(network, line_flow, sea)[:, job.condenser.index(unit)]
    condensing = condensing_in_loop(network, unit, flow, inlet)
    return enough & (condensing < unit.condensing_stop)
