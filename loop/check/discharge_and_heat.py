"""Findings about the condenser's temperature and about the discharge."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from loop.check.context import Context
from loop.check.discharge_fixes import usual_height
from loop.check.drafts import Draft, draft, just
from loop.check.flow_fixes import more_flow
from loop.check.job_changes import Care, everywhere
from loop.check.result import CondenserResult
from loop.check.siphon_breaks import siphon_broken
from loop.check.through_hulls import has_seacock, seacock_of, shut_out, to_the_hull
from loop.check.vent_height import deepest, least_vent
from loop.job.electrical import EVAPORATING
from loop.margins.heat import HOT, TRIPS, Exchanger, condensing_temperature
from loop.margins.warming import condensing_in_loop, fouling_of, inlet_rises
from loop.parts import Condenser, Discharge
from loop.tolerances import CONDUCTANCE
from loop.words import Action, Level, Place, Value
from loop.words.actions import Descale, LowerOutlet, RaiseOutlet, together

# How far a unit that cools condenses above its evaporating temperature, at least [K]: engineering
# estimate. Its valve needs the pressure between them.
_LEAST_LIFT = 8.0
# Factor on a clean condenser's rated conductance at the poor end of its tolerance.
_POOR = 1 - CONDUCTANCE.half
# A discharge higher than this wastes head and splashes [m], where neither heel nor waves call for
# more: a foot, common practice.
_HIGH = 0.3048


def heat_findings(context: Context) -> Iterator[Draft]:
    """condensing-low; condensing-high, by limits of the job or the trade; or condenser-fouled."""
    if not context.flows:
        return
    for number, result in enumerate(context.condensers):
        if result.flow == 0:
            continue  # no flow is a finding of its own, and no temperature belongs to it
        yield from _low(context, result)
        unit, warmest = context.job.unit(result.name), _warmest(context)
        inlet = result.inlet_temperature + warmest - context.job.water.temperature
        hot = float(condensing_in_loop(context.network, unit, result.flow, inlet))
        result = replace(result, inlet_temperature=inlet, condensing_temperature=hot)
        for limit, level, which in _limits(context, result):
            if hot >= limit:
                yield draft(
                    "condensing-high",
                    level,
                    Place(unit=result.name),
                    _values(context, result, limit, which),
                    partial(_cooler, context, number),
                )
                break
        else:
            yield from _fouled(context, number, result)


def _fouled(context: Context, number: int, result: CondenserResult) -> Iterator[Draft]:
    """A unit that scale, or what a baseline found, makes condense higher than clean it may.

    Clean, with the flow that it needs, straight from the sea: as for water that others warm.
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
    """A unit in water so cold that nothing is left between its evaporating and its condensing."""
    # One that evaporates much colder than an air conditioner heats: no coil cools a cabin so.
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


def _descaled(context: Context, number: int) -> Iterator[Action]:
    """A condenser without its scale; or every one: alone, it takes water from the others."""
    index = context.network.condenser_part(context.condensers[number].name)
    part = context.network.parts[index]
    if isinstance(part, Condenser) and part.scale > 0:
        yield Descale(context.addresses[index])
        yield everywhere(Care(context, ())).with_()


def _cooler(context: Context, number: int) -> Iterator[Action]:
    """A condenser without its scale; then more water, where it has too little."""
    unit = context.condensers[number]
    yield from _descaled(context, number)
    if unit.flow_low < unit.needed_flow:
        yield from more_flow(context, number)


