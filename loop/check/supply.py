"""Findings about the pump's supply: what burns or stalls it, and what it seldom gets."""

import math
from collections.abc import Iterator
from functools import partial

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.flow_fixes import more_flow
from loop.check.hose_changes import larger_hose, one_hose
from loop.check.maintenance import maintenance, with_all_cleaned
from loop.check.pump_changes import others_on_supply, pumps_on_supply, rated_pump, stronger_pump
from loop.check.result import CondenserResult
from loop.check.work import least_work_first
from loop.job import Put
from loop.job.edit import edit
from loop.pumps.supply import (
    PowerSupply,
    SupplyFault,
    is_other_supply,
    nominal_voltage,
    supply_faults,
    tolerated_range,
)
from loop.words import LEVELS, Place, Value
from loop.words.actions import Action, ChangePump, SetSupply

# Supply over rating of a DC pump above which the supply is charging: engineering estimate.
_CHARGED = 1.05
# Share of its nominal voltage at which a lead-acid bank is empty, 10.5 V of 12: common practice.
_EMPTY = 0.875
# Least share of it that wiring leaves a pump: common practice, 10 % drop at the most.
_WIRED = 0.9
# Supply fault kinds that concern frequency.
_OF_FREQUENCY = ("frequency", "sum", "drift", "scaled")


def supply_findings(context: Context) -> Iterator[Draft]:
    """supply-wrong, supply-low, supply-charging, supply-sags."""
    yield from _charging(context)
    yield from _sags(context)
    yield from _motor_findings(context)


def _motor_findings(context: Context) -> Iterator[Draft]:
    """supply-wrong, supply-low: what the pump's motor does not stand, whatever flows."""
    pump = context.job.pump
    faults: dict[str, SupplyFault] = {
        fault.kind: fault for fault in supply_faults(pump.curve, pump.power_supply)
    }
    if faults:
        yield _wrong(context, faults)
    else:
        yield from _bank(context)
        yield from _low(context)


def _bank(context: Context) -> Iterator[Draft]:
    """A DC pump next to a battery bank of another voltage.

    The pump runs on the bank unless the file states its own supply: then there may be a converter
    that the file does not mention.
    """
    pump, bank = context.job.pump, context.job.supply
    if bank is None or pump.curve.drive != "dc":
        return
    there = PowerSupply("dc", bank.voltage)
    stated = pump.supply is not None
    if pump.power_supply.volts == bank.voltage or not supply_faults(pump.curve, there):
        return
    yield draft(
        "supply-wrong",
        "warning" if stated else "danger",
        context.place(context.network.pump_index),
        {
            "case": "bank-stated" if stated else "bank",
            "pump": pump.curve.name,
            "rated": pump.curve.rated_supply,
            "stated": pump.power_supply.volts,
            "supply": bank.voltage,
        },
        partial(_for_the_bank, context, there),
    )


def _low(context: Context) -> Iterator[Draft]:
    """A DC pump at a voltage at which a bank is empty, or wiring drops more than it may.

    From the bank's stated voltage, or else the nominal one. A note if the maker's stated range
    allows it: that says nothing about the bank.
    """
    pump = context.job.pump
    curve, given = pump.curve, pump.voltage
    nominal, bank = nominal_voltage(curve.rated_supply), context.job.supply
    full = nominal
    if bank is not None and nominal_voltage(bank.voltage) == nominal:
        full = max(bank.voltage, nominal)
    if curve.drive != "dc" or given >= _WIRED * full:
        return
    least = _EMPTY * nominal
    empty = given <= least or math.isclose(given, least)
    yield draft(
        "supply-low",
        "warning" if empty and curve.supply_range is None else "note",
        context.place(context.network.pump_index),
        {
            "case": "wire" if not empty else "empty" if math.isclose(given, least) else None,
            "supply": given,
            "least": least,
            "rated": curve.rated_supply,
            "full": full,
        },
        fixed_candidates(SetSupply(context.pump_address, curve.rated_supply)),
    )


def _for_the_bank(context: Context, bank: PowerSupply) -> Iterator[Action]:
    """Pumps rated for the bank."""
    plan, address = maintenance(context, context.shortest_unit), context.pump_address
    pumps = others_on_supply(context.job.pump, bank)
    yield from plan.that_cure(ChangePump(address, one.name, as_rated=True) for one in pumps)


