"""How high a vented loop must be for its vent to stay out of the water."""

from loop.check.context import Context
from loop.job import Boat
from loop.job.attitude import heel_and_trim
from loop.parts import Discharge, VentedLoop
from loop.records import dataclass

# Least height of a vented loop above the water, at rest and at the worst heel and trim [m]: common
# practice.
LEAST_VENT = 0.15
# Assumed distance of an outlet in her side from the middle of the boat, half a beam [m]:
# engineering estimate.
HALF_BEAM = 1.5
# Greatest distance from the middle [m] of a part assumed to be there; an outlet as near, as in a
# transom, does not tell where the vent of its line is. Engineering estimate.
NEAR = 0.3


@dataclass(frozen=True)
class VentHeight:
    """Height of a vented loop above the waterline, and what may bring the sea up to it [m].

    ``heeled`` is the rise of the water at its place by heel and trim, ``crest`` that by a wave;
    each is 0 where it reaches no outlet of the loop's line, the only way in for the sea.
    """

    height: float
    heeled: float
    crest: float

    @property
    def depth(self) -> float:
        """Depth of its vent below the water, heeled [m]; negative above it."""
        return self.heeled - self.height

    @property
    def least(self) -> float:
        """Least height above the waterline that keeps it dry [m]."""
        return max(LEAST_VENT + self.heeled, self.crest)


def vent_height(context: Context, index: int) -> VentHeight:
    """Height of the vented loop with this part index.

    If its place is not stated it is taken to be as far out as the outermost of its outlets: the
    safe side.
    """
    part, height = context.network.parts[index], context.network.heights[index]
    assert isinstance(part, VentedLoop)
    return _height_over_water(context.job.boat, outlets_of(context, index), height, part)


def least_vent(boat: Boat, outlet: Discharge, *placed: VentedLoop) -> float:
    """Least height [m] above the waterline of a vented loop before an outlet, placed or to fit.

    As far out as itself or the outlet; if neither tells, half a beam.
    """
    across, along = (
        next(
            (own for vent in placed if (own := getattr(vent, axis)) is not None),
            getattr(outlet, axis) if tells_place(outlet, axis) else HALF_BEAM,
        )
        for axis in ("off_centre", "fore_aft")
    )
    return _height_over_water(
        boat, (outlet,), 0.0, VentedLoop(off_centre=across, fore_aft=along)
    ).least


def tells_place(outlet: Discharge, axis: str) -> bool:
    """Whether an outlet's place on this axis, in her side or at an end, is that of its vent."""
    away: float = getattr(outlet, axis) or 0.0
    return abs(away) > NEAR


def _height_over_water(
    boat: Boat, outlets: tuple[Discharge, ...], height: float, vent: VentedLoop
) -> VentHeight:
    across, along = (
        max((abs(getattr(one, axis) or 0.0) for one in outlets), default=0.0)
        if (stated := getattr(vent, axis)) is None
        else abs(stated)
        for axis in ("off_centre", "fore_aft")
    )
    dips = any(deepest(outlet, boat) > 0 for outlet in outlets)
    covered = any(outlet.height < boat.wave_height / 2 for outlet in outlets)
    return VentHeight(
        height=height,
        heeled=heel_and_trim(across, along, boat) if dips else 0.0,
        crest=boat.wave_height / 2 if covered else 0.0,
    )


def outlets_of(context: Context, index: int) -> tuple[Discharge, ...]:
    """The outlets to which the line with this part leads."""
    ends = {way[-1] for _, way in context.network.paths() if index in way}
    found = (context.network.parts[end] for end in sorted(ends))
    return tuple(part for part in found if isinstance(part, Discharge))


def deepest(part: Discharge, boat: Boat) -> float:
    """Depth of a discharge below the water in the boat's worst attitude, without waves [m]."""
    return heel_and_trim(part.off_centre, part.fore_aft, boat) - part.height
