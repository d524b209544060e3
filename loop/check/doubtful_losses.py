"""Findings about stated losses that hardly any part has, and about the barbs of hoses."""

from collections.abc import Iterator, Mapping

import numpy as np

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.hydraulics import Cases, solve_flows
from loop.job import Put
from loop.job.edit import edit
from loop.job.model import FLOW_PER_TON, TON
from loop.parts import Condenser, Hose, Part, Strainer
from loop.parts.friction import GRAVITY, velocity_head
from loop.units import parse
from loop.words import Place
from loop.words.base import Address

# Least loss of a condenser and of a clean strainer, in velocity heads of their bore: engineering
# estimates, far below any that is sold.
_COIL, _BASKET = 1.5, 0.1
# Loss that they are seldom below, but a figure with a slipped decimal point is: a condenser in [Pa]
# at the usual flow for its cooling, a seventh of the least published; a strainer in velocity heads
# of its bore. Engineering estimates.
_COIL_SMALL, _BASKET_SMALL = parse("0.15 psi", "pressure"), 0.6
# Greatest loss of a clean strainer, in velocity heads of its bore, or [Pa] at the units' need where
# it is small in a wide line: engineering estimates.
_BASKET_HEADS, _BASKET_MOST = 25.0, parse("2 psi", "pressure")
# Greatest loss of a condenser [Pa] at the usual flow for its cooling: engineering estimate.
# Published coaxial condensers of 1.5 to 5 tons lose 1 to 6 psi there, and one of them 10.
_COIL_MOST = parse("7 psi", "pressure")
# Least wall of a barb [m], as of thin copper-nickel tube: engineering estimate.
_BARB_WALL = 0.0008


def loss_findings(context: Context, index: int, part: Part) -> Iterator[Draft]:
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
        needs = sum(unit.needed_flow for unit in context.job.condenser)
        small = own * _BASKET_SMALL / _BASKET_HEADS
        most = max(own, _BASKET_MOST * min(flow / needs, 1.0) ** 2)
    else:
        return
    lost = float(weight * part.head_loss(flow, water))
    least = float(weight * heads * velocity_head(flow, part.inner_bore))
    much = lost > most * (1 + 1e-9)
    slipped = lost < least * (1 - 1e-9)
    if much or slipped or lost < small * (1 - 1e-9):
        # Ten times the loss, as with a slipped decimal point.
        decides = much or slipped or short_with(context, {index: 10.0})
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


def short_with(context: Context, losses: Mapping[int, float]) -> bool:
    """Whether these multiples of parts' losses, by part index, leave a unit short.

    Only where every unit has its need at the low edge now.
    """
    if not context.has_flow or context.any_marginal:
        return False
    network, loss = context.network, np.ones((1, len(context.network.parts)))
    loss[0, list(losses)] = list(losses.values())
    flows = solve_flows(network, Cases(loss=loss), start=context.point.line_flow).line_flow[0]
    return context.least_share(network, flows) < context.flow_margin


def barb_findings(context: Context) -> Iterator[Draft]:
    """Hoses with no barbs in the file, or with barbs as wide as the hose.

    Told if ends as hose has them would leave a unit short of water. Only linings that are always
    hose: pipe, which has no barbs, is smooth plastic or has a stated roughness.
    """
    hoses = {
        context.addresses[index]: part
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Hose)
    }
    bare = [
        address
        for address, hose in hoses.items()
        if not hose.barbs and hose.roughness is None and hose.lining != "smooth plastic"
    ]
    thin = [
        address
        for address, hose in hoses.items()
        if hose.barbs and hose.inner_bore - hose.barb < 2 * _BARB_WALL
    ]
    yield from _barbs_doubted(context, "barbs", bare, {"barbs": 2})
    yield from _barbs_doubted(context, "thin-barbs", thin, {"barb_bore": None})


def _barbs_doubted(
    context: Context, case: str, hoses: list[Address], usual: dict[str, int | None]
) -> Iterator[Draft]:
    if not hoses or context.any_marginal or not context.has_flow:
        return
    edits = [Put(f"{hose}.{key}", value) for hose in hoses for key, value in usual.items()]
    with_barbs = build_context(edit(context.job, edits))
    unit = min(with_barbs.condensers, key=lambda one: one.flow_low / one.needed_flow)
    if unit.flow_low < unit.needed_flow:
        yield draft(
            "loss-doubtful",
            "warning",
            Place(part=hoses[0]),
            {
                "case": case,
                "parts": tuple(hoses),
                "unit": unit.name,
                "low": unit.flow_low,
                "needed": unit.needed_flow,
            },
        )
