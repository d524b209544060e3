"""Which units run, and which of them is shortest of water."""

from collections.abc import Sequence

from loop.balancing.isolation import TRICKLE, shut_on_path, shut_parts
from loop.check.result import CondenserResult
from loop.hydraulics import Network


def running_units(
    network: Network, units: Sequence[CondenserResult]
) -> tuple[CondenserResult, ...]:
    """The units not cut off by a shut valve, and any that get water some other way."""
    shut = shut_parts(network)
    return tuple(
        unit
        for unit in units
        if not shut_on_path(network, shut, network.condenser_part(unit.name))
        or unit.flow > TRICKLE * unit.needed_flow
    )


def shortest_first(
    network: Network, units: Sequence[CondenserResult]
) -> tuple[CondenserResult, ...]:
    """The units by flow over need at the low edge, least first; units shut off by valves last."""
    run = {unit.name for unit in running_units(network, units)}
    return tuple(
        sorted(units, key=lambda unit: (unit.name not in run, unit.flow_low / unit.needed_flow))
    )
