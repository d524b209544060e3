"""Findings about parts that are missing, stand in the wrong place, or are wrongly supplied."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.drafts import Draft, draft, just
from loop.check.job_changes import pump_address
from loop.parts import CheckValve, Discharge, Seacock, Strainer
from loop.units import parse
from loop.words.actions import FitPart, MovePart, RemovePart, SetSupply

# Most that the voltage of an AC motor may be off its rating: common practice.
_AC_OFF = 0.10
# Least and most of its rated voltage on which a DC pump may run: ISO 10133 range, from memory.
_DC_LEAST, _DC_MOST = 0.75, 1.33
# What a strainer may take, clean, at the loop's flow [Pa]: engineering estimate.
_STRAINER_LOSS = parse("0.4 psi", "pressure")


def order_findings(context: Context) -> Iterator[Draft]:
    """seacock-missing, supply-wrong, strainer-missing, strainer-after-pump, part-order."""
    yield from _seacocks(context)
    yield from _supply(context)
    yield from _strainers(context)
    yield from _wrong_place(context)


def _seacocks(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump_index
    if context.job.intake.height < 0 and not any(
        isinstance(part, Seacock) for part in network.parts[:pump]
    ):
        fit = FitPart(context.addresses[0], "seacock", context.job.intake.inner_bore)
        yield draft("seacock-missing", "danger", context.at(0), {}, just(fit))
    for index, part in enumerate(network.parts):
        if not isinstance(part, Discharge) or part.height >= 0:
            continue
        line = network.lines[network.line_of[index]].parts
        between = [i for i in line if i > pump]
        if any(isinstance(network.parts[i], Seacock) for i in between):
            continue
        at = FitPart(context.addresses[line[-2]], "seacock", part.inner_bore) if line[1:] else None
        yield draft(
            "seacock-missing",
            "danger",
            context.at(index),
            {"case": "discharge", "part": context.addresses[index], "depth": -part.height},
            just(*([] if at is None else [at])),
        )


def _supply(context: Context) -> Iterator[Draft]:
    pump, address = context.job.pump, pump_address(context)
    curve, at = pump.curve, context.at(context.network.pump_index)
    supply = pump.supply or curve.rated_supply
    ratio = supply / curve.rated_supply
    ac = curve.drive == "ac"
    low, high = (1 - _AC_OFF, 1 + _AC_OFF) if ac else (_DC_LEAST, _DC_MOST)
    if not low - 1e-9 <= ratio <= high + 1e-9:
        yield draft(
            "supply-wrong",
            "danger",
            at,
            {"pump": curve.name, "rated": curve.rated_supply, "supply": supply},
            just(SetSupply(address, curve.rated_supply, curve.rated_frequency)),
            basis=("ac supply",) if ac else (),
        )
    elif ac and pump.frequency is not None and pump.frequency != curve.rated_frequency:
        yield draft(
            "supply-wrong",
            "danger",
            at,
            {
                "case": "frequency",
                "pump": curve.name,
                "rated_frequency": curve.rated_frequency,
                "frequency": pump.frequency,
            },
            just(SetSupply(address, None, curve.rated_frequency)),
            basis=("ac supply",),
        )


def _strainers(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump_index
    before = any(isinstance(part, Strainer) for part in network.parts[:pump])
    if not before:
        flow = max(context.point.flow, sum(unit.needed_flow for unit in context.condensers))
        bore = network.parts[pump - 1].inner_bore
        fit = FitPart(context.addresses[pump - 1], "strainer", bore, _STRAINER_LOSS, flow)
        yield draft("strainer-missing", "warning", context.at(pump), {}, just(fit))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer) and index > pump:
            address = context.addresses[index]
            move = MovePart(address, context.addresses[pump - 1])
            yield draft(
                "strainer-after-pump",
                "warning",
                context.at(index),
                {"part": address},
                just(move),
            )


def _wrong_place(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump
    for index, part in enumerate(network.parts[: network.pump_index]):
        if isinstance(part, CheckValve) and not pump.curve.self_priming:
            address = context.addresses[index]
            yield draft(
                "part-order",
                "warning",
                context.at(index),
                {"part": address},
                just(RemovePart(address), MovePart(address, pump_address(context))),
            )
    if pump.count > 1 and pump.arrangement == "series":
        yield draft(
            "part-order",
            "note",
            context.at(network.pump_index),
            {"case": "pumps-in-line", "count": float(pump.count)},
        )
