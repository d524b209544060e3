"""Findings about changes of bore between the parts of a line, and adapters for them."""

from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.wider_hose import neighbor_bore, wider_hose
from loop.hydraulics.bore_steps import BoreStep, bore_steps
from loop.margins.speed import part_speeds
from loop.parts import Hose, Manifold, Part, Pump
from loop.parts.step import ADAPTER
from loop.words import Action
from loop.words.actions import ChangeBore, FitAdapter, together

# Share of the pump's head lost at a step from which a full-bore part is worthwhile: engineering
# estimate, a tenth of the uncertainty of losses.
_COSTLY = 0.02


def step_findings(context: Context) -> Iterator[Draft]:
    """bore-step. Each offers adapters for all steps: nobody fits a single one.

    None at a narrow piece of hose that is to be replaced anyway, for flow or speed.
    """
    short = context.any_marginal
    fast = {one.index for one in part_speeds(context.point) if one.speed > one.most}
    found = [
        step
        for step in steps_of_bore(context, {})
        if not ((piece := _narrow_piece(context, step)) is not None and (short or piece in fast))
    ]
    for step in found:
        lost = _head_lost(context, step)
        dear = lost >= _COSTLY * context.point.pump_head > 0
        yield draft(
            "bore-step",
            "note",
            context.place(step.after),
            {"bore": step.bore, "to": step.to, "lost": lost if dear else None},
            partial(_step_fixes, context, found, step, dear),
        )


def _narrow_piece(context: Context, step: BoreStep) -> int | None:
    """The hose at a step that is narrower than the hoses on both sides of it."""
    network = context.network
    narrow = min(step.before, step.after, key=lambda index: network.parts[index].inner_bore)
    piece = isinstance(network.parts[narrow], Hose) and neighbor_bore(network, narrow) > 0
    return narrow if piece else None


def _head_lost(context: Context, step: BoreStep) -> float:
    """Head lost at a step [m]."""
    flow = float(context.point.line_flow[context.network.line_of[step.bearer]])
    return context.job.fitted.loss * step.resistance * flow**2


def _step_fixes(
    context: Context, found: list[BoreStep], step: BoreStep, dear: bool
) -> Iterator[Action]:
    """A full-bore part, where the step costs much; wider hose for a narrow piece; adapters."""
    network = context.network
    narrow, wide = sorted((step.before, step.after), key=lambda i: network.parts[i].inner_bore)
    if dear and network.parts[narrow].with_hose:
        yield ChangeBore(context.addresses[narrow], network.parts[wide].inner_bore)
    if _narrow_piece(context, step) is not None:
        yield wider_hose(context, [narrow], neighbor_bore(network, narrow))
    yield together(FitAdapter(context.addresses[one.before], one.bore, one.to) for one in found)


def adapters_for(context: Context, changed: dict[int, float]) -> Iterator[Action]:
    """Adapters for the bore steps that new hose bores [m] create; `changed` is by part index."""
    before = {(step.before, step.after) for step in steps_of_bore(context, {})}
    for step in steps_of_bore(context, changed):
        if (step.before, step.after) not in before:
            yield FitAdapter(context.addresses[step.before], step.bore, step.to)


def steps_of_bore(context: Context, changed: dict[int, float]) -> Iterator[BoreStep]:
    """The bore steps at hose ends and pump ports that take an adapter.

    `changed`: new bores [m] of hoses, by part index.
    """
    network = context.network
    parts: list[Part] = list(network.parts)
    for index, bore in changed.items():
        parts[index] = parts[index].model_copy(update={"bore": bore})
    for step in bore_steps(parts, network.lines, network.forks):
        pair = parts[step.before], parts[step.after]
        joins = any(isinstance(part, Hose | Pump) for part in pair)
        between = step.fittings or any(isinstance(part, Manifold) for part in pair)
        if joins and not between and max(step.bore, step.to) / step.small > ADAPTER:
            yield step
