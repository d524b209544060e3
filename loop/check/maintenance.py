"""The maintenance that comes before anything is bought: cleaning, opening, descaling."""

import math
from collections.abc import Iterator

from loop.balancing.isolation import bypasses, enclosing_branches
from loop.balancing.throttle_valves import OPEN_ANGLE, valve_on
from loop.check.context import Context
from loop.check.plan import Plan
from loop.check.work import least_work_first
from loop.hydraulics import Network
from loop.parts import CheckValve, Condenser, Intake, Seacock, Strainer
from loop.pumps.supply import is_other_supply
from loop.words.actions import (
    Action,
    CleanGrate,
    CleanStrainer,
    Descale,
    FitValve,
    RemovePart,
    SetSupply,
    SetValve,
)

# Share of its rated voltage below which a DC pump loses more than its wiring should take: common
# practice, 3 % for critical loads. Up to 10 % is tolerated, but costs less to correct than a pump
# or hose to buy.
_LOW_VOLTAGE = 0.97


def maintenance(context: Context, number: int) -> Plan:
    """Maintenance before anything new: seacocks open, clean strainers, a clean grate, no scale.

    Only on the path of one unit's water. Valves in other branches stay as they are, since they may
    be balancing. So does a valve on the unit's own branch that a balance would leave part-shut.
    """
    network = context.network
    branches = enclosing_branches(
        network.branches[network.condenser_part(context.condensers[number].name)]
    )
    handles: list[Action] = []
    strainers: list[Action] = []
    others: list[Action] = []
    for index, part in enumerate(network.parts):
        if network.branches[index] not in branches or part.shut:
            continue
        if isinstance(part, Strainer) and part.blocked > 0:
            strainers.append(CleanStrainer(context.addresses[index]))
        elif (
            isinstance(part, Seacock) and part.open < 1 and not _is_balancing_valve(context, index)
        ):
            handles.append(SetValve(context.addresses[index], 0.0))
        elif isinstance(part, Intake) and part.overgrown:
            others.append(CleanGrate(context.addresses[index], Intake.clean))
        elif isinstance(part, Condenser) and part.scale > 0:
            others.append(Descale(context.addresses[index]))
    return Plan(context, (*handles, *strainers, *others))


def _is_balancing_valve(context: Context, index: int) -> bool:
    """Whether a valve belongs to a branch that the balance leaves part-shut."""
    network, even = context.network, context.branch_balance
    if even is None or valve_on(network, network.line_of[index]) != index:
        return False
    if all(
        network.line_of[index] != network.line_of[beside]
        for _, beside, _ in context.throttled_units
    ):
        return False
    return next((t.angle for t in even.throttles if t.part == index), math.inf) >= OPEN_ANGLE


def maintenance_or_valve(plan: Plan, number: int) -> Iterator[Action]:
    """Maintenance, more supply voltage or an opened valve, where that is enough for every unit."""
    one, supply = _open_branch_valve(plan, number), with_rated_voltage(plan).steps_that_cure()
    yield from least_work_first(
        plan.context.job, [(0, plan.steps_that_cure()), (0, one), (1, supply)]
    )


def _open_branch_valve(plan: Plan, number: int) -> Iterator[Action]:
    """Open the valve of a unit's branch although a balance would leave it part-shut.

    By itself, or once everything is clean.
    """
    network = plan.context.network
    valve = valve_on(network, network.unit_line(plan.context.condensers[number].name))
    if valve is not None and (action := SetValve(plan.context.addresses[valve])) not in plan.steps:
        for some in (Plan(plan.context, ()), with_all_cleaned(plan)):
            yield from some.that_cure([action])


def with_all_cleaned(plan: Plan) -> Plan:
    """The plan, extended to dirt and scale on every other unit's path.

    Descaling redirects the water, so anything set or bought for the scaled loop would be wrong
    after it.
    """
    context = plan.context
    parts = list(zip(context.addresses, context.network.parts, strict=True))
    strainers = (CleanStrainer(at) for at, p in parts if isinstance(p, Strainer) and p.blocked > 0)
    scaled = (Descale(at) for at, part in parts if isinstance(part, Condenser) and part.scale > 0)
    others = (step for step in plan.steps if not isinstance(step, Descale))
    return Plan(context, tuple(dict.fromkeys((*others, *strainers, *scaled))))


def with_rated_voltage(plan: Plan) -> Plan:
    """The plan, and rated voltage for a DC pump with too little, if its supply is its own."""
    pump = plan.context.job.pump
    rated = pump.curve.rated_supply
    if pump.curve.drive != "dc" or pump.voltage >= _LOW_VOLTAGE * rated:
        return plan
    if is_other_supply(pump.curve, pump.voltage):
        return plan
    return Plan(plan.context, (*plan.steps, SetSupply(plan.context.pump_address, rated)))


def with_bypasses_shut(plan: Plan) -> Plan:
    """The plan, and each bypass branch shut, by its valve or by a new one."""
    network, addresses = plan.context.network, plan.context.addresses
    shut: list[Action] = []
    for index in bypasses(network):
        valve, bore = valve_on(network, network.line_of[index]), network.parts[index].inner_bore
        if valve is not None:
            shut.append(SetValve(addresses[valve], math.pi / 2))
        else:
            branch = network.branches[index]
            shut.append(FitValve(addresses[index], bore, math.pi / 2, branch))
    return Plan(plan.context, (*plan.steps, *shut))


def with_check_valves_out(plan: Plan) -> Plan:
    """The plan, and no check valve before a pump that is not self-priming."""
    wrong = wrong_check_valves(plan.context.network)
    return Plan(
        plan.context, (*plan.steps, *(RemovePart(plan.context.addresses[i]) for i in wrong))
    )


def wrong_check_valves(network: Network) -> list[int]:
    """Part indices of the check valves before a pump that is not self-priming."""
    before = network.parts[: 0 if network.pump.curve.self_priming else network.pump_index]
    return [index for index, part in enumerate(before) if isinstance(part, CheckValve)]
