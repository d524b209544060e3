"""Findings about the strainer: when to clean it, and what a dirty one leaves the units."""

import math
from collections.abc import Iterator
from functools import cached_property, partial

import numpy as np

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.flow_fixes import flow_fix_count, more_for_all
from loop.check.main_loss import main_loss
from loop.check.result import CLEAN_SPARE, CondenserResult
from loop.check.strainer_fouling import solved_when_blocked
from loop.job import map_parts
from loop.parts import Part, Strainer
from loop.units.stated import Rating
from loop.words import Action, Place, Value
from loop.words.actions import CleanStrainer
from loop.words.finding import AT_REST


def strainer_margin_findings(context: Context) -> Iterator[Draft]:
    """strainer-margin."""
    if context.has_flow and not context.any_short:
        yield from _when_to_clean(context)


def strainer_due_findings(context: Context) -> Iterator[Draft]:
    """strainer-due; flow-marginal of units short with the strainer as dirty as it may get."""
    if context.has_flow and not context.any_short:
        yield from _due(context)
        yield from _short_when_dirty(context)


def _due(context: Context) -> Iterator[Draft]:
    """A strainer blocked past the share at which strainer-margin cleans it."""
    blocked = {
        index: part.blocked
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Strainer) and part.blocked > 0
    }
    unit = _first_short(context) if blocked else None
    for index, share in blocked.items():
        if unit is None or share < unit.clean_before:
            continue
        yield draft(
            "strainer-due",
            "warning",
            context.place(index),
            {
                "part": context.addresses[index],
                "blocked": share,
                "unit": unit.name,
                "needed": unit.needed_flow,
                "clean_at": unit.clean_at,
                "clean_before": unit.clean_before,
            },
            fixed_candidates(CleanStrainer(context.addresses[index])),
        )


def _short_when_dirty(context: Context) -> Iterator[Draft]:
    """Units with enough at their low edge that the strainer of the worst service leaves short.

    That service is the one for which sizes are chosen. At the boat's speed or at rest, whichever
    leaves a unit less.
    """
    share = context.job.sizing.service_blocked
    strainers = [part for part in context.network.parts if isinstance(part, Strainer)]
    if not context.settled or all(part.blocked >= share for part in strainers):
        return
    states = [state for state in (context, context.at_rest) if state is not None]
    dirty = [solved_when_blocked(state.point, np.array([share])).line_flow[0] for state in states]
    for number, unit in enumerate(context.condensers):
        if any(state.condensers[number].flow_low < unit.needed_flow for state in states):
            continue
        left = [
            state.unit_flow(flows, unit.name) for state, flows in zip(states, dirty, strict=True)
        ]
        least = min(left)
        if least >= unit.needed_flow:
            continue
        state = states[left.index(least)]
        worn = _Worn(state, share)
        yield draft(
            "flow-marginal",
            "warning",
            Place(unit=unit.name),
            {
                **(AT_REST if state is context.at_rest else {}),
                "case": "dirty",
                "unit": unit.name,
                "flow": state.condensers[number].flow,
                "low": least,
                "needed": unit.needed_flow,
                "blocked": share,
            },
            worn.fixes,
            basis=("basket", "band"),
            offer_count=worn.offer_count,
            solved_values=partial(worn.main_loss, unit.name),
        )


class _Worn:
    """A loop with strainers of the loss that theirs have when dirty: no cleaning lowers it."""

    def __init__(self, context: Context, share: float) -> None:
        self._context, self._share = context, share

    @cached_property
    def _dirty(self) -> Context:
        job = self._context.job
        parts = map_parts(job.part, lambda part: _losing_more(part, self._share))
        return build_context(job.model_copy(update={"part": parts}))

    def fixes(self) -> Iterator[Action]:
        """Changes that give every unit its need with such strainers, at the low edge too."""
        return more_for_all(self._dirty)

    def offer_count(self) -> int:
        """How many ways to offer."""
        return flow_fix_count(self._dirty)

    def main_loss(self, unit: str) -> dict[str, Value]:
        """What then takes most of the head."""
        return main_loss(self._dirty, unit)


def _losing_more(part: Part, share: float) -> Part:
    """A strainer with the loss of one blocked this far, if it is cleaner; any other part as is."""
    if not isinstance(part, Strainer) or part.blocked >= share:
        return part
    factor = float(part.blocked_factor(share))
    if part.loss is None:
        return part.model_copy(update={"k": factor * (part.k or 0.0)})
    rated = Rating(factor * part.loss.drop, part.loss.flow)
    return part.model_copy(update={"loss": rated})


def _first_short(context: Context) -> CondenserResult | None:
    """The unit that first falls short as the strainer blocks, if any does."""
    return min(
        (unit for unit in context.condensers_fouled if math.isfinite(unit.clean_at)),
        key=lambda unit: unit.clean_at,
        default=None,
    )


def _when_to_clean(context: Context) -> Iterator[Draft]:
    """When to clean the strainer, by the unit that first falls short."""
    unit = _first_short(context)
    if unit is None:
        return
    network, rest = context.network, context.at_rest
    strainer = next(i for i, part in enumerate(network.parts) if isinstance(part, Strainer))
    docked = rest is not None and rest.flow_of(unit.name) < unit.flow
    yield draft(
        "strainer-margin",
        "note",
        context.place(strainer),
        {
            **(AT_REST if docked else {}),
            "case": "none" if unit.clean_at < CLEAN_SPARE else None,
            "unit": unit.name,
            "needed": unit.needed_flow,
            "clean_at": unit.clean_at,
            "clean_before": unit.clean_before,
            "half": unit.flow_half_blocked,
        },
    )
