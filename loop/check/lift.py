"""How far down a discharge must come for the units to have their water."""

import math

from loop.check.remedy import Care, with_parts
from loop.check.result import CondenserResult
from loop.hydraulics import Network
from loop.job import Job
from loop.parts import AnyPart, Discharge

# Height of a discharge above the water [m] below which its stream is hard to see: common practice.
OUTLET_HEIGHT = 0.15
# Share of a need that a change must add to be worth words: engineering estimate.
_WORTH = 0.1


def lowered(care: Care, unit: CondenserResult) -> str | None:
    """Words for the greatest height of the unit's discharge that gives every unit its need."""
    outlets = _outlets(care, unit)
    level = highest_outlet(care, outlets)
    return None if level is None else _brought_down(care, unit, outlets, level)


def eased_lift(care: Care, unit: CondenserResult) -> str:
    """Words for what a high discharge costs a unit, though lowering it alone does not cure."""
    outlets = _outlets(care, unit)
    level = _lowest_steps(care) * _step(care)
    if max(care.subject.network.heights[i] for i in outlets) < 2 * level:
        return ""
    job = with_outlets(care.job, care.subject.network, outlets, level)
    if care.flow(unit.name, job) < unit.flow + _WORTH * unit.needed_flow:
        return ""
    return f"; without that, {_brought_down(care, unit, outlets, level)}"


def _brought_down(care: Care, unit: CondenserResult, outlets: set[int], level: float) -> str:
    say, network = care.subject.say, care.subject.network
    height = max(network.heights[i] for i in outlets)
    flow = care.flow(unit.name, with_outlets(care.job, network, outlets, level))
    return (
        f"bring the discharge down from {say(height, 'height')} to {say(level, 'height')} above "
        f"the waterline: {say(flow, 'flow')}"
    )


def _outlets(care: Care, unit: CondenserResult) -> set[int]:
    """The discharges of a unit's ways."""
    network = care.subject.network
    index = network.condenser_part(unit.name)
    return {way[-1] for _, way in network.paths() if index in way}


def _step(care: Care) -> float:
    """An inch or a centimetre [m], to which heights are told."""
    return 0.0254 if care.subject.job.units == "us" else 0.01


def _lowest_steps(care: Care) -> int:
    return math.ceil(OUTLET_HEIGHT / _step(care))


def highest_outlet(care: Care, outlets: set[int]) -> float | None:
    """Height [m], in whole inches or centimetres, that cures with these discharges no higher."""
    network = care.subject.network
    step, low = _step(care), _lowest_steps(care)
    high = math.ceil(max(network.heights[i] for i in outlets) / step)

    def cures(steps: int) -> bool:
        return care.cures(with_outlets(care.job, network, outlets, steps * step))

    if high <= low or not cures(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if cures(middle) else (low, middle)
    return low * step


def with_outlets(job: Job, network: Network, outlets: set[int], height: float) -> Job:
    """The job with these discharges at `height` [m] where they are higher."""
    moved = {id(network.parts[i]) for i in outlets}

    def change(part: AnyPart) -> AnyPart:
        if isinstance(part, Discharge) and id(part) in moved and part.height > height:
            return part.model_copy(update={"height": height})
        return part

    return with_parts(job, change)
