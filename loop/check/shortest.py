"""Which units run, and which of them is shortest of water."""

from collections.abc import Sequence

from loop.balancing.isolation import TRICKLE, shut_on_way, shut_parts
from loop.check.result import CondenserResult
from loop.hydraulics import Network


def running(network: Network, units: Sequence[CondenserResult]) -> tuple[CondenserResult, ...]:
    """The units that no shut valve keeps from their water, or that get it some other way."""
    shut = shut_parts(network)
    return tuple(
        unit
        for unit in units
        if not shut_on_way(network, shut, network.condenser_part(unit.name))
        or unit.flow > TRICKLE * unit.needed_flow
    )


def shortest_first(
    network: Network, units: Sequence[CondenserResult]
) -> tuple[CondenserResult, ...]:
    """The units by what of their need they get at the low edge; those that valves shut off last."""
    run = {unit.name for unit in running(network, units)}
    return tuple(
        sorted(units, key=lambda unit: (unit.name not in run, unit.flow_low / unit.needed_flow))
    )
