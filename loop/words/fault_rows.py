"""Title, fix and closer look of each fault: one row per fault."""

from loop.words.cautions import DIVER, OPENS, STEP_MAINS
from loop.words.fault_row import SHUT, Wording
from loop.words.pump_fault_rows import PUMP_FAULTS

WORDS: dict[str, Wording] = PUMP_FAULTS | {
    "intake-fouled": Wording(
        "intake fouled",
        "{bad} of the grate blocked",
        "back-flush the intake: connect dock water at low pressure where the suction hose meets "
        "the [{strainer}][pump{no_strainer}][, then open the {seacock} for a minute][ for a "
        "minute{no_seacock}]",
        "look at the grate from a dock or a tender",
        hazard="back-flush",
        when="If that is not enough",
        then="clear growth, weed or a plastic bag from the intake and its grate",
        then_hazard=DIVER,
    ),
    "seacock-partly-shut": Wording(
        "seacock not fully open",
        "handle {bad} of the way shut",
        "open the seacock fully; if the handle turns without stopping, the ball may be loose on "
        "its stem",
        "see whether the handle is in line with the hose",
        hazard="open-seacock",
    ),
    "strainer-blocked": Wording(
        "strainer blocked",
        "{bad} of the basket",
        "clean the basket, seat the lid and its seal[, open the {seacock}] and let the air out",
        SHUT + "pump off, lift the lid and look at the basket",
        hazard="clean-basket",
    ),
    "suction-hose-collapsed": Wording(
        "suction hose collapsed or kinked",
        "bore narrowed by {bad}",
        "if a hose ahead of the pump goes flat, replace it with one that suction cannot collapse "
        "(wire or hard helix); ease any tight bend and support it",
        "feel along the suction hose with the pump running and warm: it goes flat or soft",
        hazard="seat-lid-and-clamps",
    ),
    "suction-blocked-inside": Wording(
        "suction blocked inside (hose lining, valve ball)",
        "passage {bad} closed",
        "take the suction hose off and look through it: replace it if its lining has come loose[; "
        "with the boat out of the water, see that the {seacock}'s ball turns with its handle]",
        SHUT + "pump off, take the suction hose off and look through it",
        hazard="look-through-suction",
    ),
    "suction-air-leak": Wording(
        "air drawn in on the suction side",
        "{bad} of the pump's output lost to air",
        "[seat the {strainer}'s lid and seal, ]tighten or replace the clamps ahead of the pump, "
        "and check the pump's shaft seal",
        "watch the stream[ and the {strainer}'s lid] for bubbles; wet each joint ahead of the pump",
        hazard="seat-lid-and-clamps",
    ),
    "intake-air": Wording(
        "air drawn in at the intake, under way or heeled",
        "{bad} of the pump's output lost to air",
        "with the boat out of the water, move the intake lower and closer to the centerline, or "
        "turn its scoop; until then, run the unit at the dock",
        "see at what speed or heel the stream begins to sputter",
    ),
    "high-point-air": Wording(
        "air trapped at a high point",
        "{bad} of the drop after it lost as head",
        "fill the line and purge it",
        "tap along the hose at the high point: it sounds hollow",
        hazard="fill-and-purge",
        when="After that",
        then="reroute the line without the high point",
        then_hazard=OPENS,
    ),
    "siphon-lost": Wording(
        "siphon lost on the way down to the outlet",
        "{bad} of the fall not recovered",
        "fill the line and purge it; find where air gets in after the high point",
        "listen at the discharge: water falls and gurgles instead of running full",
        hazard="fill-and-purge",
    ),
    "branch-air": Wording(
        "air locked in a branch",
        "branch {bad} closed by air",
        "[shut the other branches' {valves} for a minute so that all the water pushes the air out "
        "of this one; open them again, and see that every unit still gets its water][fill the line "
        "and purge it{no_valves}]",
        "tap along the branch: it sounds hollow; its unit's hoses stay at cabin temperature",
        hazard="close-other-units",
    ),
    "branches-unbalanced": Wording(
        "branches out of balance",
        "the others pass {bad} more than they should",
        "[throttle the {valves} of the units that get the most water, in small steps, until each "
        "gets what it needs; ]with every unit of the loop in the job file, loop check says which "
        "branch to throttle, and how far",
        "measure each unit's flow against its need[; see how the branches' {valves} are set]",
        hazard="set-branch-valves",
        when="If the branch to throttle has no valve",
        then="fit a ball valve in it",
        then_hazard=OPENS,
    ),
    "branch-blocked": Wording(
        "branch blocked or kinked",
        "passage {bad} closed",
        "follow the branch's hose and straighten the kink",
        "follow the branch's hose by hand; " + SHUT + "pump off, disconnect and flush it",
        hazard="wiggle-hoses",
        when="If it is blocked inside",
        then="take the hose off and clear it",
        then_hazard=OPENS,
    ),
    "check-valve-stuck": Wording(
        "check valve stuck",
        "passage {bad} closed",
        "take the check valve out; clean or replace it, arrow in the direction of flow",
        SHUT + "pump off, take it out and see that its flap moves freely",
        hazard="look-at-check-valve",
    ),
    "pressure-hose-kinked": Wording(
        "hose kinked on the pressure side",
        "bore narrowed by {bad}",
        "ease the bend and support the hose",
        "follow the hose by hand from the pump to the discharge",
        hazard="wiggle-hoses",
        when="If it stays flat",
        then="replace the hose",
        then_hazard=OPENS,
    ),
    "condenser-scaled": Wording(
        "condenser scaled",
        "scale as thick as {bad} of the tube's bore",
        "descale the condenser as its maker instructs",
        SHUT + "pump off, take a hose off the condenser and look into the tube",
        hazard="descale",
    ),
    "condenser-film": Wording(
        "film in the condenser (heat only)",
        "thermal resistance {bad} above a clean condenser's",
        "flush the condenser with a cleaner that its maker allows",
        SHUT + "pump off, take a hose off the condenser and feel its tube for slime",
        hazard="descale",
    ),
    "condenser-header-blocked": Wording(
        "zinc or weed in the condenser's header",
        "{bad} of the tubes blocked",
        "open the header, clear it, and replace the zinc and the seal",
        SHUT + "pump off, open the header and look inside",
        hazard="open-header",
    ),
    "discharge-blocked": Wording(
        "discharge blocked",
        "{bad} of the opening",
        "clear the discharge fitting of growth, or of insect nests after a lay-up[, where its "
        "{stream} shows; clear an underwater one with the boat out of the water][: with a brush "
        "from a dock or a tender, by a diver, or with the boat out of the water{no_stream}]",
        "[look into the discharge, where its {stream} comes out, from a dock or a tender][see that "
        "the outlet's own seacock is open; look down at it from a dock or a tender{no_stream}]",
        hazard="look-at-discharge",
    ),
    "branch-valve-shut": Wording(
        "valve shut in one branch",
        "handle {bad} of the way shut",
        "open the branch's valve, then reset it where it balances the branches",
        "see how the branch's valve handle is set",
        hazard="open-branch-valves",
    ),
    "sea-warm": Wording(
        "sea warmer than the loop was designed for",
        "{bad} warmer",
        "nothing is broken: size the loop for this sea, or accept less cooling on hot days",
        "hang a thermometer in the sea at the intake",
        "temperature_difference",
    ),
    "unit-off": Wording(
        "unit tripped or off",
        "compressor not running",
        "reset it once and see whether it starts; if it trips again, read its fault code",
        "feel the unit's two water hoses: equally warm",
        hazard="reset-unit",
        when="If it does not start, or trips again",
        then="have the unit's technician find out why: fault code, thermostat, breaker and board",
        then_hazard=STEP_MAINS,
    ),
    "not-water-side": Wording(
        "refrigerant or air side at fault",
        "condensing {bad} hotter than the water explains",
        "check the air filter and fan; the refrigerant circuit is for a licensed technician only",
        "clean the air filter; have a licensed technician compare pressures with the maker's chart",
        "temperature_difference",
        hazard="look-at-air-side",
    ),
    "refrigerant-low": Wording(
        "refrigerant low, or too little air over the coil",
        "cooling down by {bad}",
        "clean the air filter and the coil, and see that the fan blows; the refrigerant circuit is "
        "for a licensed technician only",
        "clean the air filter; have a licensed technician compare pressures with the maker's chart",
        hazard="look-at-air-side",
    ),
    "healthy": Wording(
        "nothing wrong with the loop",
        "normal",
        "nothing to fix on the water side; check the thermostat, the air side, and how much "
        "cooling was expected",
        "run it for ten minutes and take the readings again",
    ),
    "something-else": Wording(
        "something not in this list",
        "unknown",
        "follow the water from the intake to the discharge by hand and eye; ask for a second pair "
        "of eyes",
        "look for anything unusual on this boat",
    ),
}
