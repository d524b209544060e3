"""Single changes that may fix a loop: open a valve, lay a hose lower, fit something larger."""

import math
from collections.abc import Iterator, Sequence

from loop.check.build_context import build_context
from loop.check.discharge_fixes import usual_height
from loop.check.hose_changes import all_hoses_in
from loop.check.lower_routes import hose_run, without_high_points
from loop.check.plan import Plan
from loop.check.pump_changes import new_pump
from loop.check.work import line_bore_if_narrower, work
from loop.job import Job, JobError, Located, locate
from loop.parts import (
    CheckValve,
    Discharge,
    Elbow,
    Hose,
    Intake,
    Pump,
    Seacock,
    Tee,
)
from loop.parts.step import narrower
from loop.pumps.supply import supply_suits
from loop.records import dataclass
from loop.size.options import pumps
from loop.words.actions import (
    Action,
    Address,
    ChangeBore,
    ChangeHose,
    ChangePump,
    FitFullBore,
    LowerOutlet,
    SetValve,
    together,
)
from loop.words.base import hose_before

# Limit on the pumps tried: the next stronger ones.
_MAX_PUMPS = 12
# Larger sizes of a fitting or hose to try, from the present one.
_MAX_SIZES = 3


Ladder = tuple[Address, str]


@dataclass(frozen=True)
class SingleChange:
    """One change of one part or run of hose: the action, and its work (`loop.check.work`).

    Remedies on one ``ladder``, a kind of action at a part, differ only in how far they go: a larger
    ``step`` goes further.
    """

    action: Action
    part: Address
    effort: int
    step: int = 1

    @property
    def ladder(self) -> Ladder:
        """What the remedies on the same ladder have in common."""
        is_run = isinstance(self.action, ChangeHose) and len(self.action.parts) > 1
        return self.part, f"{self.action.kind}{'s' * is_run}"

    @property
    def touches(self) -> frozenset[Address]:
        """The parts that it changes."""
        if isinstance(self.action, ChangeHose):
            return frozenset((*self.action.parts, *self.action.fittings))
        return frozenset((self.part,))


def with_changes(job: Job, changes: Sequence[SingleChange]) -> Job:
    """The job with these changes made."""
    return together(change.action for change in changes).apply(job) if changes else job


def from_action(job: Job, action: Action) -> SingleChange:
    """An action that is not a step of a ladder."""
    return SingleChange(action, getattr(action, "part", ""), work(job, action))


def single_changes(job: Job) -> tuple[SingleChange, ...]:
    """Every single lasting change available to this loop, least work first."""
    found = [
        *(one for item in locate(job.part) for one in _part_changes(job, item)),
        *_all_hoses(job),
        *_stronger_pumps(job),
    ]
    return tuple(sorted(found, key=lambda change: change.effort))


def _change(job: Job, action: Action, part: Address, step: int = 1) -> SingleChange:
    return SingleChange(action, part, work(job, action), step)


def _part_changes(job: Job, item: Located) -> Iterator[SingleChange]:
    part, address = item.part, item.address
    if isinstance(part, Seacock) and part.open < 1:
        yield _change(job, SetValve(address), address)
    elif isinstance(part, Hose):
        yield from _lower_run(job, address)
    elif isinstance(part, Discharge):
        yield from _lower_outlet(job, part, address)
    if isinstance(part, Seacock) and part.port is not None and part.port < part.inner_bore:
        yield _change(job, FitFullBore(address), address)
    yield from _larger_bores(job, item)


def _lower_run(job: Job, address: Address) -> Iterator[SingleChange]:
    """A run of hose with high points, rerouted so that no point is above its ends."""
    run = hose_run(job, address)
    lower = without_high_points(job, run) if address == run[0].address else None
    if lower is not None:
        yield _change(job, lower, address)


def _lower_outlet(job: Job, outlet: Discharge, address: Address) -> Iterator[SingleChange]:
    """An outlet just above the water, if its hose allows it."""
    action = LowerOutlet(address, usual_height(outlet, job.boat, job.units))
    try:
        fits = action.height < outlet.height and bool(action.apply(job))
        hose = hose_before(job, address).address
    except JobError:
        return  # the hose is too short, or there is none
    if fits:
        # Placed at the hose, since its end moves too.
        yield _change(job, action, hose)


def _larger_bores(job: Job, item: Located) -> Iterator[SingleChange]:
    part, address = item.part, item.address
    if not isinstance(part, Hose | Elbow | Tee | CheckValve | Seacock | Intake | Discharge):
        return
    least = line_bore_if_narrower(job, address)
    wider = (bore for bore in set(job.sizing.bores) if narrower(part.inner_bore, bore))
    larger = sorted(bore for bore in wider if not narrower(bore, least))
    for step, bore in enumerate(larger[:_MAX_SIZES], 1):
        hose = isinstance(part, Hose)
        action = ChangeHose((address,), bore) if hose else ChangeBore(address, bore)
        yield _change(job, action, address, step)


def _all_hoses(job: Job) -> Iterator[SingleChange]:
    """All narrow hoses a size larger, with their fittings, if there are several."""
    care = Plan(build_context(job), ())
    least = min(
        (one.part.inner_bore for one in locate(job.part) if isinstance(one.part, Hose)),
        default=math.inf,
    )
    larger = sorted(bore for bore in set(job.sizing.bores) if narrower(least, bore))
    for step, bore in enumerate(larger[:_MAX_SIZES], 1):
        action = all_hoses_in(care, bore)
        if len(action.parts) > 1:
            yield _change(job, action, action.parts[0], step)


def _stronger_pumps(job: Job) -> Iterator[SingleChange]:
    own = job.pump
    address = next(item.address for item in locate(job.part) if isinstance(item.part, Pump))
    stronger = [curve for curve in pumps(job) if curve.strength > own.curve.strength]
    others = [
        curve
        for curve in sorted(stronger, key=lambda one: one.strength)
        if curve.name != own.curve.name
    ]
    for step, curve in enumerate([*new_pump(job), *others][:_MAX_PUMPS], 1):
        action = ChangePump(
            address, curve.name, curve, as_rated=not supply_suits(own.power_supply, curve)
        )
        yield _change(job, action, address, step)
