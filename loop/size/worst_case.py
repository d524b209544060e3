"""The worst service that a choice must withstand: dirty, scaled, warm, and short of supply."""

from loop.job import Job, map_parts
from loop.parts import Condenser, Part, Pump, Strainer


def at_worst_service(job: Job) -> Job:
    """The job at the worst service that its ``[sizing]`` states.

    Strainers blocked, tubes of known bore scaled, the sea at its warmest, and a DC pump on its
    lowest supply. Anything already worse in the job stays.
    """
    sizing = job.sizing
    warmest = job.water.temperature if sizing.warmest_sea is None else sizing.warmest_sea
    water = job.water.model_copy(update={"temperature": max(warmest, job.water.temperature)})
    parts = map_parts(job.part, lambda part: _worn(part, job))
    return job.model_copy(update={"part": parts, "water": water})


def _worn(part: Part, job: Job) -> Part:
    sizing = job.sizing
    if isinstance(part, Strainer):
        return part.model_copy(update={"blocked": max(part.blocked, sizing.service_blocked)})
    if isinstance(part, Condenser) and part.tube_bore is not None:
        return part.model_copy(update={"scale": max(part.scale, sizing.service_scale)})
    if isinstance(part, Pump) and part.curve.drive == "dc" and sizing.lowest_supply is not None:
        return _on_lowest_supply(part, sizing.lowest_supply)
    return part


def _on_lowest_supply(pump: Pump, supply: float) -> Pump:
    return pump.model_copy(update={"supply": min(supply, pump.voltage)})
