"""Findings about the discharge: under water, dipping, or higher than it need be."""

from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.discharge_fixes import usual_height
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.flow_fixes import hose_or_pump
from loop.check.plan import Plan
from loop.check.siphon_breaks import siphon_break_fixes
from loop.check.through_hulls import has_seacock, sea_shut_out, seacock_of, to_the_hull
from loop.check.vent_height import deepest, least_vent
from loop.parts import Discharge
from loop.words import Action
from loop.words.actions import LowerOutlet, RaiseOutlet, together

# A discharge higher than this wastes head and splashes [m], unless heel or waves require more: one
# foot, common practice.
_HIGH = 0.3048


def discharge_findings(context: Context) -> Iterator[Draft]:
    """discharge-under-water, discharge-kept-out, discharge-dips, discharge-high."""
    for index, part in enumerate(context.network.parts):
        if not isinstance(part, Discharge):
            continue
        address = context.addresses[index]
        right = usual_height(part, context.job.boat, context.job.units)
        values = {"part": address, "depth": -part.height if part.height < 0 else None}
        if part.height <= 0 and sea_shut_out(context, index):
            yield draft("discharge-kept-out", "note", context.place(index), values)
        elif part.height <= 0:
            yield draft(
                "discharge-under-water",
                "warning",
                context.place(index),
                {**values, "case": None if part.height < 0 else "waterline", "right": right},
                partial(_kept_out, context, index, RaiseOutlet(address, right)),
            )
        elif (
            has_seacock(context, index)
            and not sea_shut_out(context, index)
            and _dips(context, part)
        ):
            yield draft(
                "discharge-dips",
                "note",
                context.place(index),
                {
                    "part": address,
                    "depth": deepest(part, context.job.boat),
                    "cock": seacock_of(context, index),
                    "least": least_vent(context.job.boat, part),
                },
            )
        elif part.height > max(_HIGH, right):
            yield draft(
                "discharge-high",
                "note",
                context.place(index),
                {"part": address, "height": part.height, "right": right},
                fixed_candidates(LowerOutlet(address, right)),
            )


def _dips(context: Context, part: Discharge) -> bool:
    """Whether heel and trim put a discharge under water."""
    return deepest(part, context.job.boat) > 0


def _kept_out(context: Context, index: int, raised: Action) -> Iterator[Action]:
    """Move the seacock to the hull and fit or raise a siphon break; or raise the discharge.

    Without a seacock only the last: adding both takes as much work as another hole. Where the lift
    leaves too little flow, with the hose or pump that then suffices.
    """
    moved = to_the_hull(context, index)
    if moved is not None:
        yield moved
    if moved is not None or has_seacock(context, index):
        for vent in siphon_break_fixes(context, index):
            yield together([vent, *filter(None, [moved])])
    yield raised
    plan = Plan(context, (raised,))
    if context.has_flow and not plan.cures():
        yield from hose_or_pump(plan, context.condensers[context.shortest_unit])
