"""Findings about priming: whether the pump drives the air out, and which branch stays dry."""

import math
from collections import Counter
from collections.abc import Iterator
from functools import partial

from loop.air.air_paths import START_SPARE, AirPath
from loop.air.bleeds import ProposedBleed, high_point_bleed
from loop.air.branch_priming import BranchPriming
from loop.air.high_points import HighPoint
from loop.air.priming_head import Rises, rises
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.pump_changes import rated
from loop.parts import Hose
from loop.parts.friction import ROUNDING
from loop.parts.seacock import SHUT_ANGLE
from loop.words import Action, Place, Value
from loop.words.actions import EvenHose, FitBleed, LowerLine, together
from loop.words.numbers import nearest, round_down


def priming_findings(context: Context, path: AirPath) -> Iterator[Draft]:
    """start-head-short: against the shut-off head, and for a branch while the others run."""
    # Zero flow from air in the legs (`best` is set) concerns priming; from a shut valve it does
    # not.
    if not context.has_flow and context.point.best is None:
        return
    if not path.starts_with_spare:
        yield _whole_loop(context, path)
    if path.starves and path.priming is not None:
        yield _dry_branch(context, path, path.priming)


def _whole_loop(context: Context, path: AirPath) -> Draft:
    return draft(
        "start-head-short",
        "warning" if path.starts else "danger",
        _place(context, path),
        {
            "branch": path.branch or None,
            "needed": path.start_head,
            "held": path.shutoff_head,
            "supply": _lowest_supply(context),
            "spare": START_SPARE if path.starts else None,
        },
        partial(_start_with_less_head, context, path),
    )


def _place(context: Context, path: AirPath) -> Place:
    return Place(branch=path.branch) if path.branch else context.place(context.network.pump_index)


def _lowest_supply(context: Context) -> float | None:
    """The lowest supply [V], if that is what limits the shut-off head."""
    lowest = context.job.sizing.lowest_supply
    if lowest is None or all(
        p.shutoff_head >= context.point.shutoff_head for p in context.air_paths
    ):
        return None
    return lowest


def _start_with_less_head(context: Context, path: AirPath) -> Iterator[Action]:
    """Bleeds if they suffice; else the line lower, or a pump with enough head."""
    limit = (1 - START_SPARE) * path.shutoff_head
    if path.bleeds_suffice and path.start_head_proposed <= limit + ROUNDING < path.start_head:
        vents = [bleed.high_point for bleed in path.proposed if bleed.high_point is not None]
        if vents:
            yield together(_bleeds_at(context, path, vents))
    yield from _evenly(context, path)
    found = rises(path.profile, path.high_points)
    yield from _lower(context, path, found, limit)
    head = path.start_head / (1 - START_SPARE) * 1.001
    yield rated(context, 0.7 * head * _supplied(context), context.design_flow)


def _evenly(context: Context, path: AirPath) -> Iterator[Action]:
    """Hoses with several high points each, led evenly: lower, they would still go up and down."""
    tops = Counter(point.part for point in path.high_points if point.on_part)
    even = [EvenHose(context.addresses[part]) for part, count in tops.items() if count > 1]
    if even:
        yield together(even)


def _supplied(context: Context) -> float:
    """Shut-off head at the job's supply over that at the lowest supply."""
    weakest = min((path.shutoff_head for path in context.air_paths), default=math.inf)
    return max(context.point.shutoff_head / weakest, 1.0) if weakest > 0 else 1.0


def _bleeds_at(context: Context, path: AirPath, high_points: list[int]) -> Iterator[Action]:
    """A bleed at each of these high points."""
    for number in high_points:
        bleed = high_point_bleed(path.high_points, number)
        yield FitBleed(context.addresses[bleed.part], bleed_along(context, bleed), bleed.height)


def bleed_along(context: Context, at: HighPoint | ProposedBleed) -> float | None:
    """Distance along its hose [m] of a bleed, as read on a tape; None just after a part."""
    if not at.on_part:
        return None
    part, along = context.network.parts[at.part], nearest(at.along, "length", context.job.units)
    inside = not isinstance(part, Hose) or 0 < along < part.length
    return along if inside else at.along


def _lower(
    context: Context, path: AirPath, found: Rises, limit: float, branch: str = ""
) -> Iterator[Action]:
    """Lower the line for a start on `limit` [m], with or without bleeds at its high points.

    Bleeds alone come first. Nothing if no height suffices.
    """
    units = context.job.units
    every = sorted(found.ventable)
    if every and found.vented.head <= limit:
        yield together(_bleeds_at(context, path, every))
    for rest, vents in ((found, []), (found.vented, every)):
        height = rest.highest(limit)
        if height is None:
            continue
        lower = LowerLine(max(round_down(height, "height", units), 0.0), branch)
        if lower.parts(context.job):
            yield together([lower, *_vent_lowered(context, path, vents, lower)])


def _vent_lowered(
    context: Context, path: AirPath, high_points: list[int], lower: LowerLine
) -> Iterator[Action]:
    """Bleeds except within hoses that are lowered: no hose is both cut and rerouted."""
    changed = lower.parts(context.job)
    for action in _bleeds_at(context, path, high_points):
        assert isinstance(action, FitBleed)
        if action.along is None or action.part not in changed:
            yield action


def _dry_branch(context: Context, path: AirPath, priming: BranchPriming) -> Draft:
    missing = [o for o, valve in zip(priming.others, priming.valves, strict=True) if valve is None]
    return draft(
        "start-head-short",
        "warning",
        _place(context, path),
        {
            "case": "beside",
            "branch": path.branch,
            "others": priming.others,
            "missing": tuple(missing) or None,
            "needed": priming.head,
            "held": priming.head_left,
            "supply": _lowest_supply(context),
        },
        partial(_start_branch, context, path, priming),
        basis=("pocket", "dry branch"),
        solved_values=partial(_angle, priming),
    )


def _angle(priming: BranchPriming) -> dict[str, Value]:
    """The angle of the others' valves at which the branch fills, if there is one."""
    angle = priming.angle()
    return {"angle": math.radians(angle)} if angle < SHUT_ANGLE else {}


def _start_branch(context: Context, path: AirPath, priming: BranchPriming) -> Iterator[Action]:
    """Lower the branch, or fit a pump that fills it while the others run."""
    yield from _lower(context, path, priming.rises, priming.head_left, path.branch)
    pump = priming.pump()
    if pump is not None:
        for more in (1.0, 1.1, 1.25):
            yield rated(context, more * pump[0], pump[1])
