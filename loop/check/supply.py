"""Findings about the pump's supply: what it burns or stalls on, and what it seldom has."""

from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft, just
from loop.check.flow_fixes import more_flow
from loop.check.job_changes import pump_address
from loop.check.look import look
from loop.job import Put
from loop.job.edit import edit
from loop.margins.supply import bearable, supply_faults
from loop.words import Place
from loop.words.actions import SetSupply

# Times its rating from which a DC pump's supply is a charger's: engineering estimate.
_CHARGED = 1.05


def supply_findings(context: Context) -> Iterator[Draft]:
    """supply-wrong, supply-charging."""
    yield from _charging(context)
    pump, address = context.job.pump, pump_address(context)
    curve, at = pump.curve, context.at(context.network.pump_index)
    for fault in supply_faults(pump):
        hertz = fault.kind == "frequency"
        names = ("rated_frequency", "frequency") if hertz else ("rated", "supply")
        volts = None if hertz else fault.rated
        yield draft(
            "supply-wrong",
            fault.level,
            at,
            {
                "case": None if fault.kind == "voltage" else fault.kind,
                "pump": curve.name,
                **dict(zip(names, (fault.rated, fault.given), strict=True)),
                "low": fault.low,
                "high": fault.high,
            },
            just(SetSupply(address, volts, curve.rated_frequency)),
            basis=("ac supply",) if curve.drive == "ac" else (),
        )


def _charging(context: Context) -> Iterator[Draft]:
    """Units that have enough only while the bank charges; candidates are those at the rating."""
    pump = context.job.pump
    rated, given = pump.curve.rated_supply, pump.voltage
    if pump.curve.drive != "dc" or not _CHARGED * rated < given <= bearable(pump.curve)[1]:
        return
    resting = look(edit(context.job, [Put(f"{pump_address(context)}.supply", rated)]))
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
