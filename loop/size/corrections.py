"""What is corrected before a size is chosen: nobody buys a pump for a dirty strainer."""

from loop.check.build_context import build_context
from loop.check.job_changes import maintenance, with_all_cleaned, with_rated_voltage
from loop.job import Job
from loop.parts import Seacock
from loop.pumps.supply import supply_suits
from loop.size.worst_case import at_worst_service
from loop.words.actions import Action, SetValve, together


def corrections(job: Job) -> tuple[Action, ...]:
    """What a check corrects before anything is bought, as far as it lasts in the worst service.

    Shut seacocks on the units' paths, part-shut ones that balance nothing, dirt, scale, and low
    voltage of a DC pump.
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
    return (*shut, *(step for step in steps if at_worst_service(step.apply(job)).part != worst))


def corrected(job: Job, steps: tuple[Action, ...]) -> Job:
    """The job with these actions done."""
    return together(steps).apply(job) if steps else job
