"""Findings about stated figures that hardly any loop has: a digit may be missing."""

import math
from collections.abc import Iterator

import numpy as np

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.result import CondenserResult
from loop.hydraulics import Cases, installed_pump, solve_flows
from loop.hydraulics.monte_carlo import pump_tolerances
from loop.job import Put, Unit
from loop.job.edit import edit
from loop.job.model import FLOW_PER_TON, HEAT_REJECTION, TON
from loop.parts import Condenser, Hose, Part, Strainer
from loop.parts.friction import GRAVITY, ROUNDING, velocity_head
from loop.pumps.doubts import MIN_EFFICIENCY, doubts, max_efficiency
from loop.units import parse
from loop.words import Place, Value

# Common practice runs from 150 to 250 gal/h a ton; a job may state at most 400 a ton.
_LEAST, _MOST = 150 / 180 * FLOW_PER_TON, 400 / 180 * FLOW_PER_TON
# Flow over need above which a missing digit in a unit's cooling is likelier than so large a pump:
# engineering estimate.
_MISSING_DIGIT = 8.0
# Flow at which a condenser's loss is rated, over its unit's need, above which the need is not that
# of such a condenser: engineering estimate. A plate states the electrical power, a third, next to
# the cooling.
_RATED_OVER_NEED = 3.0
# Share of the least common practice below which no real unit's need lies: engineering estimate. At
# half of it the water warms by 24 °F.
_SMALL_NEED = 0.5
# Need over the pump's greatest flow above which a wrong unit of measure is likelier than so small a
# pump: engineering estimate.
_NEED_OVER_PUMP = 1.5
# Least loss of a condenser and of a clean strainer, in velocity heads of their bore: engineering
# estimates, far below any that is sold.
_COIL, _BASKET = 1.5, 0.1
# Loss that they are seldom below, but a figure with a slipped decimal point is: a condenser in [Pa]
# at the usual flow for its cooling, a seventh of the least published; a strainer in velocity heads
# of its bore. Engineering estimates.
_COIL_SMALL, _BASKET_SMALL = parse("0.15 psi", "pressure"), 0.6
# Greatest loss of a clean strainer, in velocity heads of its bore, or [Pa] where it is small in a
# wide line: engineering estimates.
_BASKET_HEADS, _BASKET_MOST = 25.0, parse("2 psi", "pressure")
# Greatest loss of a condenser [Pa] at the usual flow for its cooling: engineering estimate.
# Published coaxial condensers of 1.5 to 5 tons lose 1 to 6 psi there, and one of them 10.
_COIL_MOST = parse("7 psi", "pressure")
# Range of the approach of clean condensers [K], 4 to 20 °F: engineering estimates.
_NEAREST, _FARTHEST = 4 / 1.8, 20 / 1.8
# Hose bore over the pump's port above which no hose is: engineering estimate, far above what is
# fitted, and below what a slipped decimal point or cm for mm gives.
_HOSE_OVER_PORT = 4.0
# How far the factors of a baseline may be off 1, up or down, on a clean loop that matches its file:
# about three times the uncertainty of each (engineering estimates). Upward, a pump is off no more
# than its curve's tolerance: wear only lowers it.
_FITTED_RANGE = {"loss": 1.0, "pump": 0.3, "ua": 1.0}


def doubtful_findings(context: Context) -> Iterator[Draft]:
    """baseline-doubtful, pump-, bore-, approach-, need- and loss-doubtful."""
    yield from _baseline(context)
    yield from _pump(context)
    yield from _bore(context)
    yield from _barbs(context)
    for stated in context.job.condenser:
        yield from _approach(stated)
    for unit in context.condensers if context.has_flow else ():
        yield from _need(context, unit)
    for index, part in enumerate(context.network.parts):
        yield from _loss(context, index, part)


