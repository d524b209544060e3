"""What is put right before a size is chosen: nobody buys a pump for a dirty strainer."""

from loop.check.job_changes import cared_for, everywhere, powered
from loop.check.look import look
from loop.job import Job
from loop.parts import Seacock
from loop.pumps.supply import supply_suits
from loop.size.worst_case import in_service
from loop.words.actions import Action, SetValve, together


def put_right(job: Job) -> tuple[Action, ...]:
    """What a check puts right before anything is bought, down to what the worst service allows.

    Shut seacocks on the units' ways, those part shut that balance nothing, dirt, scale; the
    rated voltage of a DC pump that has too little.
    """
    context = look(job)
    shut = tuple(
        SetValve(context.addresses[index])
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Seacock)
        and any(index in context.shut_before(unit.name) for unit in job.condenser)
    )
    if shut:
        job = right(job, shut)
        context = look(job)
    care, pump = everywhere(cared_for(context, context.shortest)), job.pump
    # Another supply than its own is for the options, and for a check, to say.
    steps = (powered(care) if supply_suits(pump.power_supply, pump.curve) else care).steps
    worst = in_service(job).part
    return (*shut, *(step for step in steps if in_service(step.apply(job)).part != worst))


def right(job: Job, steps: tuple[Action, ...]) -> Job:
    """The job with these things put right."""
    return together(steps).apply(job) if steps else job
