"""What is uncertain about a loop, and by how much: the one table, read by every command.

A tolerance is the half width within which about 95 of 100 loops lie: two standard deviations of a
normal distribution. Where no source is named the figure is an engineering estimate.
"""

from loop.records import dataclass

_ESTIMATE = "engineering estimate"
_ISO = "ISO 9906:2012, grade 2B"

# Tolerances are read as this many standard deviations.
SIGMAS = 2.0


@dataclass(frozen=True)
class Tolerance:
    """About 95 in 100 lie within ± `half` of what is stated; `shared` says what one draw is for."""

    quantity: str
    half: float
    shared: str
    source: str = _ESTIMATE

    @property
    def sigma(self) -> float:
        """Standard deviation, in the unit of `half`."""
        return self.half / SIGMAS


# Of a pump's curve along its two axes and of its electrical power, as shares. Those of a curve put
# through a nameplate's two figures are wider.
PUMP_FLOW = Tolerance("pump flow", 0.08, "the whole curve", _ISO)
PUMP_HEAD = Tolerance("pump head", 0.05, "the whole curve", _ISO)
PUMP_POWER = Tolerance("pump power", 0.08, "the whole curve", _ISO + "; from memory")
NAMEPLATE_FLOW = Tolerance("pump flow by its nameplate", 0.15, "the whole curve")
NAMEPLATE_HEAD = Tolerance("pump head by its nameplate", 0.10, "the whole curve")
# Of flow or head where the nameplate leaves it out, and it is estimated from the power.
NAMEPLATE_ESTIMATE = Tolerance(
    "pump flow or head estimated from its power", 0.30, "the whole curve"
)
# What of the curve's tolerance a baseline can lay on the pump's speed, as a share of the speed.
PUMP_SPEED = Tolerance("pump speed", 0.02, "the pump")

# Loss coefficients of hoses, fittings and tees as they are fitted, as a share of the loss: half of
# the variance is common to all, half each line's own.
LOSS = Tolerance("losses", 0.25, "half all parts, half each line")
LOSS_COMMON_VARIANCE = 0.5

# Hose bore [m]: 1/32 in either way.
BORE = Tolerance("hose bore", 0.0254 / 32, "all hoses: they come off one reel")
# Bore of a barb as a share of itself, by the rule of thumb and where the job states it.
BARB = Tolerance("barb bore", 0.08, "all barbs")
BARB_MEASURED = Tolerance("barb bore where the job states it", 0.02, "all barbs")
# Roughness of a bore ribbed by its reinforcing wire [m], low and high: the range of the tables.
RIBBED = (0.3e-3, 4e-3)

# What only the day decides: share of a basket that is blocked beside what is stated; the sea beside
# the warmest stated [K]; voltage at a DC pump's terminals, as a share.
BLOCKED = Tolerance("strainer blocked", 0.10, "all strainers")
SEA = Tolerance("sea temperature", 1.5, "the whole loop")
SUPPLY = Tolerance("supply of a DC pump", 0.04, "the pump")

# Of a unit: heat that it rejects, and conductance of its clean condenser, as shares.
HEAT = Tolerance("heat rejected", 0.12, "the unit")
CONDUCTANCE = Tolerance("conductance of a clean condenser", 0.20, "the unit")

# What a baseline leaves of the tolerances that it cannot see one by one, as a share of them.
AFTER_BASELINE = 0.5
