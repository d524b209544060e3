"""Plans of work on a job, and the maintenance that comes first: cleaning, opening, descaling."""

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

import numpy as np

from loop.balancing.balance import Balance, balanced_at_share
from loop.balancing.isolation import bypasses, enclosing_branches
from loop.balancing.throttle_valves import OPEN_ANGLE, valve_on
from loop.check.context import Context
from loop.check.result import CondenserResult
from loop.check.work import WORK, least_work_first
from loop.curve import Array
from loop.hydraulics import Network, build, solve_flows
from loop.hydraulics.effort import exhausted
from loop.job import Job, JobError
from loop.parts import CheckValve, Condenser, Intake, Seacock, Strainer
from loop.pumps.supply import is_other_supply
from loop.records import dataclass
from loop.words.actions import (
    Action,
    Address,
    ChangeGrate,
    ChangeStrainer,
    CleanGrate,
    CleanStrainer,
    Descale,
    FitValve,
    RemovePart,
    SetSupply,
    SetValve,
    TurnScoop,
    together,
)

# Share of its rated voltage below which a DC pump loses more than its wiring should take: common
# practice, 3 % for critical loads. Up to 10 % is tolerated, but costs less to correct than a pump
# or hose to buy.
_LOW_VOLTAGE = 0.97


@dataclass(frozen=True)
class Plan:
    """Steps that are done before, or along with, a candidate action: maintenance first.

    ``steps`` are actions on the context's job, empty where there is nothing to do.
    """

    context: Context
    steps: tuple[Action, ...]

    @cached_property
    def job(self) -> Job:
        """The job with the steps done."""
        return together(self.steps).apply(self.context.job) if self.steps else self.context.job

    @cached_property
    def duty(self) -> Balance | None:
        """The balance that meets every unit's need at the low edge, with any pump."""
        return balanced_at_share(build(self.job), self.context.flow_margin)

    def of_kinds(self, *kinds: str) -> "Plan":
        """The steps of these kinds of action only."""
        return Plan(self.context, tuple(one for one in self.steps if one.kind in kinds))

    @property
    def only_shared_parts(self) -> bool:
        """Whether all steps are on shared parts, which leaves the branches' balance unchanged."""
        branched = {
            self.context.addresses[index]
            for index, branch in enumerate(self.context.network.branches)
            if branch
        }
        return not any(getattr(step, "part", None) in branched for step in self.steps)

    def steps_that_cure(self) -> Iterator[Action]:
        """The plan, or part of it, that cures by itself: one free step, all free steps, or all
        steps.

        Turning a handle comes before opening anything up.
        """
        free = self.of_kinds(*(kind for kind, work in WORK.items() if work == 0))
        alone = (Plan(self.context, (step,)) for step in free.steps)
        for some in (*alone, free, self):
            if some.steps and some.cures():
                yield some.followed_by()

    def followed_by(self, *actions: Action) -> Action:
        """The plan followed by these actions, less steps on parts that they replace or set."""
        new = {
            step.part
            for action in actions
            for step in action.steps
            if isinstance(step, ChangeGrate | ChangeStrainer | SetValve)
        }
        spared = (CleanGrate, CleanStrainer, SetValve)
        kept = [one for one in self.steps if not (isinstance(one, spared) and one.part in new)]
        return together([*kept, *actions])

    def that_cure(self, actions: Iterable[Action]) -> Iterator[Action]:
        """The actions that cure, each with the plan that precedes it."""
        return (self.followed_by(action) for action in actions if self.cures(action))

    def cures(self, *actions: Action) -> bool:
        """Whether every running unit gets its need, at the low edge too, with this done.

        Answers are cached in the context, since several findings ask the same. False if unknown and
        the allowed effort is used up.
        """
        done, known = (*self.steps, *actions), self.context.cure_cache
        if done not in known:
            if exhausted():
                return False
            known[done] = self._cures(actions)
        return known[done]

    def _cures(self, actions: Sequence[Action]) -> bool:
        network = self._network(actions)
        return network is not None and self.context.suffices(network, self.flows(network))

    def meets_needs_midband(self) -> bool:
        """Whether every running unit then gets its need, if not at the low edge."""
        network = self._network(())
        return network is not None and (self.context.least_share(network, self.flows(network)) >= 1)

    @property
    def can_be_built(self) -> bool:
        """Whether the loop can be built this way: a hose may be too short for it."""
        return self._network(()) is not None

    def _network(self, actions: Sequence[Action]) -> Network | None:
        """The loop with these actions done; None if it cannot be built."""
        try:
            return build(
                self.followed_by(*actions).apply(self.context.job) if actions else self.job
            )
        except (JobError, ValueError):
            return None

    def flows(self, network: Network) -> Array:
        """Flow of each line [m³/s] of a loop derived from this one."""
        same = len(network.lines) == len(self.context.point.line_flow)
        start = self.context.point.line_flow if self.context.has_flow and same else None
        return np.asarray(solve_flows(network, start=start).line_flow[0])


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
    return Plan(plan.context, (*plan.steps, SetSupply(pump_address(plan.context), rated)))


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


def turn_scoop(plan: Plan) -> Iterator[Action]:
    """Turn an aft-facing scoop that leaves the units short, or fit a flush grate in its place."""
    context = plan.context
    if context.network.start_head < 0:
        yield from plan.that_cure(scoop_alternatives(context.addresses[_intake_index(context)]))


def scoop_alternatives(intake: Address) -> Iterator[TurnScoop]:
    """Alternatives to an aft-facing scoop, least work first."""
    yield TurnScoop(intake, "forward")
    yield TurnScoop(intake, "flush")


def flush_grate(context: Context) -> Iterator[TurnScoop]:
    """A flush grate for a scoop, if the pump alone, as at rest, gives every unit its need."""
    rest = context.at_rest
    if rest is None or context.network.start_head <= 0:
        return
    if all(unit.flow_low >= unit.needed_flow for unit in rest.condensers):
        yield TurnScoop(context.addresses[_intake_index(context)], "flush")


def _intake_index(context: Context) -> int:
    return next(i for i, part in enumerate(context.network.parts) if isinstance(part, Intake))


def pump_address(context: Context) -> str:
    """Address of the pump."""
    return context.addresses[context.network.pump_index]


def midband_target(unit: CondenserResult) -> float:
    """Flow at mid-band [m³/s] that puts the low edge at the need, for a band as wide as now."""
    return unit.needed_flow / max(unit.flow_low / max(unit.flow, 1e-12), 0.5)
