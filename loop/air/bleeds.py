"""Where bleed valves help, do nothing, draw air in, or are missing."""

from collections.abc import Sequence
from typing import Literal

from loop.air.high_points import Crest, Sag, Side
from loop.hydraulics import OperatingPoint
from loop.hydraulics.gauge_pressure import draws_air, gauge_pressure
from loop.hydraulics.line_profile import LEAST_SWING, Point, Profile, sits_at
from loop.records import dataclass

# A bleed this far along the line from the pump [m] is still at its outlet: engineering estimate,
# an arm's reach.
_AT_OUTLET = 0.5

BleedPlace = Literal["crest", "pump outlet", "sag", "slope"]


@dataclass(frozen=True)
class BleedJudgement:
    """What one bleed valve is good for.

    ``part`` is its index; ``place`` where it sits; ``crest`` the crest it sits at, or for a bleed
    in a sag or on a slope the one to move it to (None where there is none). ``serves_pump`` says
    that it also frees an air-bound pump. ``lets_out_air`` is false for a bleed in a sag, for one on
    a slope (it would empty the leg below it only, and the air above stays; no credit is given),
    and for one on a suction hump above the waterline. ``draws_air``: opened while the water runs
    it lets air in. Above the waterline it is opened while the line fills and closed once the stream
    runs, below it with the pump stopped.
    """

    part: int
    distance: float
    height: float
    side: Side
    place: BleedPlace
    crest: int | None
    serves_pump: bool
    lets_out_air: bool
    gauge_pressure: float
    draws_air: bool


@dataclass(frozen=True)
class ProposedBleed:
    """A bleed valve to add: on a part at ``along`` [m] from its start, or else just after it.

    ``crest`` is the crest that it vents, None for one that only frees the pump. ``draws_air``: the
    running pressure there is negative, as `BleedJudgement` has it.
    """

    reason: Literal["pump outlet", "crest"]
    distance: float
    height: float
    part: int
    along: float
    on_part: bool
    crest: int | None
    draws_air: bool

    @property
    def key(self) -> tuple[int, float]:
        """The same for one place on two ways that share it."""
        return self.part, round(self.along, 6)


def judge_bleeds(
    line: Profile, crests: Sequence[Crest], sags: Sequence[Sag], point: OperatingPoint
) -> tuple[BleedJudgement, ...]:
    """What each bleed valve on a way is good for, in the water's order."""
    return tuple(_judge(line, crests, sags, point, position) for position in line.bleeds)


def _judge(
    line: Profile,
    crests: Sequence[Crest],
    sags: Sequence[Sag],
    point: OperatingPoint,
    position: int,
) -> BleedJudgement:
    here = line.points[position]
    at_pump = serves_pump(line, point, position)
    at = next((i for i, c in enumerate(crests) if _at(here, c)), None)
    place: BleedPlace = "slope"
    if at is not None:
        place = "crest"
    elif at_pump:
        place = "pump outlet"
    elif any(_at(here, sag) for sag in sags):
        place = "sag"
    useful = at_pump or (at is not None and crests[at].bleed is not None)
    return BleedJudgement(
        part=here.part,
        distance=here.distance,
        height=here.height,
        side="suction" if position < line.pump else "pressure",
        place=place,
        crest=at if useful or at is not None else _move_to(crests, here.distance, place == "sag"),
        serves_pump=at_pump,
        lets_out_air=useful,
        gauge_pressure=gauge_pressure(point, line, position),
        draws_air=draws_air(point, line, position),
    )


def _at(place: Point, turn: Crest | Sag) -> bool:
    return sits_at(place, turn.height, (turn.start, turn.end))


def _move_to(crests: Sequence[Crest], distance: float, in_sag: bool) -> int | None:
    """The unvented crest uphill of a bleed; in a sag the one before it, whose air it was meant for.

    Where that one has a bleed or there is none, the next crest after it.
    """
    before = [i for i, crest in enumerate(crests) if crest.distance <= distance][-1:]
    uphill = [i for i in before if in_sag or distance <= crests[i].leg[1]]
    after = [i for i, crest in enumerate(crests) if crest.distance > distance]
    return next((i for i in uphill + after if crests[i].bleed is None), None)


def serves_pump(line: Profile, point: OperatingPoint, position: int) -> bool:
    """Whether a bleed is at the pump's outlet: near it, with no fall that would hold air between.

    It must also be before any manifold: every way shares the pump.
    """
    here, network = line.points[position], point.network
    return (
        position > line.pump
        and network.line_of[here.part] == network.pump_line
        and here.distance - line.pump_at <= _AT_OUTLET
        and line.fall_between(line.pump, position) < LEAST_SWING
    )


def outlet_bleed(
    line: Profile, crests: Sequence[Crest], point: OperatingPoint
) -> ProposedBleed | None:
    """A bleed just after the pump, or None where there is one."""
    if any(serves_pump(line, point, position) for position in line.bleeds):
        return None
    pump = line.points[line.pump]
    at = (i for i, crest in enumerate(crests) if _at(pump, crest))
    return ProposedBleed(
        reason="pump outlet",
        distance=pump.distance,
        height=pump.height,
        part=pump.part,
        along=0.0,
        on_part=False,
        crest=next(at, None),
        draws_air=draws_air(point, line, line.pump),
    )


def crest_bleed(crests: Sequence[Crest], number: int) -> ProposedBleed:
    """A bleed at a crest."""
    crest = crests[number]
    return ProposedBleed(
        reason="crest",
        distance=crest.distance,
        height=crest.height,
        part=crest.part,
        along=crest.along,
        on_part=crest.on_part,
        crest=number,
        draws_air=crest.negative_pressure,
    )
