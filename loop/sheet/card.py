"""The commissioning card: what to read on a healthy loop, and the range that counts as healthy."""

import math
from collections.abc import Iterator
from dataclasses import replace

from loop.check import CheckResult, CondenserResult
from loop.hydraulics import Network
from loop.job import Unit
from loop.margins.heat import TRIPS
from loop.parts import Discharge
from loop.sheet.content import CardGroup, Reading
from loop.sheet.need import need_at
from loop.sheet.spread import Range, Spread
from loop.sheet.vents import called
from loop.tolerances import CONDUCTANCE, HEAT, PUMP_POWER
from loop.units import System, label, parse, show

# So many units on the water's way to another are named; more are counted.
_NAMED = 3
# Sizes of bucket that are at hand, and the time below which a second's error of the thumb counts
# for too much: common practice.
_BUCKETS: dict[System, tuple[str, ...]] = {
    "us": ("1 gal", "2 gal", "5 gal"),
    "si": ("5 L", "10 L", "20 L"),
}
_SHORTEST = 20.0

BLANKS = ("Date", "Boat", "Read by", "Sea temperature", "Supply at the pump")

NOTE = (
    "Read with the strainer clean and the sea as warm as stated; for each degree that the sea is "
    "warmer, expect the condensing temperature a degree higher. Healthy: the pump's, the losses' "
    "and the bores' tolerances through the same model, the pump's power within "
    f"±{PUMP_POWER.half:.0%}, a unit's heat within ±{HEAT.half:.0%} and its condenser's "
    f"conductance within ±{CONDUCTANCE.half:.0%}."
)


def card(result: CheckResult) -> tuple[CardGroup, ...]:
    """Groups of readings: the pump's, shared discharges', then each unit's; none at no flow."""
    if not result.point.flow > 0:
        return ()
    spread = Spread(result.point)
    network = result.point.network
    line = {u.name: network.line_of[network.condenser_part(u.name)] for u in result.condensers}
    lines = list(line.values())
    groups = [CardGroup("Pump", tuple(_pump(result, spread)))]
    at_unit: dict[int, Reading] = {}
    for index, part in enumerate(network.parts):
        if isinstance(part, Discharge) and result.point.flow_through(index) > 0:
            reading = _bucket_at(result, index)
            if lines.count(network.line_of[index]) == 1:
                at_unit[network.line_of[index]] = reading
            else:
                groups.append(CardGroup("Discharge", (reading,)))
    for unit in result.condensers:
        if unit.flow > 0:
            own = [reading for at, reading in at_unit.items() if at == line[unit.name]]
            readings = (*own, *_unit(result, spread, unit))
            groups.append(CardGroup(f"Unit {unit.name}", readings, unit=True))
    return tuple(groups)


def _pump(result: CheckResult, spread: Spread) -> Iterator[Reading]:
    system = result.job.units
    gauge = "gauge at the pump's height"
    yield _reading("Inlet pressure", gauge, spread.inlet_pressure(), "pressure", system)
    yield _reading("Outlet pressure", gauge, spread.outlet_pressure(), "pressure", system)
    if math.isfinite(result.point.power):
        pump = result.job.pump
        supply = show(pump.supply or pump.curve.rated_supply, "voltage", system, digits=0)
        yield _reading("Power", f"wattmeter, at {supply}", spread.power(), "power", system)


def _reading(name: str, how: str, found: Range, quantity: str, system: System) -> Reading:
    return Reading(
        name,
        how,
        show(found.middle, quantity, system),
        span(found.low, found.high, quantity, system),
    )


def _bucket_at(result: CheckResult, index: int) -> Reading:
    network = result.point.network
    where = discharge(network, index)
    flow = result.point.part_flow(index)
    if network.heights[index] <= 0:
        how = f"clamp-on flow meter: no bucket fits under the water at {where}"
        return _reading("Flow", how, Range(*flow), "flow", result.job.units)
    reading = bucket_reading(flow, need_at(result, index), result.job.units)
    return replace(reading, how=f"bucket and stopwatch, {where}")


def open_discharges(network: Network) -> bool:
    """Whether every discharge lies above the water, so that its stream is seen and caught."""
    return all(
        height > 0
        for part, height in zip(network.parts, network.heights, strict=True)
        if isinstance(part, Discharge)
    )


def discharge(network: Network, index: int) -> str:
    """A discharge as it is called, with its branch where it has no name of its own."""
    branch = "" if network.parts[index].label else network.branches[index]
    return called(network.labels[index]) + (f", {branch}" if branch else "")


