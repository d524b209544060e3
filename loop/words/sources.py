"""Sources of limits and relations: one text each, quantities as blanks."""

from loop.parts.intake import SCOOP
from loop.tolerances import BARB, BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.units.shown import MINUS, scale_shown

_GALLONS = scale_shown("flow", "us")[0]
# Values of the blanks [SI]; flow per ton in gallons an hour is common practice.
QUANTITIES = {"bore": BORE.half, "least": 150 * _GALLONS, "most": 250 * _GALLONS}
SOURCES: dict[str, str] = {
    "common practice": "common practice",
    "engineering estimate": "engineering estimate",
    "geometry": "geometry of the line",
    "pump curve": "pump curve",
    "pump test": "a pump on its test bench makes the velocity head of its own water",
    "need": "need: common practice or the maker's figure",
    "flow per ton": "common practice: {least:flow} to {most:flow} per ton",
    "band": (
        f"band: ISO 9906:2012 grade 2B for the pump (±{PUMP_FLOW.half:.0%} flow, "
        f"±{PUMP_HEAD.half:.0%} head); ±{LOSS.half:.0%} on losses, ±{{bore:bore}} on hose "
        f"bore and ±{BARB.half:.0%} on barbs are engineering estimates"
    ),
    "step": "loss of a step: Rennels & Hudson, Pipe Flow (2012), and Borda and Carnot",
    "basket": "velocity through the open share of the basket, 1/(1 − blocked)",
    "method": "limit of the method",
    "balance": "balanced on the loop's own curves",
    "valve": "valve angle after Weisbach, from memory",
    "speed limits": "speed limits: common practice for hose, and those of the tubes",
    "submergence": "needed depth: ANSI/HI 9.8; attitude: geometry",
    "scoop": f"share of the speed's velocity head {MINUS}{-SCOOP['aft']:.1f}: engineering estimate",
    "rising suction": "common practice: the suction rises all the way from the sea to the pump",
    "pocket": (
        "May, Allen & Nelson (2018), Int. J. Hydraulic Engineering 7(3):51–57, 25 and 38 mm pipes"
    ),
    "start spare": "spare head: common practice",
    "dry branch": "the network solved with the branch dry",
    "fewest bleeds": "smallest set of bleeds that leaves the spare head",
    "clearing": "Wisner, Mohsen & Kouwen (1975); Escarameia (2007), 0.61 from memory",
    "steeper": "measured on gentler slopes and extrapolated to this one",
    "gauge": "gauge pressure along the line",
    "npsh": "ratio of suction heads: common practice",
    "npsh unknown": "least suction head where none is stated: engineering estimate",
    "vapor": "vapor pressure of seawater at the job's temperature and salinity",
    "copper-nickel": "Copper Development Association; Powell & Michels, CORROSION/2000 paper 627",
    "heat": (
        "heat balance and effectiveness–NTU; the split of resistance is an engineering estimate"
    ),
    "limit": "the limit itself: engineering estimate",
    "through-hull": "ISO 9093 / ABYC H-27 for the through-hull",
    "ac supply": (
        "AC motors: 10% of rated voltage, 5% of rated frequency, both added up 10%: NEMA MG 1, "
        "12.44"
    ),
    "dc supply": "DC: 75 to 133% of nominal, ISO 10133 range, from memory",
    "nameplate": "H0 (1 − (Q/Q0)²), textbook form; its tolerance is an engineering estimate",
    "guess": "how far a guess may be off: engineering estimate",
    "at rest": "the loop solved without the boat's speed",
    "two answers": "the network solved from each branch reversed or shut",
    "siphon": (
        "the loop solved with air in each leg that does not clear itself, and with every leg full "
        "that can stay full; forms of Benjamin (1968) and Bendiksen (1984), from memory"
    ),
}
