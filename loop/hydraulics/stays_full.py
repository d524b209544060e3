"""How high a line stays full with the pump stopped, once it has been vented.

A pump that a thermostat controls stops and starts all day, with nobody there to open a bleed.
"""

from collections.abc import Sequence

import numpy as np

from loop.hydraulics.network import Network
from loop.job.attitude import lowest_immersion, without_waves
from loop.parts import Discharge, Intake, Pump, VentedLoop

# Height above the water [m] at which atmospheric pressure still holds up the water of a closed
# line, as in a siphon: 10 m of seawater less vapor pressure and the air that comes out of solution.
# Common practice.
_SIPHON_HEIGHT = 8.0


def stays_full_to(network: Network) -> float:
    """Height [m] above the water up to which a line, once vented, stays full at rest.

    Below the waterline the sea keeps it full: at least 0. Above it, the rising side drains back
    through the pump and the falling side drains out of the outlet, followed by air. Where every
    outlet stays under water, also at the boat's worst attitude, and there is no vented loop, no air
    gets in and the water hangs in the line as in any siphon, up to about 8 m.

    Ignored, on the safe side: a check valve, since it seeps; a low point under water before an open
    outlet, past which air is drawn as the line swings back; and any path closed by itself beside an
    open one.
    """
    opened = any(
        isinstance(part, VentedLoop)
        or (isinstance(part, Discharge) and _may_surface(network, part))
        for part in network.parts
    )
    return 0.0 if opened else _SIPHON_HEIGHT


def _may_surface(network: Network, outlet: Discharge) -> bool:
    boat = network.job.boat
    return lowest_immersion(outlet.height, outlet.off_centre, outlet.fore_aft, boat) <= 0


def lift_by_attitude(network: Network, along: Sequence[tuple[int, float]]) -> tuple[float, ...]:
    """How far each point of a path may be lifted out of the water [m], 0 or more.

    `along` gives each point's part, by index, and its distance from the intake [m]. Lifted by heel,
    trim and lightest load; not by waves, which do not act on the water in the line. Between intake,
    pump and outlet the path is assumed straight; one of these without a stated position counts as
    amidships on the centerline.
    """
    places = [
        (distance, part.off_centre or 0.0, part.fore_aft or 0.0)
        for index, distance in along
        if isinstance(part := network.parts[index], Intake | Pump | Discharge)
    ]
    at, across, along_hull = zip(*places, strict=True)
    distances = [distance for _, distance in along]
    boat = without_waves(network.job.boat)
    return tuple(
        -lowest_immersion(0.0, float(y), float(x), boat)
        for y, x in zip(
            np.interp(distances, at, across), np.interp(distances, at, along_hull), strict=True
        )
    )
