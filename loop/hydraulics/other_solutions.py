"""Other balanced solutions of a network with tees, which may have more than one."""

from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows
from loop.hydraulics.network import Network
from loop.hydraulics.solver import balanced_from, most_restarts, with_scaled_line

# Solutions whose flows differ by at most this share of the largest flow are the same.
_SAME_FLOW = 1e-3
# Head tolerance [m] for finding out which solution a start leads to.
_ROUGH_TOLERANCE = 1e-5
# Factors on a branch's flow at the start: reversed, and shut.
_START_FACTORS = (-0.5, 0.0)


def other_solutions(network: Network, found: Flows) -> Flows:
    """Balanced flows of a network other than `found`, a single row; empty for a series loop.

    Tee losses depend on the flow split, so a second balance is possible: with a header much
    narrower than its branches, water may be drawn back through one of them. The solver is started
    with each branch in turn shut and reversed; the number of branches tried is limited by the
    number of lines. Legs hold air as in `found`. There may be further solutions that this does not
    find.
    """
    none = found[:0]
    if not network.forks or not network.settles or not found.line_flow.any():
        return none
    network = network.with_air(found.air[0])
    starts = [
        with_scaled_line(network, found.line_flow, *restart) for restart in _restarts(network)
    ]
    # Most starts converge back to `found`; that is clear long before full convergence.
    flows = balanced_from(network, np.concatenate(starts), tolerance=_ROUGH_TOLERANCE)
    kept = _distinct_rows(flows, found.line_flow[0])
    if not kept:
        return none
    flows = balanced_from(network, flows.line_flow[kept])
    return flows[np.array(_distinct_rows(flows, found.line_flow[0]), dtype=np.intp)]


def _distinct_rows(flows: Flows, known: Array) -> list[int]:
    """Rows that converged and differ from `known` and from each other."""
    kept: list[int] = []
    for row in np.flatnonzero(flows.settled):
        others = (known, *flows.line_flow[kept])
        if not any(_same_flows(flows.line_flow[row], other) for other in others):
            kept.append(int(row))
    return kept


def worst_solutions(network: Network, cases: Cases, found: Flows, needs: Array) -> Flows:
    """In each case, the balanced solution in which some unit's share of its need is least.

    The search of `other_solutions` for many cases at once: `found` are the solutions of `cases`,
    and `needs` [m³/s] is the required flow of each unit in each case, shape (n, units).
    """
    if not network.forks:
        return found
    rows = np.flatnonzero(found.settled & found.line_flow.any(axis=1))
    for line, share in _restarts(network):
        some, best = found[rows], found[rows]
        starts = with_scaled_line(network, some.line_flow, line, share)
        others = balanced_from(network, starts, replace(cases[rows], air=some.air))
        least, other_least = (
            least_shares(network, flows.line_flow, needs[rows]) for flows in (best, others)
        )
        size = np.maximum(np.abs(best.line_flow), np.abs(others.line_flow)).max(axis=1)
        apart = np.abs(best.line_flow - others.line_flow).max(axis=1) > _SAME_FLOW * size
        worse = np.flatnonzero(others.settled & apart & (other_least < least))
        found = found.with_rows(rows[worse], others[worse])
    return found


def least_shares(network: Network, line_flow: Array, needs: Array) -> Array:
    """Least flow over need of any unit, by case, shape (n,); `needs` as in `worst_solutions`."""
    units = network.job.condenser
    lines = [network.unit_line(unit.name) for unit in units]
    return np.asarray((line_flow[:, lines] / needs).min(axis=1))


def _restarts(network: Network) -> list[tuple[int, float]]:
    """The starts: lines of the branches, each with a factor on its flow."""
    branches = sorted({line for fork in network.forks for line in fork.first})
    tried = branches[: most_restarts(len(network.lines))]
    return [(line, share) for line in tried for share in _START_FACTORS]


def least_share(network: Network, line_flow: Array) -> float:
    """Least flow over need of any unit, at the line flows [m³/s]."""
    needs = np.array([[unit.needed_flow for unit in network.job.condenser]])
    return float(least_shares(network, line_flow[None, :], needs)[0])


def _same_flows(one: Array, other: Array) -> bool:
    size = max(float(np.abs(one).max()), float(np.abs(other).max()))
    return bool(np.abs(one - other).max() <= _SAME_FLOW * size)
