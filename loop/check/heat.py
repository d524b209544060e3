"""Findings about condensing temperatures."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.flow_fixes import more_flow
from loop.check.maintenance import with_all_cleaned
from loop.check.plan import Plan
from loop.check.result import CondenserResult
from loop.job.electrical import EVAPORATING
from loop.margins.heat import HOT_LIMIT, OWN_LIMITS, TRIPS, Exchanger, condensing_temperature
from loop.margins.warming import condensing_in_loop, fouling_of, inlet_rises
from loop.parts import Condenser
from loop.tolerances import CONDUCTANCE
from loop.words import Action, Level, Place, Value
from loop.words.actions import Descale

# Least difference between condensing and evaporating temperature of a unit that cools [K]:
# engineering estimate. Its expansion valve needs the pressure between them.
_LEAST_LIFT = 8.0
# Factor on the rated conductance of a clean condenser at the low end of its tolerance.
_POOR = 1 - CONDUCTANCE.half


def heat_findings(context: Context) -> Iterator[Draft]:
    """condensing-low; condensing-high, by the limits of the job or the trade, or limit-unstated;
    condenser-fouled.
    """
    if not context.has_flow:
        return
    for number, result in enumerate(context.condensers):
        if result.flow == 0:
            continue  # zero flow has its own finding and no temperature
        yield from _low(context, result)
        unit, warmest = context.job.unit(result.name), _warmest(context)
        inlet = result.inlet_temperature + warmest - context.job.water.temperature
        hot = float(condensing_in_loop(context.network, unit, result.flow, inlet))
        result = replace(result, inlet_temperature=inlet, condensing_temperature=hot)
        for limit, level, which in _limits(context, result):
            poor = _at_poor_end(context, result) if which == "stop" and hot < limit else None
            if hot >= limit or (poor is not None and poor >= limit):
                yield draft(
                    "condensing-high",
                    level if poor is None else "warning",
                    Place(unit=result.name),
                    _values(context, result, limit, which, poor),
                    partial(_cooler, context, number),
                )
                break
        else:
            yield from _fouled(context, number, result)
            yield from _unstated(context, result)


def _unstated(context: Context, result: CondenserResult) -> Iterator[Draft]:
    """A unit with its water that condenses where its maker's limits decide, and states none."""
    limits = [limit for limit, _, which in _limits(context, result) if which in ("watch", "stop")]
    stated = min(limits, default=TRIPS) < TRIPS
    if stated or result.flow < result.needed_flow or result.condensing_temperature < OWN_LIMITS:
        return
    sea = _warmest(context)
    yield draft(
        "limit-unstated",
        "warning",
        Place(unit=result.name),
        {
            "unit": result.name,
            "condensing": result.condensing_temperature,
            "inlet": result.inlet_temperature,
            "warmest": sea if sea > context.job.water.temperature else None,
            "limit": OWN_LIMITS,
        },
    )


def _fouled(context: Context, number: int, result: CondenserResult) -> Iterator[Draft]:
    """A unit that scale, or a low fitted conductance, makes condense hotter than a clean one.

    Clean means at the low end of its tolerance, at the required flow, straight from the sea; the
    same reference as for water that other units have warmed.
    """
    unit, network, sea = context.job.unit(result.name), context.network, _warmest(context)
    factor, scale = context.job.fitted.ua, fouling_of(network)[number]
    if result.flow < unit.needed_flow or not (scale > 0 or factor < _POOR):
        return
    poor = Exchanger(ua=_POOR)
    clean = float(condensing_temperature(unit, unit.needed_flow, sea, network.water, poor))
    if result.condensing_temperature < clean:
        return
    yield draft(
        "condenser-fouled",
        "warning",
        Place(unit=unit.name),
        {
            "case": None if scale > 0 else "baseline",
            "unit": unit.name,
            "condensing": result.condensing_temperature,
            "inlet": result.inlet_temperature,
            "warmest": sea if sea > context.job.water.temperature else None,
            "clean": clean,
            "factor": factor,
        },
        partial(_descaled, context, number),
    )


