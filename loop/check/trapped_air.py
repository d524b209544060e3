"""High points at which the running water leaves air, and the bleeds that let it out."""

from collections.abc import Iterator

from loop.air.bleeds import ProposedBleed
from loop.air.high_points import HighPoint
from loop.check.context import Context
from loop.check.plan import Plan
from loop.check.priming import bleed_along
from loop.hydraulics.leg_report import LegState, leg_below
from loop.words.actions import Action, FitBleed, When


def traps_air(context: Context, high_point: HighPoint) -> bool:
    """Whether air may stay at a high point after the pump, with nothing there to let it out.

    Where the line does not drain, a bleed lets out what gathers. A vented loop lets air in, by
    design.
    """
    if high_point.side != "pressure" or high_point.running == "swept" or high_point.open_end:
        return False
    leg = leg_below_point(context, high_point)
    return not high_point.vented and (leg is None or leg.decides != "vent")


def leg_below_point(context: Context, high_point: HighPoint) -> LegState | None:
    """The falling leg below a high point, if there is one."""
    place = context.network.places[high_point.part]
    return leg_below(context.point.legs, place, high_point.height)


def bleed_at(context: Context, at: HighPoint | ProposedBleed, draws: bool) -> FitBleed:
    """A bleed at a high point, or just after the pump."""
    return FitBleed(
        context.addresses[at.part],
        bleed_along(context, at),
        at.height,
        when_opened(at.height, draws),
    )


def when_opened(height: float, draws: bool) -> When:
    """When to open a bleed.

    Below the water the sea drives the air out of a line at rest. Above it a line at rest drains,
    and can be vented only while it fills.
    """
    if not draws:
        return "running"
    return "stopped" if height < 0 else "filling"


def fit_one_bleed(plan: Plan) -> Iterator[Action]:
    """One bleed where air costs head, costliest first, that gives each unit its need."""
    yield from plan.that_cure(_useful_bleeds(plan.context))


def fit_bleeds(plan: Plan) -> Iterator[Action]:
    """Several bleeds, where no single one suffices: as few as possible, costliest air first."""
    bleeds = _useful_bleeds(plan.context)
    if not any(plan.cures(one) for one in bleeds):
        some = (bleeds[:count] for count in range(2, len(bleeds) + 1))
        yield from (plan.followed_by(*these) for these in some if plan.cures(*these))


def _useful_bleeds(context: Context) -> list[FitBleed]:
    """Bleeds that would permanently let out air that costs head, costliest first."""
    head_taken: dict[FitBleed, float] = {}
    for path in context.air_paths:
        for high_point in path.high_points:
            leg = leg_below_point(context, high_point)
            helps = high_point.lasts and traps_air(context, high_point)
            if helps and leg is not None and leg.head_taken > 0:
                bleed = bleed_at(context, high_point, high_point.negative_pressure)
                head_taken[bleed] = leg.head_taken
    return sorted(head_taken, key=lambda one: -head_taken[one])
