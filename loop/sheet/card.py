"""The commissioning card: what to read on a healthy loop, and the healthy range of each."""

import math
from collections.abc import Iterator
from dataclasses import replace

from loop.check import CheckResult, CondenserResult
from loop.hydraulics import Network
from loop.job import Unit
from loop.margins.heat import TRIPS, runs_on
from loop.parts import Discharge
from loop.sheet.content import CardGroup, Reading
from loop.sheet.need import need_at
from loop.sheet.spread import Range, Spread
from loop.tolerances import CONDUCTANCE, HEAT, PUMP_POWER
from loop.units import System, parse, show, unitless
from loop.words.job_sheet import SAY
from loop.words.speaker import called

# Name at most this many units upstream of another; count them if there are more.
_NAMED = 3
# Bucket sizes at hand, and the time below which a second's error on the stopwatch is too much:
# common practice.
_BUCKETS: dict[System, tuple[str, ...]] = {
    "us": ("1 gal", "2 gal", "5 gal"),
    "si": ("5 L", "10 L", "20 L"),
}
_SHORTEST = 20.0

# Rows to fill in by hand.
BLANKS = ("blank-date", "blank-boat", "blank-reader", "blank-sea", "blank-supply")


def note() -> str:
    """The conditions under which the card's readings hold."""
    spreads = {"power": PUMP_POWER.half, "heat": HEAT.half, "conductance": CONDUCTANCE.half}
    return SAY("card-note", **spreads)


def card(result: CheckResult) -> tuple[CardGroup, ...]:
    """Groups of readings: pump, shared discharges, then each unit; none if there is no flow."""
    if not result.point.flow > 0:
        return ()
    spread = Spread(result.point)
    network = result.point.network
    line = {u.name: network.unit_line(u.name) for u in result.condensers}
    lines = list(line.values())
    groups = [CardGroup(SAY("card-pump"), tuple(_pump(result, spread)))]
    at_unit: dict[int, Reading] = {}
    for index, part in enumerate(network.parts):
        if isinstance(part, Discharge) and result.point.flow_through(index) > 0:
            reading = _bucket_at(result, index)
            if lines.count(network.line_of[index]) == 1:
                at_unit[network.line_of[index]] = reading
            else:
                groups.append(CardGroup(SAY("card-discharge"), (reading,)))
    for unit in result.condensers:
        if unit.flow > 0:
            own = [reading for at, reading in at_unit.items() if at == line[unit.name]]
            readings = (*own, *_unit(result, spread, unit))
            groups.append(CardGroup(SAY("card-unit", unit=unit.name), readings, unit=True))
    return tuple(groups)


def _pump(result: CheckResult, spread: Spread) -> Iterator[Reading]:
    system = result.job.units
    gauge, inlet, outlet = (SAY(row) for row in ("card-gauge", "card-inlet", "card-outlet"))
    yield _reading(inlet, gauge, spread.inlet_pressure(), "pressure", system)
    yield _reading(outlet, gauge, spread.outlet_pressure(), "pressure", system)
    if math.isfinite(result.point.power):
        pump = result.job.pump
        how = SAY("card-wattmeter", system, supply=pump.supply or pump.curve.rated_supply)
        yield _reading(SAY("card-power"), how, spread.power(), "power", system)


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
        how = SAY("card-flow-meter", where=where)
        return _reading(SAY("card-flow"), how, Range(*flow), "flow", result.job.units)
    reading = bucket_reading(flow, need_at(result, index), result.job.units)
    return replace(reading, how=SAY("card-bucket-at", where=where))


def open_discharges(network: Network) -> bool:
    """Whether every discharge is above the waterline, so its stream can be seen and caught."""
    return all(
        height > 0
        for part, height in zip(network.parts, network.heights, strict=True)
        if isinstance(part, Discharge)
    )


def discharge(network: Network, index: int) -> str:
    """Name of a discharge, with its branch if it has no label of its own."""
    branch = "" if network.parts[index].label else network.branches[index]
    return called(network.labels[index]) + (f", {branch}" if branch else "")


def bucket_reading(flow: tuple[float, float, float], need: float | None, system: System) -> Reading:
    """Time to fill a stated bucket.

    `flow` is the flow and the limits of its band [m³/s]. `need` [m³/s] is the flow at which a unit
    behind this discharge falls short (`loop.sheet.need.need_at`); it limits the healthy range.
    """
    middle, low, high = flow
    text, volume = bucket(middle, system)
    slowest, digits, note = volume / low if low > 0 else math.inf, 0, ""
    if need is not None and middle >= need:
        # Use tenths if whole seconds would put the expected time past the limit.
        digits = int(at_most(volume / need) < round(volume / middle))
        limit = at_most(volume / need, digits)
        slowest = min(slowest, limit)
        note = SAY("card-need-met", time=show(limit, "time", system, digits))
    elif need is not None:
        at_need = show(at_most(volume / need), "time", system)
        note = SAY("card-need-not-met", time=at_need if math.isfinite(need) else None)
    fastest = show(volume / high, "time", system, digits)
    healthy = (
        _ranged(fastest, show(slowest, "time", system, digits), "time", system)
        if math.isfinite(slowest)
        else SAY("card-or-more", low=fastest)
    )
    return Reading(
        SAY("card-bucket", bucket=text),
        SAY("card-bucket-how"),
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
    """The bucket to use for a flow [m³/s]: its name and its volume [m³].

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
        names = row.warmed_by or (row.name,)  # a unit's own water may recirculate
        few = len(names) <= _NAMED
        behind = " and ".join(names) if few else SAY("card-units-before", count=len(names))
        how = SAY("card-water-in-how", units=behind)
        yield _reading(SAY("card-water-in"), how, spread.inlet(unit), "temperature", system)
    how = SAY("card-rise-how")
    yield _reading(SAY("card-rise"), how, rise, "temperature_difference", system)
    yield Reading(
        SAY("card-condensing"),
        SAY("card-condensing-how", sea=sea),
        condensing(hot.middle, system),
        span(hot.low, hot.high, "temperature", system)
        if runs_on(hot.high)
        else SAY("card-or-more", low=show(hot.low, "temperature", system)),
        _limits(unit, system),
    )


def condensing(temperature: float, system: System) -> str:
    """A condensing temperature [°C] as text; a dash if nothing flows.

    >>> condensing(40.0, "si"), condensing(300.0, "si")
    ('40.0 °C', 'over 60.0 °C')
    """
    shown = show(min(temperature, TRIPS), "temperature", system)
    if math.isfinite(temperature) and not runs_on(temperature):
        return SAY("card-over", limit=shown)
    return show(temperature, "temperature", system)


def _limits(unit: Unit, system: System) -> str:
    limits = (("card-watch", unit.condensing_watch), ("card-stop", unit.condensing_stop))
    return ", ".join(SAY(row, system, limit=limit) for row, limit in limits if limit is not None)


def span(low: float, high: float, quantity: str, system: System) -> str:
    """A range as text, with its unit written once.

    >>> span(0.0, 6894.757, "pressure", "us")
    '0.0 to 1.0 psi'
    """
    texts = show(low, quantity, system), show(high, quantity, system)
    return _ranged(*texts, quantity, system)


def _ranged(low: str, high: str, quantity: str, system: System) -> str:
    first = unitless(low, quantity, system)
    return high if high.startswith(f"{first} ") else SAY("card-span", low=first, high=high)
