"""The cautions of the program: general ones, and those inside a step.

Handbook of the trade. In a step the caution comes before the action.
"""

from loop.job import Job, all_parts
from loop.parts import Bleed, Intake

BELOW_WATER = (
    "An open fitting below the waterline sinks boats: close the seacock before opening anything, "
    "and keep a plug at hand when afloat."
)
POWER = (
    "Wiring near water, shore power and inverters are work for a qualified electrician; switch off "
    "and lock out before touching the pump."
)
REFRIGERANT = "The refrigerant circuit is work for a licensed technician only."
CODES = (
    "Local codes and the instructions of the boatbuilder and equipment makers come before any "
    "figure here; seacocks and through-hulls follow ISO 9093 / ABYC H-27."
)
BLEEDING = "Open a bleed valve slowly, with a rag around it and the pump's wiring kept dry."

# Inside a step that opens the line before the pump, or the strainer; by the loop's parts.
OPENS = (
    "An open fitting below the waterline sinks boats: pump off[, {seacock} shut{sea_shut} (and "
    "that of any outlet that is or may come under water), a plug at hand before anything is "
    "opened][ and, as this loop has no seacock to shut{no_seacock}][ and, as an outlet under water "
    "has no seacock to shut{open_outlet}][, the boat out of the water before anything is "
    "opened{sea_open}]."
)
# The short form, for a step under a box that gives the full text.
OPENS_BRIEFLY = (
    "Pump off[, {seacock} shut{sea_shut} (an outlet's too), a plug at hand]"
    "[, the boat out of the water{sea_open}]."
)
# A pump without water wears out its seal within minutes (common practice).
BRIEFLY = "for a few seconds only if no water comes"
STEP_BREAKER = "Pump breaker off first."
# A unit can start its pump by itself while a lid is off or a gauge is being fitted.
LINE_OPEN = f"{OPENS} {STEP_BREAKER}"
STEP_MAINS = "Power near water: breaker off, and a qualified electrician for open mains wiring."
STEP_METER = "Power near water: on mains, a qualified electrician takes this reading."

DIVER = (
    "In the water: never alone, engine and pump off with a note on the switch, and shore power "
    "unplugged here and on the boats alongside: stray current kills swimmers. Cover your skin "
    "where there are jellyfish."
)

FORCED = "Never force a stuck handle: one that breaks off below the waterline sinks the boat."
HOSES = (
    "Hands clear of fans, belts and hot pipes. Never bend a hose at its barb: an old hose comes "
    "off, and below the waterline that sinks the boat."
)

# Names by which rows of other tables refer to these.
SHARED: dict[str, str] = {
    "opens": OPENS,
    "line-open": LINE_OPEN,
    "step-breaker": STEP_BREAKER,
    "step-mains": STEP_MAINS,
    "step-meter": STEP_METER,
    "briefly": BRIEFLY,
    "diver": DIVER,
    "refrigerant": REFRIGERANT,
    "forced": FORCED,
    "hoses": HOSES,
}


def cautions(job: Job) -> tuple[str, ...]:
    """Cautions that apply to this job, gravest first."""
    parts = list(all_parts(job.part))
    said = []
    if any(isinstance(part, Intake) and part.height < 0 for part in parts):
        said.append(BELOW_WATER)
    said.append(POWER)
    if any(isinstance(part, Bleed) for part in parts):
        said.append(BLEEDING)
    return (*said, REFRIGERANT, CODES)
