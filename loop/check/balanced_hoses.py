"""Larger hose to the unit that is shortest of water, and the branches balanced again."""

from collections.abc import Collection, Iterator, Sequence

from loop.balancing.balance import balance
from loop.check.job_changes import Care
from loop.check.pump_changes import stronger_ones
from loop.check.result import CondenserResult
from loop.check.throttle_actions import settings
from loop.check.widened import widened
from loop.hydraulics import build
from loop.job import JobError, bores_above
from loop.margins.speed import PRESSURE_MOST, SUCTION_MOST
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.parts.step import narrower
from loop.words.actions import Action

# Sizes larger, and stronger pumps, that are tried: what is far from enough is bought otherwise.
_SIZES, _PUMPS = 2, 3
# Share of the pump's head that hose takes where it is worth another size: engineering estimate.
_MUCH = 0.15


def hose_and_valves(care: Care, unit: CondenserResult) -> Iterator[Action]:
    """The hoses of a unit's branch in a size larger, the valves that then give each its share.

    And the weakest pump, where those are not enough, nor it by itself: so where one branch takes
    much more than it needs and another, far off, much less.
    """
    network = care.context.network
    branch = network.branches[network.condenser_part(unit.name)]
    own = _hoses_of(care, branch)
    if not branch or not own:
        return
    yield from _in_sizes(care, own, bores_above(min(own.values())), stronger_ones(care)[:_PUMPS])


def trunk_and_valves(care: Care) -> Iterator[Action]:
    """The narrow hoses that all branches share in a bore that carries what the units draw.

    With the valves that then give each its share, where these are uneven: the greedy branch would
    take the gain.
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
    limit = SUCTION_MOST if suction else PRESSURE_MOST
    sizes = [one for one in bores_above(bore) if velocity(drawn.total_flow, one) <= limit]
    yield from _in_sizes(care, dict.fromkeys(runs[most], bore), sizes)


def _hoses_of(care: Care, branch: str) -> dict[int, float]:
    """The hoses of a branch, or of what all share, with their bores [m]."""
    network = care.context.network
    return {
        index: part.inner_bore
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and network.branches[index] == branch
    }


def _in_sizes(
    care: Care, hoses: dict[int, float], bores: Sequence[float], pumps: Collection[Action] = ()
) -> Iterator[Action]:
    """These hoses in the first of some bores [m], with valves; or also with a pump.

    That is one of those that are given and not enough by themselves.
    """
    context = care.context
    for bore in bores[:_SIZES]:
        hose = widened(context, [i for i, now in hoses.items() if narrower(now, bore)], bore)
        try:
            even = balance(build(care.with_(hose).apply(context.job)))
        except (JobError, ValueError):
            return
        valves = None if even is None else settings(context, even.throttles)
        if valves is None:
            continue
        if care.cures(hose, valves):
            yield care.with_(hose, valves)
            continue
        # Valves that balance a loop do so whatever pump drives it.
        weak = (pump for pump in pumps if not care.cures(pump))
        pump = next((one for one in weak if care.cures(hose, valves, one)), None)
        if pump is not None:
            yield care.with_(hose, valves, pump)
