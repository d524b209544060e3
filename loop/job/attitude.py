"""How far heel, trim, waves and a light load lift a point of the hull out of the water."""

import math

from loop.job.model import Boat


def lowest_immersion(
    height: float, off_centre: float | None, fore_aft: float | None, boat: Boat
) -> float:
    """Depth [m] below the water of a point of the hull, at the boat's worst attitude.

    An unstated position (None) counts as amidships on the centerline.

    −height − |off-centre| sin(heel) − |fore-aft| sin(trim) − half the wave height − rise when
    light; negative where the point comes out of the water.
    """
    moved = heel_and_trim(off_centre, fore_aft, boat)
    return -height - moved - boat.wave_height / 2 - boat.light_rise


def heel_and_trim(off_centre: float | None, fore_aft: float | None, boat: Boat) -> float:
    """How far heel and trim lift a point of the hull, or on the other tack dip it [m]."""
    across, along = abs(off_centre or 0.0), abs(fore_aft or 0.0)
    return across * math.sin(abs(boat.heel)) + along * math.sin(abs(boat.trim))


def without_waves(boat: Boat) -> Boat:
    """The boat without waves, which do not act on the water in the line."""
    return boat.model_copy(update={"wave_height": 0.0})