def _baseline(context: Context) -> Iterator[Draft]:
    """The fitted factor that is farthest beyond the range of a clean loop."""
    fitted = context.job.fitted
    most = dict(_FITTED_RANGE)
    if fitted.pump > 1:
        most["pump"] = pump_tolerances(context.job.pump)[0].half
    off = {name: abs(math.log(getattr(fitted, name))) / math.log1p(most[name]) for name in most}
    worst = max(off, key=lambda name: off[name])
    if off[worst] > 1:
        factor = getattr(fitted, worst)
        values = {"case": None if worst == "loss" else worst, "factor": factor}
        yield draft("baseline-doubtful", "warning", Place(), values)


def _pump(context: Context) -> Iterator[Draft]:
    curve = context.job.pump.curve
    for doubt in doubts(curve):
        values: dict[str, Value | None]
        match doubt.code:
            case "port-too-small":
                values = {"case": "port", "velocity_head": doubt.value, "port": curve.port}
                values |= {"flow": curve.last_flow, "shutoff": curve.shutoff_head}
            case "too-efficient":
                values = {"efficiency": doubt.value, "most": max_efficiency(curve)}
            case "too-wasteful":
                values = {"case": "wasteful", "efficiency": doubt.value, "least": MIN_EFFICIENCY}
        yield draft(
            "pump-doubtful",
            "note" if doubt.code == "too-wasteful" else "warning",
            context.place(context.network.pump_index),
            {"pump": curve.name, **values},
            basis=("pump test",) if doubt.code == "port-too-small" else (),
        )


def _bore(context: Context) -> Iterator[Draft]:
    """The widest hose, if no pump with this port has hose so wide."""
    pump, parts = context.job.pump, context.network.parts
    bores = {index: part.inner_bore for index, part in enumerate(parts) if isinstance(part, Hose)}
    widest = max(bores, key=bores.__getitem__, default=-1)
    if bores.get(widest, 0.0) > _HOSE_OVER_PORT * math.sqrt(pump.count) * pump.curve.port:
        yield draft(
            "bore-doubtful",
            "warning",
            context.place(widest),
            {
                "part": context.addresses[widest],
                "bore": bores[widest],
                "port": pump.curve.port,
            },
        )


def _barbs(context: Context) -> Iterator[Draft]:
    """Hoses with no barbs in the file, if two barbs on each would leave a unit short of water.

    Only linings that are always hose: pipe, which has no barbs, is smooth plastic or has a stated
    roughness.
    """
    bare = [
        context.addresses[index]
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Hose) and not part.barbs and part.roughness is None
        if part.lining != "smooth plastic"
    ]
    if not bare or context.any_marginal or not context.has_flow:
        return
    with_barbs = build_context(edit(context.job, [Put(f"{address}.barbs", 2) for address in bare]))
    unit = min(with_barbs.condensers, key=lambda one: one.flow_low / one.needed_flow)
    if unit.flow_low < unit.needed_flow:
        yield draft(
            "loss-doubtful",
            "warning",
            Place(part=bare[0]),
            {
                "case": "barbs",
                "parts": tuple(bare),
                "unit": unit.name,
                "low": unit.flow_low,
                "needed": unit.needed_flow,
            },
        )


def _approach(unit: Unit) -> Iterator[Draft]:
    if _NEAREST - ROUNDING <= unit.approach <= _FARTHEST + ROUNDING:
        return
    yield draft(
        "approach-doubtful",
        "warning",
        Place(unit=unit.name),
        {
            "case": "near" if unit.approach < _NEAREST else None,
            "unit": unit.name,
            "approach": unit.approach,
            "least": _NEAREST,
            "most": _FARTHEST,
        },
    )


def far_too_small(context: Context, unit: CondenserResult) -> bool:
    """Whether a need is stated and so small that flow over it says nothing about excess."""
    stated = context.job.unit(unit.name)
    given = bool({"flow_needed", "flow_per_ton"} & stated.model_fields_set)
    return given and unit.needed_flow < _SMALL_NEED * _least_flow(stated, unit)


def _least_flow(stated: Unit, unit: CondenserResult) -> float:
    """Least common-practice flow [m³/s] for the heat that a unit rejects."""
    drawn = stated.power_line is not None
    heat = stated.cooling + unit.electrical if drawn else stated.rejected_heat
    return heat / (HEAT_REJECTION * TON) * _LEAST