def bucket_reading(flow: tuple[float, float, float], need: float | None, system: System) -> Reading:
    """The time that a stated bucket takes to fill.

    `flow` is the flow and the edges of its band [m³/s]; `need` [m³/s] the flow at which a unit
    behind this discharge falls short (`loop.sheet.need.need_at`), which bounds what is healthy.
    """
    middle, low, high = flow
    text, volume = bucket(middle, system)
    slowest, digits, note = volume / low if low > 0 else math.inf, 0, ""
    if need is not None and middle >= need:
        # In tenths where whole seconds would put what is expected past the need.
        digits = int(at_most(volume / need) < round(volume / middle))
        limit = at_most(volume / need, digits)
        slowest = min(slowest, limit)
        note = f"the need is met up to {show(limit, 'time', system, digits)}"
    elif need is not None:
        at_need = show(at_most(volume / need), "time", system)
        note = "the need is not met" + f": it is {at_need} or less" * math.isfinite(need)
    fastest = show(volume / high, "time", system, digits)
    healthy = (
        f"{fastest.removesuffix(' s')} to {show(slowest, 'time', system, digits)}"
        if math.isfinite(slowest)
        else f"{fastest} or more"
    )
    return Reading(
        f"Time to fill {text}",
        "bucket and stopwatch",
        show(volume / middle, "time", system, digits),
        healthy,
        note,
    )


def at_most(time: float, digits: int = 0) -> float:
    """A time [s] in whole seconds, or tenths, rounded down: the safe side of a limit.

    >>> at_most(26.7), at_most(26.78, 1)
    (26.0, 26.7)
    """
    return float(math.floor(time * 10**digits + 1e-9) / 10**digits)


def bucket(flow: float, system: System) -> tuple[str, float]:
    """The bucket for a flow [m³/s]: its name, and its volume [m³].

    >>> bucket(parse("240 gal/h", "flow"), "us")[0]
    '2 gal'
    """
    sizes = [(text, parse(text, "volume")) for text in _BUCKETS[system]]
    return next((size for size in sizes if size[1] / flow >= _SHORTEST), sizes[-1])


def _unit(result: CheckResult, spread: Spread, row: CondenserResult) -> Iterator[Reading]:
    system = result.job.units
    if not row.runs_on:
        return  # a unit that trips has no temperature to read
    unit = result.job.unit(row.name)
    sea = show(result.job.water.temperature, "temperature", system)
    rise, hot = spread.rise(unit), spread.condensing(unit)
    if show(row.inlet_temperature, "temperature", system) != sea:
        names = row.warmed_by
        behind = " and ".join(names) if len(names) <= _NAMED else f"the {len(names)} before it"
        how = f"thermometer, before the unit and behind {behind}"
        yield _reading("Water that comes in", how, spread.inlet(unit), "temperature", system)
    both = "thermometer, in and out"
    yield _reading("Rise of the water", both, rise, "temperature_difference", system)
    yield Reading(
        "Condensing temperature",
        f"gauge or sensor, sea at {sea}",
        condensing(hot.middle, system),
        span(hot.low, hot.high, "temperature", system)
        if hot.high <= TRIPS
        else f"{show(hot.low, 'temperature', system)} or more",
        _limits(unit, system),
    )


def condensing(temperature: float, system: System) -> str:
    """A condensing temperature [°C] as text; a dash where nothing flows.

    >>> condensing(40.0, "si"), condensing(300.0, "si")
    ('40.0 °C', 'over 60.0 °C')
    """
    shown = show(min(temperature, TRIPS), "temperature", system)
    if TRIPS < temperature < math.inf:
        return f"over {shown}"
    return show(temperature, "temperature", system)


def _limits(unit: Unit, system: System) -> str:
    limits = (("watch", unit.condensing_watch), ("stop", unit.condensing_stop))
    return ", ".join(
        f"{word} at {show(limit, 'temperature', system)}"
        for word, limit in limits
        if limit is not None
    )


def span(low: float, high: float, quantity: str, system: System) -> str:
    """A range as text, with its unit once.

    >>> span(0.0, 6894.757, "pressure", "us")
    '0.0 to 1.0 psi'
    """
    first = show(low, quantity, system).removesuffix(label(quantity, system)).strip()
    last = show(high, quantity, system)
    return last if last.startswith(f"{first} ") else f"{first} to {last}"
