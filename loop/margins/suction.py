"""The line from the sea to the pump: whether the intake is deep enough, and the pump's NPSH."""

import math

from loop.hydraulics import OperatingPoint
from loop.job import Boat
from loop.job.attitude import lowest_immersion, without_waves
from loop.parts import Intake, Pump
from loop.parts.friction import GRAVITY, ROUNDING, velocity
from loop.records import dataclass
from loop.seawater import ATMOSPHERE, Water

# Least available over required NPSH: common practice for small pumps on warm water.
NPSH_RATIO = 1.3
# How far a boat sinks as people step aboard [m], with or without waves: common practice, two
# inches.
SINKAGE = 0.05
# Coefficient of the Froude number in ANSI/HI 9.8's submergence (form as cited in open literature).
VORTEX_FACTOR = 2.3


@dataclass(frozen=True)
class IntakeDepth:
    """Depth of the intake at rest and at the worst attitude, and the required depth [m]."""

    at_rest: float
    worst: float
    needed: float

    @property
    def short_by(self) -> float:
        """How much lower the intake must be [m]; 0 or less if it is deep enough."""
        return self.needed - self.worst


def priming_reach(pump: Pump) -> float:
    """Height above the water [m] beyond which a pump never primes: 0 if it is not self-priming.

    Its maker's priming lift; where none is stated, the head that it holds while it draws air.
    """
    if not pump.curve.self_priming:
        return 0.0
    if pump.curve.priming_lift is not None:
        return pump.curve.priming_lift
    return pump.curve.held_head * pump.speed**2 * pump.in_series


def pump_exposed(pump: Pump, height: float, boat: Boat) -> bool:
    """Whether a pump at this height [m] comes higher above the water than it primes from."""
    immersion = lowest_immersion(height, pump.off_centre, pump.fore_aft, without_waves(boat))
    return -immersion > priming_reach(pump) + ROUNDING


def intake_exposed(intake: Intake, boat: Boat) -> bool:
    """Whether the intake comes out of the water at the boat's worst attitude and waves."""
    return lowest_immersion(intake.height, intake.off_centre, intake.fore_aft, boat) <= 0


def height_above_water(
    intake: Intake, pump: Pump, share: float, height: float, boat: Boat
) -> float:
    """Height above water [m] of a point of the suction, at worst heel, trim and lightest load.

    `share` is its position on the path from intake to pump, 0 to 1, `height` [m above the
    waterline] its height at rest. The path is assumed straight across the boat.
    """
    across, along = (
        (1 - share) * (start or 0.0) + share * (end or 0.0)
        for start, end in (
            (intake.off_centre, pump.off_centre),
            (intake.fore_aft, pump.fore_aft),
        )
    )
    return -lowest_immersion(height, across, along, without_waves(boat))


def needed_submergence(bore: float, flow: float) -> float:
    """Submergence [m] of an opening of `bore` [m] at which it draws no air, at `flow` [m³/s].

    S = D (1 + 2.3 V/√(g D)): ANSI/HI 9.8, pump intake design (form as cited in open literature).

    >>> round(needed_submergence(0.1, 0.00778), 3)
    0.33
    """
    speed = velocity(flow, bore)
    return bore * (1 + VORTEX_FACTOR * speed / math.sqrt(GRAVITY * bore))


def intake_depth(intake: Intake, boat: Boat, flow: float) -> IntakeDepth:
    """Depth of a job's intake, and the depth required at `flow` [m³/s]."""
    return IntakeDepth(
        at_rest=-intake.height,
        worst=lowest_immersion(intake.height, intake.off_centre, intake.fore_aft, boat),
        needed=needed_submergence(intake.inner_bore, flow),
    )


def npsh_available(point: OperatingPoint, water: Water) -> float:
    """Net positive suction head at the pump's inlet [m].

    (p_atm − p_v)/ρg + H_inlet − z_pump, with total head H (Crane TP-410; any pump textbook). NaN
    without flow: NPSH is a property of the water that reaches the pump.
    """
    if point.flow <= 0:
        return math.nan
    inlet = point.pump_inlet
    index = point.network.pump_index
    above_vapor = (ATMOSPHERE - water.vapor_pressure) / (water.density * GRAVITY)
    return float(above_vapor + inlet.total_head - point.network.heights[index])
