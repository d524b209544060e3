"""What is corrected before a size is chosen: nobody buys a pump for a dirty or small strainer."""

from itertools import islice

from loop.check.build_context import build_context
from loop.check.excessive_losses import replace_lossy_parts
from loop.check.maintenance import maintenance, with_all_cleaned, with_rated_voltage
from loop.check.plan import Plan
from loop.job import Job
from loop.parts import Seacock
from loop.pumps.supply import supply_suits
from loop.size.worst_case import at_worst_service
from loop.words.actions import Action, SetValve, together

# Kinds of action that no choice of hose and pump includes.
_UNSIZED = frozenset(
    {"change-barbs", "change-fitting", "change-grate", "change-strainer", "lead-round"}
)


def corrections(job: Job) -> tuple[Action, ...]:
    """What a check corrects before anything is bought, as far as it lasts in the worst service.

    Shut seacocks on the units' paths, part-shut ones that balance nothing, dirt, scale, low voltage
    of a DC pump, and a part that loses far more than its kind should.
    """
    context = build_context(job)
    shut = tuple(
        SetValve(context.addresses[index])
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Seacock)
        and any(index in context.shut_parts_before(unit.name) for unit in job.condenser)
    )
    if shut:
        job = corrected(job, shut)
        context = build_context(job)
    care, pump = with_all_cleaned(maintenance(context, context.shortest_unit)), job.pump
    # A supply meant for another pump is a matter for the options and for a check.
    steps = (
        with_rated_voltage(care) if supply_suits(pump.power_supply, pump.curve) else care
    ).steps
    worst = at_worst_service(job).part
    lasting = (step for step in steps if at_worst_service(step.apply(job)).part != worst)
    first = (*shut, *lasting)
    return (*first, *_odd_part(corrected(job, first)))


def _odd_part(job: Job) -> tuple[Action, ...]:
    """What a check replaces before a pump, if that alone suffices in the worst service.

    Parts that lose far more than their kind should, and that no size of the choice replaces.
    """
    worst = build_context(at_worst_service(job))
    if not worst.any_marginal:
        return ()
    unsized = _UNSIZED - {"change-strainer"} if job.sizing.strainers else _UNSIZED
    found = (
        action
        for action in replace_lossy_parts(Plan(worst, ()))
        if all(step.kind in unsized for step in action.steps)
        and not build_context(at_worst_service(action.apply(job))).any_marginal
    )
    return tuple(islice(found, 1))


def corrected(job: Job, steps: tuple[Action, ...]) -> Job:
    """The job with these actions done."""
    return together(steps).apply(job) if steps else job