def _need(context: Context, unit: CondenserResult) -> Iterator[Draft]:
    stated = context.job.unit(unit.name)
    least = _least_flow(stated, unit)
    most = stated.cooling / TON * _MOST
    end = float(installed_pump(context.network).last_flow[0])
    both = {"flow_needed", "flow_per_ton"} <= stated.model_fields_set
    other = stated.cooling / TON * stated.flow_per_ton if both else 0.0
    coil = context.network.parts[context.network.condenser_part(unit.name)]
    rated = 0.0
    if isinstance(coil, Condenser) and stated.flow_needed is None:
        rated = min(one.flow for one in coil.loss)
    case = None
    if far_too_small(context, unit) and not unit.needed_flow <= unit.flow_low < least:
        case = "small"
    elif unit.needed_flow * (1 + ROUNDING) < other and unit.flow_low < other:
        case = "twice"
    elif unit.flow > _MISSING_DIGIT * unit.needed_flow:
        case = "digit"
    elif rated > _RATED_OVER_NEED * unit.needed_flow and unit.flow_low < rated:
        case = "rated"
    elif unit.needed_flow > most * (1 + 1e-9):
        case = "high"
    elif unit.flow < unit.needed_flow > _NEED_OVER_PUMP * end:
        case = "pump"
    elif not unit.needed_flow <= unit.flow_low < least * (1 - 1e-9):
        return
    yield draft(
        "need-doubtful",
        "warning",
        Place(unit=unit.name),
        {
            "case": case,
            "unit": unit.name,
            "needed": unit.needed_flow,
            "low": unit.flow_low,
            "least": least,
            "most": most,
            "other": other,
            "rated": rated,
            "times": unit.flow / unit.needed_flow,
            "cooling": stated.cooling,
            "pump": context.job.pump.curve.name,
            "end": end,
        },
        basis=("pump curve", "engineering estimate") if case == "pump" else (),
    )


def _loss(context: Context, index: int, part: Part) -> Iterator[Draft]:
    """Judged at the rated flow, so that the flow of the loop, throttled or not, has no effect."""
    water = context.network.water
    weight = water.density * GRAVITY
    if isinstance(part, Condenser):
        flow, heads = part.loss[0].flow, _COIL
        part = part.model_copy(update={"scale": 0.0})
        usual = context.job.unit(part.serves).cooling / TON * FLOW_PER_TON
        more = part.head_loss(flow, water) / part.head_loss(usual, water)
        small, most = float(_COIL_SMALL * more), float(_COIL_MOST * more)
    elif isinstance(part, Strainer):
        flow = part.loss.flow if part.loss is not None else parse("300 gal/h", "flow")
        heads = _BASKET
        part = part.model_copy(update={"blocked": 0.0})
        own = float(weight * _BASKET_HEADS * velocity_head(flow, part.inner_bore))
        small, most = own * _BASKET_SMALL / _BASKET_HEADS, max(own, _BASKET_MOST)
    else:
        return
    lost = float(weight * part.head_loss(flow, water))
    least = float(weight * heads * velocity_head(flow, part.inner_bore))
    much = lost > most * (1 + 1e-9)
    slipped = lost < least * (1 - 1e-9)
    if much or slipped or lost < small * (1 - 1e-9):
        decides = much or slipped or _short_at_ten_times(context, index)
        yield draft(
            "loss-doubtful",
            "warning" if decides else "note",
            context.place(index),
            {
                "case": part.kind if much else None if slipped else f"small-{part.kind}",
                "part": context.addresses[index],
                "flow": flow,
                "lost": lost,
                "least": least,
                "small": small,
                "most": most,
            },
        )


def _short_at_ten_times(context: Context, index: int) -> bool:
    """Whether ten times the loss, as with a slipped decimal point, leaves a unit short.

    Only where every unit has its need at the low edge now.
    """
    if not context.has_flow or context.any_marginal:
        return False
    network, loss = context.network, np.ones((1, len(context.network.parts)))
    loss[0, index] = 10.0
    flows = solve_flows(network, Cases(loss=loss), start=context.point.line_flow).line_flow[0]
    return context.least_share(network, flows) < context.flow_margin