def _low(context: Context, result: CondenserResult) -> Iterator[Draft]:
    """A unit in water so cold that its condensing temperature is too close to evaporating."""
    # Evaporating far colder than an air conditioner means heating: no coil cools a cabin that way.
    evaporating = max(context.job.unit(result.name).evaporating, EVAPORATING)
    if result.condensing_temperature >= evaporating + _LEAST_LIFT:
        return
    yield draft(
        "condensing-low",
        "warning",
        Place(unit=result.name),
        {
            "unit": result.name,
            "condensing": result.condensing_temperature,
            "inlet": result.inlet_temperature,
            "evaporating": evaporating,
            "least": _LEAST_LIFT,
        },
    )


def _at_poor_end(context: Context, result: CondenserResult) -> float | None:
    """Condensing temperature [°C] with flow and conductance at their low ends.

    None if the flow is then too little: that has its own finding.
    """
    if result.flow_low < result.needed_flow:
        return None
    unit, inlet, poor = context.job.unit(result.name), result.inlet_temperature, Exchanger(ua=_POOR)
    return float(condensing_in_loop(context.network, unit, result.flow_low, inlet, poor))


def _descaled(context: Context, number: int) -> Iterator[Action]:
    """Descale the condenser, or every one: descaled alone, it takes water from the others."""
    index = context.network.condenser_part(context.condensers[number].name)
    part = context.network.parts[index]
    if isinstance(part, Condenser) and part.scale > 0:
        yield Descale(context.addresses[index])
        yield with_all_cleaned(Plan(context, ())).followed_by()


def _cooler(context: Context, number: int) -> Iterator[Action]:
    """Descale the condenser; then more water, if it misses its need at the low edge."""
    unit = context.condensers[number]
    yield from _descaled(context, number)
    if unit.flow_low < unit.needed_flow:
        yield from more_flow(context, number)


def _limits(context: Context, result: CondenserResult) -> Iterator[tuple[float, Level, str]]:
    """The condensing temperature limits [°C] of a unit, gravest first.

    The job's own limits and, at the required flow or more, the trip temperature. Where the job sets
    none below that, also the highest normal condensing temperature and, in water that another unit
    has warmed, the one at the required flow straight from the sea.
    """
    unit = context.job.unit(result.name)
    if unit.condensing_stop is not None:
        yield unit.condensing_stop, "fault", "stop"
    if unit.condensing_watch is not None:
        yield unit.condensing_watch, "warning", "watch"
    if result.flow < result.needed_flow:
        return  # the cause is too little water
    own = [limit for limit in (unit.condensing_stop, unit.condensing_watch) if limit is not None]
    if unit.condensing_stop is None or unit.condensing_stop > TRIPS:
        yield TRIPS, "fault", "trip"
    if min(own, default=TRIPS) < TRIPS:
        return
    yield HOT_LIMIT, "warning", "hot"
    if result.warmed_by:
        sea = _warmest(context)
        alone = condensing_in_loop(context.network, unit, unit.needed_flow, sea)
        yield float(alone), "warning", "warmed"


def _values(
    context: Context, result: CondenserResult, limit: float, which: str, poor: float | None
) -> dict[str, Value | None]:
    """Values for a unit that condenses too high, if only at the `poor` end, and for its cures."""
    unit, sea = context.job.unit(result.name), _warmest(context)
    network = context.network
    at = max(abs(result.flow), unit.needed_flow)
    # Units upstream that warm the water get more of it too.
    flows = context.point.line_flow * (at / abs(result.flow))
    rise = inlet_rises(network, flows, sea)[0, context.job.condenser.index(unit)]
    best, alone = condensing_in_loop(network, unit, at, [sea + rise, sea])
    trips = not result.runs_on
    case = ""
    if poor is not None:
        case = "poor"
    elif best < limit:
        case = "short"
    elif result.warmed_by and alone < limit:
        case = "alone"
    own = which if which in ("trip", "hot", "warmed") else ""
    return {
        "case": " ".join(filter(None, (case, own, "trips" * trips))) or None,
        "unit": unit.name,
        "condensing": None if trips else result.condensing_temperature,
        "trips": TRIPS if trips else None,
        "poor": poor,
        "inlet": result.inlet_temperature,
        "sea": sea if result.warmed_by else None,
        "warmed_by": result.warmed_by or None,
        "warmest": sea if sea > context.job.water.temperature else None,
        "which": which,
        "limit": limit,
        "best": float(best),
        "alone": float(alone),
    }


def _warmest(context: Context) -> float:
    """The warmest sea temperature that the job states [°C]."""
    now, warmest = context.job.water.temperature, context.job.sizing.warmest_sea
    return now if warmest is None else max(now, warmest)
