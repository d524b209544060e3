"""How high a line still stands full with the pump stopped, once the air has been let out of it.

A pump that a thermostat runs stops and starts all day, and nobody is there to open a bleed.
"""

from loop.hydraulics.network import Network
from loop.parts import Discharge, VentedLoop

# Height over the water [m] that a closed line is still held up to by the air's own pressure: a
# siphon's, from 10 m of seawater less the vapor's pressure and the air that comes out of the water.
# Common practice.
_HELD_UP = 8.0


def stays_full_to(network: Network) -> float:
    """Height [m] above the waterline up to which a line that was vented once stays full at rest.

    Below the waterline the sea keeps it full: 0 at the least. Above, the rising side falls back
    through the pump and the falling side runs out of the outlet, with air behind it. Where every
    outlet lies under water at rest, and nothing is vented, no air comes in: then it hangs in the
    line as in any siphon, some 8 m up.

    Left out, on the safe side: a check valve, which seeps; a low point under water before an
    open outlet, over which air is drawn as the line swings back; and any way that is closed by
    itself beside one that is open.
    """
    opened = any(
        isinstance(part, VentedLoop) or (isinstance(part, Discharge) and height >= 0)
        for part, height in zip(network.parts, network.heights, strict=True)
    )
    return 0.0 if opened else _HELD_UP
