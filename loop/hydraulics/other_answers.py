"""Where a network with tees has more than one balanced answer: all that are found."""

from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows
from loop.hydraulics.network import Network
from loop.hydraulics.solver import balanced_from, most_tries, turned

# Answers whose flows differ by no more than this share of the largest are one.
_SAME = 1e-3
# Heads [m] that differ by less are balanced where it is to be seen which answer they lead to.
_ROUGHLY = 1e-5
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
    starts = [turned(network, found.line_flow, *begun) for begun in _beginnings(network)]
    # Most come back to `found`, which is seen long before they balance to the last digit.
    flows = balanced_from(network, np.concatenate(starts), within=_ROUGHLY)
    kept = _unlike(flows, found.line_flow[0])
    if not kept:
        return none
    flows = balanced_from(network, flows.line_flow[kept])
    return flows[np.array(_unlike(flows, found.line_flow[0]), dtype=np.intp)]


def _unlike(flows: Flows, known: Array) -> list[int]:
    """Rows that settled, unlike what is known and unlike each other."""
    kept: list[int] = []
    for row in np.flatnonzero(flows.settled):
        others = (known, *flows.line_flow[kept])
        if not any(_alike(flows.line_flow[row], other) for other in others):
            kept.append(int(row))
    return kept


def worse_answers(network: Network, cases: Cases, found: Flows, needs: Array) -> Flows:
    """Of all balanced answers, in each case the one with the least share of any unit's need.

    What `other_answers` looks for, in many cases at once: `found` are the answers to `cases`, and
    `needs` [m³/s] what each unit needs in each, shape (n, units).
    """
    if not network.forks:
        return found
    looked = np.flatnonzero(found.settled & found.line_flow.any(axis=1))
    for line, share in _beginnings(network):
        some, best = found[looked], found[looked]
        starts = turned(network, some.line_flow, line, share)
        others = balanced_from(network, starts, replace(cases[looked], air=some.air))
        least, theirs = (
            least_shares(network, flows.line_flow, needs[looked]) for flows in (best, others)
        )
        size = np.maximum(np.abs(best.line_flow), np.abs(others.line_flow)).max(axis=1)
        apart = np.abs(best.line_flow - others.line_flow).max(axis=1) > _SAME * size
        worse = np.flatnonzero(others.settled & apart & (theirs < least))
        found = found.with_rows(looked[worse], others[worse])
    return found


def least_shares(network: Network, line_flow: Array, needs: Array) -> Array:
    """The least flow over need of any unit in each case, shape (n,); `needs` as above."""
    units = network.job.condenser
    lines = [network.unit_line(unit.name) for unit in units]
    return np.asarray((line_flow[:, lines] / needs).min(axis=1))


def _beginnings(network: Network) -> list[tuple[int, float]]:
    """Lines, and with which share of their flow each is begun: those of the branches."""
    branches = sorted({line for fork in network.forks for line in fork.first})
    tried = branches[: most_tries(len(network.lines))]
    return [(line, share) for line in tried for share in _BEGUN]


def least_share(network: Network, line_flow: Array) -> float:
    """The least flow over need of any unit, at the lines' flows [m³/s]."""
    needs = np.array([[unit.needed_flow for unit in network.job.condenser]])
    return float(least_shares(network, line_flow[None, :], needs)[0])


def _alike(one: Array, other: Array) -> bool:
    size = max(float(np.abs(one).max()), float(np.abs(other).max()))
    return bool(np.abs(one - other).max() <= _SAME * size)