def _wrong(context: Context, faults: dict[str, SupplyFault]) -> Draft:
    """One finding for everything wrong with the supply: one pump, or one supply, fixes it."""
    pump = context.job.pump
    curve, volts, hertz = pump.curve, faults.get("voltage"), faults.get("frequency")
    stated, values = faults.get("range"), dict[str, Value | None]()
    near = faults.get("drift") or faults.get("sum") or faults.get("scaled")
    case: str | None = None
    if near is not None:
        case = near.kind
        values = {"rated_frequency": near.rated, "frequency": near.given}
        values |= {"rated": curve.rated_supply, "supply": pump.voltage}
    if stated is not None:
        case = "range"
        values = {"supply": stated.given, "low": stated.low, "high": stated.high}
    if volts is not None:
        values = {"rated": volts.rated, "supply": volts.given}
        case = "high" if volts.given > volts.high else None
        if case is None and curve.drive == "dc":
            case, values["speed"] = "slow", pump.speed
    if hertz is not None:
        case = "frequency" if volts is None else "both"
        values |= {"rated_frequency": hertz.rated, "frequency": hertz.given}
    return draft(
        "supply-wrong",
        min((fault.level for fault in faults.values()), key=LEVELS.index),
        context.place(context.network.pump_index),
        {"case": case, "pump": curve.name, **values},
        partial(_fixes, context, faults),
        basis=("ac supply",) if curve.drive == "ac" else (),
    )


def _fixes(context: Context, faults: dict[str, SupplyFault]) -> Iterator[Action]:
    """A pump for the present supply, if no wiring can supply this one; or the right supply."""
    address, pump = context.pump_address, context.job.pump
    if is_other_supply(pump.curve, pump.voltage) or "frequency" in faults:
        plan = maintenance(context, context.shortest_unit)
        yield from plan.that_cure(pumps_on_supply(plan))
    hertz = next((one.rated for kind, one in faults.items() if kind in _OF_FREQUENCY), None)
    first = next(iter(faults.values()))
    right = pump.curve.rated_supply if first.kind == "scaled" else first.rated
    held = first.kind in _OF_FREQUENCY and first.kind != "scaled"
    yield SetSupply(address, None if held else right, hertz)


def _charging(context: Context) -> Iterator[Draft]:
    """Units with enough only while the bank charges; candidates are those at rated voltage."""
    pump = context.job.pump
    rated, given = pump.curve.rated_supply, pump.voltage
    if pump.curve.drive != "dc" or not _CHARGED * rated < given <= tolerated_range(pump.curve)[1]:
        return
    if not any(unit.flow_low >= unit.needed_flow for unit in context.condensers):
        return
    resting = build_context(edit(context.job, [Put(f"{context.pump_address}.supply", rated)]))
    for number, (unit, rest) in enumerate(zip(context.condensers, resting.condensers, strict=True)):
        if rest.flow_low < rest.needed_flow <= unit.flow_low:
            yield draft(
                "supply-charging",
                "warning",
                Place(unit=unit.name),
                {
                    "unit": unit.name,
                    "supply": given,
                    "rated": rated,
                    "flow": rest.flow,
                    "low": rest.flow_low,
                    "needed": rest.needed_flow,
                },
                partial(more_flow, resting, number),
            )


def _sags(context: Context) -> Iterator[Draft]:
    """Units that fall short on the lowest stated supply; if none, the flow on it.

    A note, unless that supply is lower than the bank or the motor should ever see.

    Candidates are those of the loop on that supply, except more voltage: none is available.
    """
    pump, lowest = context.job.pump, context.job.sizing.lowest_supply
    if pump.curve.drive != "dc" or lowest is None or lowest >= pump.voltage or not context.has_flow:
        return
    sagged = build_context(edit(context.job, [Put(f"{context.pump_address}.supply", lowest)]))
    pairs = list(zip(context.condensers, sagged.condensers, strict=True))
    short = [
        number for number, (unit, then) in enumerate(pairs) if then.flow_low < unit.needed_flow
    ]
    for number in short:
        unit = context.condensers[number]
        if unit.flow_low >= unit.needed_flow:
            values = _on_lowest(unit, sagged.condensers[number], lowest)
            fixes = partial(_stronger, sagged, number)
            yield draft("supply-sags", "warning", Place(unit=unit.name), values, fixes)
    if not short and pairs:
        unit, then = min(pairs, key=lambda pair: pair[1].flow_low / pair[1].needed_flow)
        flat = any(one.level != "note" for one in _motor_findings(sagged))
        case = "flat" if flat else "enough"
        values = {"case": case, **_on_lowest(unit, then, lowest)}
        at = context.place(context.network.pump_index)
        yield draft("supply-sags", "warning" if flat else "note", at, values)


def _on_lowest(
    unit: CondenserResult, then: CondenserResult, lowest: float
) -> dict[str, Value | None]:
    """Values for a unit, now and on the lowest supply [V]."""
    return {
        "unit": unit.name,
        "supply": lowest,
        "now": unit.flow,
        "flow": then.flow,
        "low": then.flow_low,
        "needed": unit.needed_flow,
    }


def _stronger(sagged: Context, number: int) -> Iterator[Action]:
    """Maintenance, hose or a pump that give each unit its need on that supply."""
    plan, unit = with_all_cleaned(maintenance(sagged, number)), sagged.condensers[number]
    yield from plan.steps_that_cure()
    yield from least_work_first(
        sagged.job,
        [
            (3, one_hose(plan)),
            (3, larger_hose(plan, unit, hull=False)),
            (12, stronger_pump(plan)),
            (15, rated_pump(plan)),
        ],
    )
