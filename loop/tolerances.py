"""Uncertainties of a loop and their sizes: the single table that every command reads.

A tolerance is the half-width within which about 95 of 100 loops lie: two standard deviations of a
normal distribution. Where no source is named, the value is an engineering estimate.
"""

from loop.records import dataclass

_ESTIMATE = "engineering estimate"
_ISO = "ISO 9906:2012, grade 2B"

# A tolerance is this many standard deviations.
SIGMAS = 2.0


@dataclass(frozen=True)
class Tolerance:
    """About 95 of 100 lie within ± `half` of the stated value; `shared` is what one draw is for."""

    quantity: str
    half: float
    shared: str
    source: str = _ESTIMATE

    @property
    def sigma(self) -> float:
        """Standard deviation, in the unit of `half`."""
        return self.half / SIGMAS


# Pump curve along its two axes, and electrical power, as shares. Wider for a curve estimated from
# the two values of a nameplate.
PUMP_FLOW = Tolerance("pump flow", 0.08, "the whole curve", _ISO)
PUMP_HEAD = Tolerance("pump head", 0.05, "the whole curve", _ISO)
PUMP_POWER = Tolerance("pump power", 0.08, "the whole curve", _ISO + "; from memory")
NAMEPLATE_FLOW = Tolerance("pump flow by its nameplate", 0.15, "the whole curve")
NAMEPLATE_HEAD = Tolerance("pump head by its nameplate", 0.10, "the whole curve")
# Flow or head that the nameplate omits, estimated from the power.
NAMEPLATE_ESTIMATE = Tolerance(
    "pump flow or head estimated from its power", 0.30, "the whole curve"
)
# The part of the curve's tolerance that a baseline can attribute to pump speed, as a share of
# speed.
PUMP_SPEED = Tolerance("pump speed", 0.02, "the pump")

# Loss coefficients of hoses, fittings and tees as installed, as a share of the loss: half of the
# variance is common to all, half is each line's own.
LOSS = Tolerance("losses", 0.25, "half all parts, half each line")
LOSS_COMMON_VARIANCE = 0.5

# Hose bore [m]: 1/32 in either way.
BORE = Tolerance("hose bore", 0.0254 / 32, "all hoses: they come off one reel")
# Barb bore as a share of itself, by the rule of thumb and where the job states it.
BARB = Tolerance("barb bore", 0.08, "all barbs")
BARB_MEASURED = Tolerance("barb bore where the job states it", 0.02, "all barbs")
# Roughness of a bore ribbed by its reinforcing wire [m], low and high: the range of the tables.
RIBBED = (0.3e-3, 4e-3)

# Uncertain on the day: share of a basket that is blocked beyond that stated; sea temperature
# relative to the warmest stated [K]; voltage at a DC pump's terminals, as a share.
BLOCKED = Tolerance("strainer blocked", 0.10, "all strainers")
SEA = Tolerance("sea temperature", 1.5, "the whole loop")
SUPPLY = Tolerance("supply of a DC pump", 0.04, "the pump")

# Per unit: heat that it rejects, and conductance of its clean condenser, as shares.
HEAT = Tolerance("heat rejected", 0.12, "the unit")
CONDUCTANCE = Tolerance("conductance of a clean condenser", 0.20, "the unit")

# Share that remains, after a baseline, of the tolerances that it cannot resolve individually.
AFTER_BASELINE = 0.5
