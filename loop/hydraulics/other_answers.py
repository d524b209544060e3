"""Where a network with tees has more than one balanced answer: all that are found."""

import numpy as np

from loop.curve import Array
from loop.hydraulics.flows import Flows
from loop.hydraulics.network import Network
from loop.hydraulics.solver import balanced_from, most_tries, turned

# Answers whose flows differ by no more than this share of the largest are one.
_SAME = 1e-3
# Share of its flow with which a branch is begun: turned back, and shut.
_BEGUN = (-0.5, 0.0)


def other_answers(network: Network, found: Flows) -> Flows:
    """Balanced flows of a network other than `found`, which has one row; none for a series loop.

    The tees' losses depend on the split, so that no law forbids a second balance: with a header
    much narrower than its branches water may be drawn back through one of them. Each branch in
    turn is begun with shut and running backwards, the lines' number bounding how many. Legs hold
    air as `found` says. What is found is no proof that there are no more.
    """
    none = found[:0]
    if not network.forks or not network.settles or not found.line_flow.any():
        return none
    network = network.with_air(found.air[0])
    branches = sorted({line for fork in network.forks for line in fork.first})
    tried = branches[: most_tries(len(network.lines))]
    starts = [turned(network, found.line_flow, line, share) for line in tried for share in _BEGUN]
    flows = balanced_from(network, np.concatenate(starts))
    kept: list[int] = []
    for row in np.flatnonzero(flows.settled):
        known = [found.line_flow[0], *(flows.line_flow[i] for i in kept)]
        if not any(_alike(flows.line_flow[row], other) for other in known):
            kept.append(int(row))
    return flows[np.array(kept, dtype=np.intp)] if kept else none


def least_share(network: Network, line_flow: Array) -> float:
    """The least flow over need of any unit, at the lines' flows [m³/s]."""
    return min(
        float(line_flow[network.line_of[network.condenser_part(unit.name)]]) / unit.needed_flow
        for unit in network.job.condenser
    )


def _alike(one: Array, other: Array) -> bool:
    size = max(float(np.abs(one).max()), float(np.abs(other).max()))
    return bool(np.abs(one - other).max() <= _SAME * size)
