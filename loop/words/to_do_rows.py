"""Actions on a call, in the trade's words: the hazard, then the way; one row per action.

A row has blanks for parts that a loop may lack; `loop.words.had` fills them. The fix of a
named fault is in that fault's own row.
"""

from loop.records import dataclass
from loop.words.cautions import (
    BRIEFLY,
    DIVER,
    LINE_OPEN,
    OPENS,
    REFRIGERANT,
    STEP_BREAKER,
    STEP_MAINS,
)


@dataclass(frozen=True)
class Doing:
    """Words for one action: its title, its hazard ("" for none), the way."""

    title: str
    hazard: str
    how: str


FORCED = "Never force a stuck handle: one that breaks off below the waterline sinks the boat."
HOSES = (
    "Hands clear of fans, belts and hot pipes. Never bend a hose at its barb: an old hose comes "
    "off, and below the waterline that sinks the boat."
)
_ACID = (
    "Descaler burns: gloves, goggles and fresh air; never mix it with bleach; [{seacock} shut]"
    "[boat out of the water, since this loop has no seacock to shut,{no_seacock}] and pump breaker "
    "off while the hoses are off."
)

ROWS: dict[str, Doing] = {
    "open-seacock": Doing(
        "open the seacock fully", FORCED,
        "see whether the handle is in line with the hose; turn it to its stop",
    ),
    "open-branch-valves": Doing(
        "open the branch valves", FORCED,
        "note how each branch's handle is set, then fully open the valve of the branch that is "
        "short of water",
    ),
    "clean-basket": Doing(
        "clean the strainer basket", LINE_OPEN,
        "lift the lid, clean the basket, seat the lid and its seal dry and straight; [open the "
        "{seacock}, ]let the strainer fill before the pump runs",
    ),
    "bleed": Doing(
        "crack the bleed", "Rag over it: water sprays. Close it if it draws air in.",
        "open the bleed at the pump's outlet[ with the {seacock} open], pump stopped, until water "
        "runs without bubbles; close it and start the pump",
    ),
    "loosen-outlet-hose": Doing(
        "let the air out at the pump's outlet",
        STEP_BREAKER + " Loosen, never pull off: water comes in below the waterline[, and this "
        "loop has no seacock to shut: a plug at hand{no_seacock}].",
        "this loop has no bleed: [with the {seacock} open ]loosen the hose at the pump's outlet "
        "until water comes without bubbles; push it home, tighten the clamps, start the pump",
    ),
    "prime": Doing(
        "fill the pump with water", LINE_OPEN,
        "this pump is above the waterline: no water runs to it by itself. [Lift the {strainer}'s "
        "lid, fill hose and pump through it, seat the lid dry and straight][Fill it through the "
        "hose at its outlet, push that home and tighten it{no_strainer}]; [open the {seacock}, ]"
        "start the pump at once, and find where it lost its water: any leak ahead of the pump "
        "drains it whenever it stops",
    ),
    "test-capacitor": Doing(
        "have the pump's start capacitor tested",
        f"{STEP_MAINS} The capacitor holds its charge with the breaker off.",
        "have a qualified electrician test it, fit one of the same rating, and start the pump",
    ),
    "supply-under-way": Doing(
        "see what feeds the pump under way",
        "Look, and open nothing: mains wiring is work for a qualified electrician.",
        "under way there is no shore power: see whether the inverter, generator or battery that "
        "feeds the pump is running, how the transfer switch is set, and whether a lamp on the same "
        "circuit is lit",
    ),
    "look-through-suction": Doing(
        "look through the suction hose",
        LINE_OPEN + "[ Loosen the hose at the {seacock} first: if water keeps coming, its ball "
        "does not turn with the handle, and the boat must be out of the water.]",
        "take the suction hose off at both ends and look through it against a light: a lining that "
        "has come loose does not show outside[; with the boat out of the water, look through the "
        "{seacock} too and see that its ball turns with the handle]",
    ),
    "seat-lid-and-clamps": Doing(
        "[seat the {strainer} lid, ]tighten the suction clamps", LINE_OPEN,
        "[clean and grease the {strainer} lid's seal, seat it straight; ]tighten every clamp ahead "
        "of the pump[; open the {seacock}]",
    ),
    "wiggle-hoses": Doing(
        "wiggle the hoses", HOSES,
        "with the pump running, feel along each hose from intake to discharge; lift and bend it a "
        "little, and [watch the {stream}][listen to the pump and feel its outlet hose, since no "
        "stream shows{no_stream}]",
    ),
    "follow-hoses": Doing(
        "follow every hose by hand", HOSES,
        "with a light, and the pump running only where water comes, follow each hose from end to "
        "end: look for one that goes flat, a tight bend, a kink under a locker; ease each bend and "
        "support it",
    ),
    "look-at-discharge": Doing(
        "look into the discharge", "From a dock or a tender, not from the water.",
        "look in with a light, and pick out any growth or nest",
    ),
    "look-at-outlet": Doing(
        "look down at the outlet", "From a dock or a tender, not from the water.",
        "see that the outlet's own seacock is fully open; with the pump running, look down at the "
        "outlet, with a light or a camera on a pole where it is deep: growth, weed, a nest, or "
        "water that hardly swirls",
    ),
    "lead-over-side": Doing(
        "lead the discharge hose over the side",
        "An open fitting below the waterline sinks boats: pump breaker off, [{seacock} and ]the "
        "outlet's own seacock shut, a plug at hand before the hose is touched. Open a line without "
        "a seacock at either end only at a joint above the water. Dry hands at the breaker.",
        "take the hose off at the outlet, tie its end up above the water and lead it over the side "
        "or into a bucket; [open the {seacock}, ]run the pump, and see whether more water comes: "
        "hose and unit get cooler; before any other reading, put the hose back, open the outlet's "
        "seacock and let the line fill",
    ),
    "clear-outlet": Doing(
        "clear the outlet from outside", DIVER,
        "clear growth, weed or a nest from the outlet: with a brush from a dock or a tender if you "
        "can reach it, otherwise in the water",
    ),
    "look-at-grate": Doing(
        "look at the grate from the dock", "From a dock or a tender, not from the water.",
        f"with the pump running, {BRIEFLY}, look down at the intake's grate, with a light or a "
        "camera on a pole where it is deep: weed, a bag, barnacles; then stop the pump for a "
        "minute: anything held only by suction drops off",
    ),
    "read-label": Doing(
        "read the pump's label and arrow", "Hands clear of the pump: it may start.",
        "compare the label's type, volts and hertz with the boat's papers, and the arrow on the "
        "housing with the direction of flow; on a DC pump, see that plus is on plus",
    ),
    "set-pump-right": Doing(
        "correct the pump to match its label and arrow", f"{OPENS} {STEP_MAINS}",
        "arrow against the flow: swap the hoses at the pump's ports; a DC pump that turns "
        "backward: a qualified person swaps its two leads, if its maker allows it; never swap an "
        "AC pump's wires; not the pump that the boat's papers name: fit that one, and let it fill "
        "before it runs",
    ),
    "run-until-it-fails": Doing(
        "run it until it fails", "Stop the pump at once if it hums or runs dry.",
        "run the unit at the time of day and the load at which it fails; at that moment, before "
        "you touch anything, read stream, sound and unit, and feel the suction hose; then read "
        "what else you can",
    ),
    "reset-unit": Doing(
        "reset the unit", "One reset only: if the unit trips again, leave it off.",
        "set the thermostat low, reset the fault at the display, wait a few minutes for its delay",
    ),
    "look-at-air-side": Doing(
        "look at the air filter and the fan", "Unit off at its breaker before a cover comes off.",
        "clean the filter, see that the grilles are clear and that the fan blows; look for ice or "
        "dirt on the coil",
    ),
    "check-breaker": Doing(
        "check the pump's breaker and plug",
        f"{STEP_MAINS} One try only: a breaker or fuse that goes again stays off.",
        "check the pump's breaker, fuse, relay and plug; switch on once",
    ),
    "swap-supply": Doing(
        "run the pump from another supply", STEP_MAINS,
        "run the pump from another outlet, another battery, or the dock instead of the generator, "
        "at the same voltage and frequency, and read the stream; before any other step, put the "
        "pump back on its own supply",
    ),
    "close-other-units": Doing(
        "close the other units' valves", "Leave one path open for the pump's water.",
        "shut off the branches of the units that cool, and watch the one that is short of water; "
        "open them again before any other reading, and see that every unit still gets its water",
    ),
    "set-branch-valves": Doing(
        "set the branch valves", "Never shut them all: the pump's water must have a way out.",
        "note how each handle is set; throttle the units that get the most water, in small steps, "
        "and watch the one that is short; mark the handles where each gets what it needs",
    ),
    "fill-and-purge": Doing(
        "fill the line and purge it",
        "[With a hose: pump breaker off first, and low pressure: full dock pressure bursts hoses. "
        "With the pump: it must not run dry.{no_check_valve}]"
        "[The pump must not run dry: no water runs back through the {check_valve} after it.]",
        "[with the {seacock} open, ][fill from the discharge with a hose until no more bubbles "
        "come; or, {no_check_valve}]"
        "breaker on and the pump full of water, run it[ with the branches' {valves} opened one at "
        "a time] until no more bubbles come",
    ),
    "feed-from-bucket": Doing(
        "feed the pump from a bucket", f"{LINE_OPEN} Dry hands at the breaker.",
        "run a short hose from the pump's inlet into a bucket that is no lower than the pump and "
        "is kept full by a dock hose; let the pump fill, run it, and watch the stream; put the "
        "line back and let it fill before the pump runs again",
    ),
    "back-flush": Doing(
        "back-flush the intake",
        f"{LINE_OPEN}[ Keep the {{strainer}}'s lid shut.]",
        "connect dock water at low pressure where the suction hose meets the [{strainer}][pump"
        "{no_strainer}]; then [open the {seacock} and ]let it run outward for a minute",
    ),
    "clear-intake": Doing(
        "clear the intake from outside", DIVER,
        "clear growth, weed or a plastic bag from the grate and the through-hull",
    ),
    "open-pump": Doing(
        "open the pump", LINE_OPEN,
        "turn the impeller by hand; look for wear, a loose impeller or a stuck rotor; compare the "
        "label and the arrow with the boat's papers",
    ),
    "fit-sound-pump": Doing(
        "fit a pump that is known to be sound", f"{OPENS} {STEP_MAINS}",
        "fit a spare of the type in the boat's papers, arrow with the flow, and let it fill before "
        "it runs",
    ),
    "open-header": Doing(
        "open the condenser's header", LINE_OPEN,
        "take off the end cap; clear bits of zinc, weed and shells; replace the zinc and the seal",
    ),
    "look-at-check-valve": Doing(
        "look at the check valve", LINE_OPEN,
        "take it out, see that its flap moves freely, and that its arrow points the way the water "
        "flows",
    ),
    "measure-refrigerant": Doing(
        "have the refrigerant circuit measured", REFRIGERANT,
        "have the technician compare its pressures and temperatures with the maker's chart, at "
        "the water flow and temperature as they are",
    ),
    "descale": Doing(
        "descale the condenser", _ACID,
        "circulate a descaler that the unit's maker allows until it stops fizzing; flush with "
        "fresh water",
    ),
    "which-hose": Doing(
        "say which hose it was", "",
        "the hose that changed the flow, or was flat or bent: is it before the pump or after it",
    ),
    "look-at-motor": Doing(
        "look at the pump's motor", f"{STEP_MAINS} It may be hot.",
        "after it has run, hold a hand near it; then, breaker off, turn its shaft or fan if you "
        "can reach it: very hot, stiff, gritty, loose, brushes worn short",
    ),
}  # fmt: skip
