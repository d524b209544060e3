"""The commissioning card: what to read on a healthy loop, and the range that counts as healthy."""

import math
from collections.abc import Iterator
from dataclasses import replace

from loop.check import CheckResult, CondenserResult
from loop.hydraulics import Network
from loop.hydraulics.network import SEA_OUT
from loop.job import Unit
from loop.parts import Discharge
from loop.sheet.content import CardGroup, Reading
from loop.sheet.spread import CONDUCTANCE, HEAT, PUMP_POWER, Range, Spread
from loop.sheet.vents import called
from loop.units import System, label, parse, show

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
    f"and the bores' tolerances through the same model, the pump's power within ±{PUMP_POWER:.0%}, "
    f"a unit's heat within ±{HEAT:.0%} and its condenser's conductance within ±{CONDUCTANCE:.0%}."
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
        if isinstance(part, Discharge) and result.point.part_flow(index)[0] > 0:
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
    branch = "" if network.parts[index].label else network.branches[index]
    where = called(network.labels[index]) + (f", {branch}" if branch else "")
    flow = result.point.part_flow(index)
    if network.heights[index] <= 0:
        how = f"clamp-on flow meter: no bucket fits under the water at {where}"
        return _reading("Flow", how, Range(*flow), "flow", result.job.units)
    reading = bucket_reading(flow, _need_at(result, index), result.job.units)
    return replace(reading, how=f"bucket and stopwatch, {where}")


def open_discharges(network: Network) -> bool:
    """Whether every discharge lies above the water, so that its stream is seen and caught."""
    return all(
        height > 0
        for part, height in zip(network.parts, network.heights, strict=True)
        if isinstance(part, Discharge)
    )


def bucket_reading(flow: tuple[float, float, float], need: float | None, system: System) -> Reading:
    """The time that a stated bucket takes to fill.

    `flow` is the flow and the edges of its band [m³/s]; `need` [m³/s] the flow that the units
    behind this discharge need, which bounds what counts as healthy; None where unknown.
    """
    middle, low, high = flow
    text, volume = bucket(middle, system)
    slowest = volume / low if low > 0 else math.inf
    note = ""
    if need is not None:
        at_need = show(volume / need, "time", system)
        if middle >= need:
            slowest = min(slowest, volume / need)
            note = f"the need is met up to {at_need}"
        else:
            note = f"the need is {at_need} or less: not met"
    healthy = (
        span(volume / high, slowest, "time", system)
        if math.isfinite(slowest)
        else f"{show(volume / high, 'time', system)} or more"
    )
    return Reading(
        f"Time to fill {text}",
        "bucket and stopwatch",
        show(volume / middle, "time", system),
        healthy,
        note,
    )


def bucket(flow: float, system: System) -> tuple[str, float]:
    """The bucket for a flow [m³/s]: its name, and its volume [m³].

    >>> bucket(parse("240 gal/h", "flow"), "us")[0]
    '2 gal'
    """
    sizes = [(text, parse(text, "volume")) for text in _BUCKETS[system]]
    return next((size for size in sizes if size[1] / flow >= _SHORTEST), sizes[-1])


def _need_at(result: CheckResult, index: int) -> float | None:
    """Flow that a discharge shows when the units behind it get their need [m³/s].

    None where a manifold sends only part of its water there, so that the two do not follow.
    """
    network = result.point.network
    line = network.line_of[index]
    own = [
        unit.needed_flow
        for unit in result.condensers
        if network.line_of[network.condenser_part(unit.name)] == line
    ]
    outlets = [line for line in network.lines if line.end == SEA_OUT]
    if len(outlets) == 1:
        return sum(unit.needed_flow for unit in result.condensers)
    return sum(own) if own else None


def _unit(result: CheckResult, spread: Spread, row: CondenserResult) -> Iterator[Reading]:
    system = result.job.units
    unit = result.job.unit(row.name)
    sea = show(result.job.water.temperature, "temperature", system)
    rise, condensing = spread.rise(unit), spread.condensing(unit)
    both = "thermometer, in and out"
    yield _reading("Rise of the water", both, rise, "temperature_difference", system)
    how = f"gauge or sensor, sea at {sea}"
    reading = _reading("Condensing temperature", how, condensing, "temperature", system)
    yield replace(reading, note=_limits(unit, system))


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
