"""Everything that is reported of an option."""

import math

from loop.check.build_context import build_context
from loop.hydraulics import OperatingPoint
from loop.job import Job, Price, all_parts
from loop.margins.battery import Running, pump_draw, running_stages
from loop.margins.energy import energy
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.size.fit_choice import with_choice
from loop.size.option_search import Candidate
from loop.size.result import Option, UnitOdds
from loop.size.rules import Rules
from loop.size.worst_case import at_worst_service


def describe_option(rules: Rules, candidate: Candidate, detail_passing: bool = True) -> Option:
    """A candidate with everything reported of it except its rank and the chances.

    Its draw, and a check of it as new, only for the loop as it stands and, with `detail_passing`,
    for options that pass.
    """
    job, choice = rules.job, candidate.choice
    fitted = with_choice(job, choice)
    context = (
        candidate.judged.context if candidate.judged else build_context(at_worst_service(fitted))
    )
    point = context.point
    with_details = (candidate.passes and detail_passing) or choice.as_is
    clean, as_new = rules.as_new(fitted) if with_details else (None, ())
    suction, pressure = _top_speeds(point)
    units = tuple(_unit(point, unit.name, unit.needed_flow) for unit in job.condenser)
    return Option(
        choice=choice,
        rank=0,
        flow=point.flow,
        flow_low=point.flow_low,
        flow_high=point.flow_high,
        chance=math.nan,
        margin=min(unit.flow_low / unit.needed_flow - 1 for unit in units),
        units=units,
        power=point.power,
        suction_velocity=suction,
        pressure_velocity=pressure,
        start_head=max((path.start_head for path in context.air_paths), default=0.0),
        shutoff_head=point.shutoff_head,
        starts_last=tuple(path.branch for path in context.air_paths if path.starves),
        price=price(fitted, choice.strainer.name if choice.strainer else None),
        running=_running(rules, fitted, point),
        energy=energy(point) if with_details else None,
        energy_clean=energy(clean.point) if clean else None,
        as_new=as_new,
        reasons=candidate.reasons,
        said=candidate.said,
    )


def _unit(point: OperatingPoint, name: str, need: float) -> UnitOdds:
    flow, low, high = point.part_flow(point.network.condenser_part(name))
    return UnitOdds(name, need, flow, low, high, math.nan)


def _top_speeds(point: OperatingPoint) -> tuple[float, float]:
    """Highest speed in any hose before the pump and after it [m/s]; 0 without hose."""
    found = [0.0, 0.0]
    for index, part in enumerate(point.network.parts):
        if isinstance(part, Hose):
            flow = abs(float(point.line_flow[point.network.line_of[index]]))
            side = int(index > point.network.pump_index)
            found[side] = max(found[side], float(velocity(flow, part.inner_bore)))
    return found[0], found[1]


def _running(rules: Rules, fitted: Job, point: OperatingPoint) -> tuple[Running, ...]:
    """Draw at each stage that the job states, with the option's pump in place of the job's."""
    job, supply = rules.job, rules.job.supply
    if supply is None or not supply.draw:
        return ()
    present = pump_draw(supply, job.pump.curve, rules.present_power)
    return running_stages(supply, present, pump_draw(supply, fitted.pump.curve, point.power))


def price(job: Job, strainer: str | None) -> float | None:
    """Price of hose, pump and chosen strainer; None if any of them is unknown."""
    prices = job.sizing.price
    hoses = [part for part in all_parts(job.part) if isinstance(part, Hose)]
    costs = [_hose_price(prices, hose) for hose in hoses]
    pump = prices.pump.get(job.pump.curve.name)
    costs.append(None if pump is None else pump * job.pump.count)
    if strainer is not None:
        costs.append(prices.strainer.get(strainer))
    known = [cost for cost in costs if cost is not None]
    return sum(known) if len(known) == len(costs) else None


def _hose_price(prices: Price, hose: Hose) -> float | None:
    for bore, price in prices.hose_per_metre.items():
        if abs(bore - hose.inner_bore) < 1e-4:
            return price * hose.length
    return None
