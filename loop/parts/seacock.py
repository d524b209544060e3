"""Ball valves: the seacock, and the valves that balance branches."""

import math
from typing import Literal

import fluids
from pydantic import model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.step import narrower
from loop.seawater import Water
from loop.units.fields import Bore, Ratio
from loop.wrong import refused

# Added loss of a part-closed plug cock, K against handle angle [deg]: Weisbach's measurements, as
# reprinted in most fluid-mechanics handbooks; from memory. 82° and more is shut.
_ANGLES = (5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 65.0)
_ADDED_K = (0.05, 0.29, 1.56, 5.47, 17.3, 52.6, 206.0, 486.0)
SHUT_ANGLE = 82.0


def handle_angle(opening: float) -> float:
    """Handle angle [deg] from fully open, for an opening from 1 (open) to 0 (shut)."""
    return 90.0 * (1.0 - opening)


def opening_at(angle: float) -> float:
    """Opening, 1 to 0, at a handle angle [deg] from fully open."""
    return 1.0 - angle / 90.0


def added_coefficient(angle: float) -> float:
    """K added to the open valve's by turning the handle by `angle` [deg], 0 to 82.

    log K is interpolated between the measured angles; below 5°, K is proportional to the angle;
    above 65° it is extrapolated with the last slope.

    >>> added_coefficient(30.0)
    5.47
    """
    if angle <= _ANGLES[0]:
        return _ADDED_K[0] * angle / _ANGLES[0]
    index = next((i for i, a in enumerate(_ANGLES) if a >= angle), len(_ANGLES) - 1)
    low, high = _ANGLES[index - 1], _ANGLES[index]
    share = (angle - low) / (high - low)
    if share == 1.0:
        return _ADDED_K[index]
    return float(_ADDED_K[index - 1] * (_ADDED_K[index] / _ADDED_K[index - 1]) ** share)


def angle_for(coefficient: float) -> float:
    """Handle angle [deg] that adds `coefficient` to an open valve; inverse of the above.

    >>> round(angle_for(5.47), 6)
    30.0
    """
    low, high = 0.0, SHUT_ANGLE
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if added_coefficient(middle) < coefficient else (low, middle)
    return (low + high) / 2


class Seacock(Part):
    """A ball valve; loss: ``fluids.K_ball_valve_Crane`` plus, part closed, Weisbach's plug cock."""

    kind: Literal["seacock"] = "seacock"
    open: Ratio = 1.0
    port: Bore | None = None

    @model_validator(mode="after")
    def _check(self) -> "Seacock":
        if self.port and self.bore and narrower(self.bore, self.port):
            raise refused("seacock", "port-bore")
        return self

    @property
    def shut(self) -> bool:
        """A handle at 82° or more lets nothing through."""
        return handle_angle(self.open) >= SHUT_ANGLE

    @property
    def clear_port(self) -> float:
        """Bore through the ball [m]; a stated port may round to a little more than the bore."""
        return min(self.port or self.inner_bore, self.inner_bore)

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore; infinite where shut."""
        if self.shut:
            return math.inf
        bore, port = self.inner_bore, self.clear_port
        # 180°: a reduced port is a sudden step, not a cone.
        valve = fluids.K_ball_valve_Crane(D1=port, D2=bore, angle=180.0)
        # The valve's K refers to its larger bore, the added K to the port.
        return float(valve + added_coefficient(handle_angle(self.open)) * (bore / port) ** 4)
