"""How high a line still stands full with the pump stopped, once the air has been let out of it.

A pump that a thermostat runs stops and starts all day, and nobody is there to open a bleed.
"""

from collections.abc import Sequence

import numpy as np

from loop.hydraulics.network import Network
from loop.job.attitude import lowest_immersion, still
from loop.parts import Discharge, Intake, Pump, VentedLoop

# Height over the water [m] that a closed line is still held up to by the air's own pressure: a
# siphon's, from 10 m of seawater less the vapor's pressure and the air that comes out of the water.
# Common practice.
_HELD_UP = 8.0


def stays_full_to(network: Network) -> float:
    """Height [m] above the water up to which a line that was vented once stays full at rest.

    Below the water the sea keeps it full: 0 at the least. Above, the rising side falls back
    through the pump and the falling side runs out of the outlet, with air behind it. Where every
    outlet stays under water, in the boat's worst attitude too, and nothing is vented, no air comes
    in: then it hangs in the line as in any siphon, some 8 m up.

    Left out, on the safe side: a check valve, which seeps; a low point under water before an
    open outlet, over which air is drawn as the line swings back; and any way that is closed by
    itself beside one that is open.
    """
    opened = any(
        isinstance(part, VentedLoop) or (isinstance(part, Discharge) and _bared(network, part))
        for part in network.parts
    )
    return 0.0 if opened else _HELD_UP


def _bared(network: Network, outlet: Discharge) -> bool:
    boat = network.job.boat
    return lowest_immersion(outlet.height, outlet.off_centre, outlet.fore_aft, boat) <= 0


def lifts(network: Network, along: Sequence[tuple[int, float]]) -> tuple[float, ...]:
    """How far each point of a way may be lifted out of the water [m], 0 or more.

    `along` gives each point's part, by its index, and its distance from the intake [m]. By heel,
    trim and lightest load, not by waves, which the water in the line does not feel. Between intake,
    pump and outlet the way is taken to lead straight; one of these whose place is not stated counts
    as in the middle of the boat.
    """
    places = [
        (distance, part.off_centre or 0.0, part.fore_aft or 0.0)
        for index, distance in along
        if isinstance(part := network.parts[index], Intake | Pump | Discharge)
    ]
    at, across, along_hull = zip(*places, strict=True)
    distances = [distance for _, distance in along]
    boat = still(network.job.boat)
    return tuple(
        -lowest_immersion(0.0, float(y), float(x), boat)
        for y, x in zip(
            np.interp(distances, at, across), np.interp(distances, at, along_hull), strict=True
        )
    )
