"""Larger hose for the unit that is shortest of water, with the branches rebalanced."""

from collections.abc import Collection, Iterator, Sequence

from loop.balancing.balance import balance
from loop.check.job_changes import Care
from loop.check.odd_losses import narrow_barbs, narrow_parts
from loop.check.pump_changes import stronger_ones
from loop.check.result import CondenserResult
from loop.check.throttle_actions import settings
from loop.check.widened import widened
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.margins.speed import PRESSURE_MAX, SUCTION_MAX
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words.actions import Action

# Larger sizes and stronger pumps to try: a loop far from enough needs a different purchase.
_SIZES, _PUMPS = 2, 3
# Share of the pump's head lost in hose from which another size is worthwhile: engineering estimate.
_MUCH = 0.15


def hose_and_valves(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """Enlarge the hoses of a unit's branch and rebalance with valves.

    Adds the weakest pump that suffices, where hose and valves do not and that pump alone does not.
    For loops in which one branch takes much more than it needs and a distant one gets much less.
    """
    network = care.context.network
    branch = network.branches[network.condenser_part(unit.name)]
    own = _hoses_of(care, branch)
    if not branch or not own:
        return
    yield from _in_sizes(care, own, bores_above(min(own.values())), stronger_ones(care)[:_PUMPS])


def trunk_and_valves(care: Care) -> Iterator[Action]:
    """Enlarge the narrow hoses that all branches share to a bore that carries the units' draw.

    For uneven branches, with the balancing valves: otherwise the greedy branch would take the gain.
    """
    context, network = care.context, care.context.network
    if not context.uneven or (drawn := care.drawn) is None:
        return
    runs: dict[tuple[bool, float], list[int]] = {}
    for index, bore in _hoses_of(care, "").items():
        runs.setdefault((index < network.pump_index, bore), []).append(index)
    losses = {
        run: sum(context.point.stations[index].head_loss for index in hoses)
        for run, hoses in runs.items()
    }
    most = max(losses, key=losses.__getitem__, default=None)
    if most is None or losses[most] < _MUCH * context.point.pump_head:
        return
    suction, bore = most
    limit = SUCTION_MAX if suction else PRESSURE_MAX
    sizes = [one for one in bores_above(bore) if velocity(drawn.total_flow, one) <= limit]
    yield from _in_sizes(care, dict.fromkeys(runs[most], bore), sizes)


def _hoses_of(care: Care, branch: str) -> dict[int, float]:
    """The hoses of a branch ("" for the shared line), with their bores [m]."""
    network = care.context.network
    return {
        index: part.inner_bore
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and network.branches[index] == branch
    }


def narrow_and_valves(care: Care) -> Iterator[Action]:
    """A part or barbs narrower than the hose in its bore, with the valves that balance the loop."""
    if care.context.uneven:
        for change in (*narrow_barbs(care), *narrow_parts(care)):
            yield from _balanced(care, change)


def _in_sizes(
    care: Care, hoses: dict[int, float], bores: Sequence[float], pumps: Collection[Action] = ()
) -> Iterator[Action]:
    """These hoses in the first of the bores [m] that cures, with valves; if need be with a pump.

    Only a pump that does not cure by itself is combined with them.
    """
    for bore in bores[:_SIZES]:
        narrow = [index for index, now in hoses.items() if narrower(now, bore)]
        yield from _balanced(care, widened(care.context, narrow, bore), pumps)


def _balanced(care: Care, change: Action, pumps: Collection[Action] = ()) -> Iterator[Action]:
    """A change with the valves that then balance the loop; if need be with a pump."""
    context = care.context
    try:
        even = balance(build(care.with_(change).apply(context.job)))
    except (JobError, ValueError):
        return
    valves = None if even is None else settings(context, even.throttles)
    if valves is None:
        return
    if care.cures(change, valves):
        yield care.with_(change, valves)
        return
    # Valves that balance a loop do so with any pump.
    weak = (pump for pump in pumps if not care.cures(pump))
    pump = next((one for one in weak if care.cures(change, valves, one)), None)
    if pump is not None:
        yield care.with_(change, valves, pump)
