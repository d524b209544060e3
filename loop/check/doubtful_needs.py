"""Findings about stated needs and approaches of units that hardly any unit has."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.result import CondenserResult
from loop.hydraulics import installed_pump
from loop.job import Unit
from loop.job.model import FLOW_PER_TON, HEAT_REJECTION, TON
from loop.parts import Condenser
from loop.parts.friction import ROUNDING
from loop.words import Place

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
# Range of the approach of clean condensers [K], 4 to 20 °F: engineering estimates.
_NEAREST, _FARTHEST = 4 / 1.8, 20 / 1.8


def approach_findings(unit: Unit) -> Iterator[Draft]:
    """approach-doubtful: an approach that no clean condenser has."""
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


def need_findings(context: Context, unit: CondenserResult) -> Iterator[Draft]:
    """need-doubtful."""
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
