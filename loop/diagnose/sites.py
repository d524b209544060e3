"""Possible sites of each fault on a loop: only parts that it has.

A site is named by the part's own label, or by a name built from it here. Drill files refer to sites
by this name: like the label it is data, and is displayed unchanged.
"""

from collections.abc import Callable, Iterator

from loop.diagnose.model_change import Site
from loop.hydraulics import Cases, Network, nominal_flows, solve_flows
from loop.hydraulics.legs import Leg
from loop.parts import CheckValve, Discharge, Hose, Intake, Manifold, Part, Pump, Seacock, Strainer

# A fault shows where it reduces a flow below this share of the flow without it, and air in a leg is
# a fault only where it does (engineering estimate).
FELT = 0.93

Sites = Callable[[Network, int], Iterator[Site]]


def whole(where: str) -> Sites:
    """The loop as a whole, or something that is not a part of it, under this name."""

    def sites(network: Network, units: int) -> Iterator[Site]:
        yield Site(where)

    return sites


def suction(kind: type[Part]) -> Sites:
    """The first part of a kind before the pump; for hoses the longest."""

    def sites(network: Network, units: int) -> Iterator[Site]:
        before = [i for i in range(network.pump_index) if isinstance(network.parts[i], kind)]
        if before:
            index = max(before, key=lambda i: getattr(network.parts[i], "length", 0.0))
            yield Site(network.labels[index], index)

    return sites


def air_entries(network: Network, units: int) -> Iterator[Site]:
    """Where a suction side draws air: lid and clamps, which no reading separates."""
    before = network.parts[: network.pump_index]
    lid = any(isinstance(part, Strainer) for part in before)
    yield Site("strainer lid or suction hose clamps" if lid else "suction hose clamps")


def pump(network: Network, units: int) -> Iterator[Site]:
    """The pump."""
    yield Site(network.labels[network.pump_index], network.pump_index)


def pump_on_ac(network: Network, units: int) -> Iterator[Site]:
    """The pump, where its motor has a start capacitor."""
    if network.pump.curve.drive != "dc":
        yield from pump(network, units)


def ac_supply(where: str) -> Sites:
    """The pump's supply, or what feeds it, under this name, where the pump runs on AC."""

    def sites(network: Network, units: int) -> Iterator[Site]:
        if network.pump.curve.drive != "dc":
            yield Site(where)

    return sites


def pressure_hose(network: Network, units: int) -> Iterator[Site]:
    """The longest hose after the pump on its own line; on any line where that has none."""
    hoses = [
        i
        for i in range(network.pump_index + 1, len(network.parts))
        if isinstance(network.parts[i], Hose)
    ]
    main = [i for i in hoses if network.line_of[i] == network.pump_line]
    if main or hoses:
        index = max(main or hoses, key=lambda i: getattr(network.parts[i], "length", 0.0))
        yield Site(network.labels[index], index)


def condensers(network: Network, units: int) -> Iterator[Site]:
    """Each unit's condenser."""
    for number, unit in enumerate(network.job.condenser[:units]):
        part = network.condenser_part(unit.name)
        label = network.labels[part]
        one = len(network.job.condenser) == 1
        yield Site(label if one else f"condenser {unit.name}", part, number)


def units_and_pump(network: Network, units: int) -> Iterator[Site]:
    """Each unit's condenser; and a loop's only unit with the pump that it alone calls for."""
    yield from condensers(network, units)
    if len(network.job.condenser) == 1:
        yield Site("unit, and the pump with it", network.pump_index, 0, still=True)


def discharges(network: Network, units: int) -> Iterator[Site]:
    """Each discharge."""
    for index, part in enumerate(network.parts):
        if isinstance(part, Discharge):
            branch, label = network.branches[index], network.labels[index]
            yield Site(f"discharge of {branch}" if branch else label, index)


def check_valves(network: Network, units: int) -> Iterator[Site]:
    """Each check valve."""
    for index, part in enumerate(network.parts):
        if isinstance(part, CheckValve):
            yield Site(network.labels[index], index)


def branches(network: Network, units: int) -> Iterator[Site]:
    """Each unit's branch, at its longest hose, or its first part where it has none."""
    for number, unit in enumerate(network.job.condenser[:units]):
        line = network.lines[network.unit_line(unit.name)]
        if line.branch:
            own = [i for i in line.parts if not isinstance(network.parts[i], Manifold | Pump)]
            at = max(own, key=lambda i: getattr(network.parts[i], "length", 0.0))
            yield Site(f"branch {line.branch}", at, number)


def shared_branches(network: Network, units: int) -> Iterator[Site]:
    """Each unit's branch where several have one, so that one may take another's water."""
    found = list(branches(network, units))
    if len({network.line_of[site.part] for site in found}) > 1:
        yield from found


def branch_valves(network: Network, units: int) -> Iterator[Site]:
    """The first ball valve in each unit's branch."""
    for number, unit in enumerate(network.job.condenser[:units]):
        line = network.lines[network.unit_line(unit.name)]
        valves = [i for i in line.parts if isinstance(network.parts[i], Seacock)]
        if line.branch and valves:
            yield Site(f"branch {line.branch}", valves[0], number)


def _full_legs(network: Network, to_outlet: bool) -> Iterator[Leg]:
    """Falling legs outside branches that run full at the start, and where air would matter.

    Those that end at an outlet, or those that do not.
    """
    legs = [leg for leg in network.legs if not leg.branch and (leg.outlet is not None) == to_outlet]
    if not legs:
        return
    start = nominal_flows(network)
    for leg in legs:
        if start.air[0, list(leg.sections)].any():
            continue
        air = start.air.copy()
        air[0, list(leg.sections)] = True
        dry = solve_flows(network, Cases(air=air)).line_flow[0, network.pump_line]
        if dry < FELT * start.line_flow[0, network.pump_line]:
            yield leg


def high_points(network: Network, units: int) -> Iterator[Site]:
    """High points followed by a low point, on the lines that carry all the water."""
    for leg in _full_legs(network, to_outlet=False):
        yield Site(f"high point at {network.labels[leg.from_part]}", leg.from_part)


def siphons(network: Network, units: int) -> Iterator[Site]:
    """The fall from the last high point to an outlet, whose head a full line recovers."""
    for leg in _full_legs(network, to_outlet=True):
        yield Site(f"fall after {network.labels[leg.from_part]}", leg.from_part)


INTAKE, SEACOCK, STRAINER = suction(Intake), suction(Seacock), suction(Strainer)
SUCTION_HOSE = suction(Hose)
