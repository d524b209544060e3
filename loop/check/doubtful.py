"""Findings about stated figures that hardly any loop has: a digit may be missing."""

import math
from collections.abc import Iterable, Iterator

from loop.check.context import Context
from loop.check.doubtful_losses import barb_findings, loss_findings, short_with
from loop.check.doubtful_needs import approach_findings, need_findings
from loop.check.drafts import Draft, draft
from loop.hydraulics.monte_carlo import pump_tolerances
from loop.parts import Hose
from loop.pumps.doubts import MIN_EFFICIENCY, doubts, max_efficiency, most_head
from loop.words import Place, Value

# Hose bore over the pump's port above which hose is rare, and above which none is: engineering
# estimates, below what a slipped decimal point, or cm for inches or for mm, gives.
_RARE_OVER_PORT, _HOSE_OVER_PORT = 3.0, 4.0
# How far the factors of a baseline may be off 1, up or down, on a clean loop that matches its file:
# about three times the uncertainty of each (engineering estimates). Upward, a pump is off no more
# than its curve's tolerance: wear only lowers it.
_FITTED_RANGE = {"loss": 1.0, "pump": 0.3, "ua": 1.0}


def doubtful_findings(context: Context) -> Iterator[Draft]:
    """baseline-doubtful, pump-, bore-, approach-, need- and loss-doubtful."""
    yield from _baseline(context)
    yield from _pump(context)
    yield from _bore(context)
    yield from barb_findings(context)
    for stated in context.job.condenser:
        yield from approach_findings(stated)
    for unit in context.condensers if context.has_flow else ():
        yield from need_findings(context, unit)
    for index, part in enumerate(context.network.parts):
        yield from loss_findings(context, index, part)


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
            case "too-much-head":
                values = {"case": "head", "head": doubt.value, "flow": doubt.flow}
                values["most_head"] = most_head(doubt.flow)
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
    """The widest hose, if no pump with this port has hose so wide; or few have, and it decides."""
    pump, parts = context.job.pump, context.network.parts
    bores = {index: part.inner_bore for index, part in enumerate(parts) if isinstance(part, Hose)}
    port = math.sqrt(pump.count) * pump.curve.port
    wide = {index: bore for index, bore in bores.items() if bore > _RARE_OVER_PORT * port}
    widest = max(wide, key=wide.__getitem__, default=-1)
    if not wide:
        return
    never = bores[widest] > _HOSE_OVER_PORT * port
    decides = never or short_with(context, _losses_in(context, wide, port))
    values: dict[str, Value | None] = {"part": context.addresses[widest], "bore": bores[widest]}
    values |= {"port": pump.curve.port, "case": None if never else "rare"}
    yield draft("bore-doubtful", "warning" if decides else "note", context.place(widest), values)


def _losses_in(context: Context, hoses: Iterable[int], bore: float) -> dict[int, float]:
    """Losses of hoses in another bore [m], over their own with their bore steps, at its flows."""
    network, found = context.network, dict[int, float]()
    for index in hoses:
        flow = abs(float(context.point.line_flow[network.line_of[index]]))
        other = network.parts[index].model_copy(update={"bore": bore, "barb_bore": None})
        own = float(network.head_loss(index, flow))
        found[index] = float(other.head_loss(flow, network.water)) / own if own > 0 else 1.0
    return found
