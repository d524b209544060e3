"""How a reading is taken on one loop: where its water leaves, and what can catch it there."""

from dataclasses import replace

from loop.diagnose.reading_kinds import KINDS, ReadingKind
from loop.hydraulics import Network
from loop.parts import Bleed, CheckValve, Condenser, Discharge, Seacock, Strainer
from loop.words.had import Has
from loop.words.sea_ways import outlets_shut

# Minutes where a bucket or a dipped thermometer cannot reach (engineering estimate).
_METER_MINUTES = 10.0
_STRAP_MINUTES = 5.0
# Minutes on a battery-powered pump, where anybody can use a meter (engineering estimate).
_ON_DC = {"supply": ("dc-supply", 1.5), "pump_current": ("dc-current", 2.0)}


def kind_on_loop(network: Network, name: str, unit: str = "") -> ReadingKind:
    """A kind of reading with the method and minutes that apply to this loop.

    ``unit`` names the condenser of a per-unit reading, "" for the whole loop.
    """
    kind = replace(KINDS[name], has=parts_present(network))
    if name == "flow":
        return _flow(network, kind, unit)
    if network.pump.curve.drive == "dc" and name in _ON_DC:
        way, minutes = _ON_DC[name]
        return replace(kind, minutes=minutes, way=way)
    if name == "outlet_temperature" and not (
        _can_be_caught(network, unit) and _is_last_condenser(network, unit)
    ):
        return replace(kind, minutes=_STRAP_MINUTES, way="strapped")
    return kind


def parts_present(network: Network) -> Has:
    """Which parts mentioned in steps a loop has."""
    before, after = network.parts[: network.pump_index], network.parts[network.pump_index :]
    in_branches = (p for p, name in zip(network.parts, network.branches, strict=True) if name)
    return Has(
        seacock=any(isinstance(part, Seacock) for part in before),
        strainer=any(isinstance(part, Strainer) for part in before),
        bleed=any(isinstance(part, Bleed) for part in after),
        valves=any(isinstance(part, Seacock) for part in in_branches),
        check_valve=any(isinstance(part, CheckValve) for part in after),
        high=network.heights[network.pump_index] > 0,
        outlets_shut=outlets_shut(network.job),
        stream=any(isinstance(part, Discharge) and part.height > 0 for part in after),
    )


def _flow(network: Network, kind: ReadingKind, unit: str) -> ReadingKind:
    if not _can_be_caught(network, unit):
        way = "clamped-unit" if unit else "clamped"
        return replace(kind, minutes=_METER_MINUTES, tool="flow meter", way=way)
    ends = sum(isinstance(part, Discharge) for part in network.parts)
    if unit and ends > 1:
        return replace(kind, way="own-discharge")
    if ends > 1:
        return replace(kind, minutes=kind.minutes * ends, way="each-discharge")
    return kind


def _can_be_caught(network: Network, unit: str) -> bool:
    """Whether the water of one unit, or all of it, can be caught alone where it leaves the boat."""
    line = network.unit_line(unit) if unit else None
    ends = [
        part
        for part, own in zip(network.parts, network.line_of, strict=True)
        if isinstance(part, Discharge) and line in (None, own)
    ]
    return bool(ends) and all(part.height > 0 for part in ends)


def _is_last_condenser(network: Network, unit: str) -> bool:
    """Whether a unit's water meets no other condenser before the end of its line."""
    own = network.condenser_part(unit or network.job.condenser[0].name)
    behind = (i for i in network.lines[network.line_of[own]].parts if i > own)
    return not any(isinstance(network.parts[i], Condenser) for i in behind)
