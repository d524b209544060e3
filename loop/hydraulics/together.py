"""Networks of one layout solved at once: options of a sizing, which differ in sizes alone."""

from collections.abc import Hashable, Sequence

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import CaseNetworks, CasePumps, Cases
from loop.hydraulics.flows import Flows
from loop.hydraulics.layout import layout_of
from loop.hydraulics.leg_states import flows_at_start
from loop.hydraulics.network import Network
from loop.hydraulics.solver import TOLERANCE, solve_in_state


def solve_together(networks: Sequence[Network]) -> None:
    """Find the `nominal_flows` of several networks, those of one layout at once.

    They are kept on each network. A group in which some flows do not converge at first is left to
    be solved one by one.
    """
    groups: dict[Hashable, list[Network]] = {}
    for network in networks:
        groups.setdefault(_kind(network), []).append(network)
    for group in groups.values():
        if len(group) > 1 and (found := _solved(group)) is not None:
            for number, network in enumerate(group):
                vars(network)["nominal_flows"] = found[[number]]


def _kind(network: Network) -> Hashable:
    """What networks that are solved at once have in common."""
    fitted = network.job.fitted
    pieces = tuple(section.pieces for section in network.sections)
    return layout_of(network), pieces, network.start_head, fitted.pump, fitted.loss


def _solved(networks: Sequence[Network]) -> Flows | None:
    """Flows of these networks, a row each; None if some do not converge."""
    first, index = networks[0], np.arange(len(networks))
    every = CaseNetworks(tuple(networks), index)
    cases = Cases(pumps=CasePumps(tuple(one.pump for one in networks), index), networks=every)
    all_settled = True

    def solve(cases: Cases, near: Array | None) -> Flows:
        nonlocal all_settled
        flows = solve_in_state(first.varied(settles=False), cases, False, near, TOLERANCE)
        all_settled &= bool(flows.settled.all())
        return flows

    legs = bool(first.sections)
    found = flows_at_start(first, cases, solve, None) if legs else solve(cases, None)
    return found if all_settled else None