def _limits(context: Context, result: CondenserResult) -> Iterator[tuple[float, Level, str]]:
    """The condensing temperatures [°C] that a unit is held to, the gravest first.

    A job's own, and, where it gets as much water as it needs, the one at which it trips. Where the
    job has none of its own, also the one past which none should run, and, in water that another
    unit has warmed, the one that its needed flow straight from the sea gives.
    """
    unit = context.job.unit(result.name)
    if unit.condensing_stop is not None:
        yield unit.condensing_stop, "fault", "stop"
    if unit.condensing_watch is not None:
        yield unit.condensing_watch, "warning", "watch"
    if result.flow < result.needed_flow:
        return  # what a unit is short of is water
    own = [limit for limit in (unit.condensing_stop, unit.condensing_watch) if limit is not None]
    if unit.condensing_stop is None or unit.condensing_stop > TRIPS:
        yield TRIPS, "fault", "trip"
    if min(own, default=TRIPS) < TRIPS:
        return
    yield HOT, "warning", "hot"
    if result.warmed_by:
        sea = _warmest(context)
        alone = condensing_in_loop(context.network, unit, unit.needed_flow, sea)
        yield float(alone), "warning", "warmed"


def _values(
    context: Context, result: CondenserResult, limit: float, which: str
) -> dict[str, Value | None]:
    """What is said of a unit that condenses too high, and of what would bring it down."""
    unit, sea = context.job.unit(result.name), _warmest(context)
    network = context.network
    at = max(abs(result.flow), unit.needed_flow)
    # What warms the water on its way gets more of it too.
    flows = context.point.line_flow * (at / abs(result.flow))
    rise = inlet_rises(network, flows, sea)[0, context.job.condenser.index(unit)]
    best, alone = condensing_in_loop(network, unit, at, [sea + rise, sea])
    trips = not result.runs_on
    case = ""
    if best < limit:
        case = "short"
    elif result.warmed_by and alone < limit:
        case = "alone"
    own = which if which in ("trip", "hot", "warmed") else ""
    return {
        "case": " ".join(filter(None, (case, own, "trips" * trips))) or None,
        "unit": unit.name,
        "condensing": None if trips else result.condensing_temperature,
        "trips": TRIPS if trips else None,
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
    """Temperature of the sea [°C] at the warmest that the job states."""
    now, warmest = context.job.water.temperature, context.job.sizing.warmest_sea
    return now if warmest is None else max(now, warmest)


def discharge_findings(context: Context) -> Iterator[Draft]:
    """discharge-under-water, discharge-kept-out, discharge-dips, discharge-high."""
    for index, part in enumerate(context.network.parts):
        if not isinstance(part, Discharge):
            continue
        address = context.addresses[index]
        right = usual_height(part, context.job.boat, context.job.units)
        values = {"part": address, "depth": -part.height if part.height < 0 else None}
        if part.height <= 0 and shut_out(context, index):
            yield draft("discharge-kept-out", "note", context.at(index), values)
        elif part.height <= 0:
            yield draft(
                "discharge-under-water",
                "warning",
                context.at(index),
                {**values, "case": None if part.height < 0 else "waterline", "right": right},
                partial(_kept_out, context, index, RaiseOutlet(address, right)),
            )
        elif has_seacock(context, index) and not shut_out(context, index) and _dips(context, part):
            yield draft(
                "discharge-dips",
                "note",
                context.at(index),
                {
                    "part": address,
                    "depth": deepest(part, context.job.boat),
                    "cock": seacock_of(context, index),
                    "least": least_vent(context.job.boat, part),
                },
            )
        elif part.height > max(_HIGH, right):
            yield draft(
                "discharge-high",
                "note",
                context.at(index),
                {"part": address, "height": part.height, "right": right},
                just(LowerOutlet(address, right)),
            )


def _dips(context: Context, part: Discharge) -> bool:
    """Whether heel and trim put a discharge under the water."""
    return deepest(part, context.job.boat) > 0


def _kept_out(context: Context, index: int, raised: Action) -> Iterator[Action]:
    """The seacock and the siphon break that keep the sea out, where one of them is there.

    Else the discharge brought up: what has neither takes as much work as another hole.
    """
    moved = to_the_hull(context, index)
    if moved is not None:
        yield moved
    if moved is not None or has_seacock(context, index):
        for vent in siphon_broken(context, index):
            yield together([vent, *filter(None, [moved])])
    yield raised
