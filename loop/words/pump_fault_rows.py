"""Faults of the pump, its motor and its supply; each carries the caution about wiring."""

from loop.words.cautions import OPENS, STEP_MAINS
from loop.words.fault_row import SHUT, Wording

PUMP_FAULTS: dict[str, Wording] = {
    "pump-air-bound": Wording(
        "pump air-bound",
        "makes no head",
        "[open the {bleed} at the pump's outlet until water runs without bubbles, {low}][loosen "
        "the hose at the pump's outlet until water comes without bubbles, push it home and tighten "
        "it; {no_bleed}{low}][fill it with water, since it is above the waterline; {high}]then "
        "find how the air got in",
        "pump off, [open the {bleed} at its outlet: air comes out first{low}][loosen the hose at "
        "its outlet, never pull it off: air comes out first{no_bleed}{low}][see whether it holds "
        "water{high}]",
        hazard="bleed",
    ),
    "no-power": Wording(
        "no power at the pump",
        "nothing turns",
        "find the break: breaker, fuse, the unit's relay, plug, corroded connection",
        "have a qualified electrician measure volts at the pump while the unit calls for it",
        hazard="check-breaker",
    ),
    "pump-jammed": Wording(
        "pump jammed",
        "its motor draws several times its running current",
        "switch off at once: a stalled motor burns out; open the pump and free the rotor",
        SHUT + "breaker off, open the pump and turn the impeller by hand: it does not move",
        hazard="open-pump",
    ),
    "no-power-under-way": Wording(
        "no power at the pump under way",
        "nothing turns under way",
        "see what feeds the pump without shore power: inverter, generator or battery, the transfer "
        "switch, that circuit's own breaker; then look at the stream again under way",
        "under way, see whether anything else on the pump's circuit has power",
        hazard="check-breaker",
    ),
    "motor-no-start": Wording(
        "pump motor does not start (capacitor)",
        "it hums but does not turn, though its rotor is free",
        "switch off at once: a motor that does not start burns out; have a qualified electrician "
        "test and replace the start capacitor",
        SHUT + "breaker off, open the pump and turn the impeller by hand: it turns free",
        hazard="test-capacitor",
        when="If it still does not start",
        then="fit another pump",
        then_hazard=OPENS,
    ),
    "motor-dead": Wording(
        "pump motor dead (winding, brushes, cut-out)",
        "nothing turns",
        "keep the breaker off and locked, and let the motor cool for an hour: a cut-out that "
        "opened on heat resets itself, and the pump would start; then have a qualified electrician "
        "measure its winding, brushes and electronics",
        "have a qualified electrician measure volts at the pump's own terminals while the unit "
        "calls for it: volts there, and the pump is silent and draws no current",
        hazard="check-breaker",
        when="If it stays silent with volts there",
        then="have the electrician disconnect it, and fit a pump of the same kind; never open a "
        "motor that has power",
        then_hazard=OPENS,
    ),
    "motor-weak": Wording(
        "pump motor weak (capacitor, brushes, bearing)",
        "speed down by {bad}",
        "have a qualified electrician replace the start capacitor, which holds its charge with the "
        "breaker off, or the brushes",
        "have a qualified electrician measure current and volts: volts good, current high, motor "
        "slow and hot",
        hazard="check-breaker",
        when="If it is the motor itself",
        then="fit another pump",
        then_hazard=OPENS,
    ),
    "pump-worn": Wording(
        "pump worn",
        "head and flow down by {bad}",
        "open the pump: clean it, or replace the impeller",
        SHUT + "breaker off, open the pump and look at the impeller and its clearance",
        hazard="open-pump",
        when="If it is too worn for that",
        then="replace the pump",
        then_hazard=STEP_MAINS,
    ),
    "wrong-pump": Wording(
        "pump turns the wrong way, or is the wrong pump",
        "head down by {bad}",
        "compare the arrow and the label with the boat's papers",
        "look at the arrow on the housing and at the label",
        hazard="open-pump",
        when="If it is wrong",
        then="have a qualified person swap the two leads of a DC pump that turns backward, if its "
        "maker allows it; never swap an AC pump's wires: that does not reverse a single-phase "
        "motor, and puts the live wire where the neutral belongs. Have a qualified electrician fit "
        "the pump that belongs there",
        then_hazard=STEP_MAINS,
    ),
    "pump-decoupled": Wording(
        "impeller slipped or uncoupled",
        "makes no head",
        "open the pump: free or replace the impeller, the magnetic coupling or the shaft",
        "listen: the motor runs light and no water moves; then, " + SHUT + "breaker off, open the "
        "pump and look at the impeller",
        hazard="open-pump",
    ),
    "supply-low": Wording(
        "supply voltage low",
        "volts down by {bad}",
        "find the voltage drop: corroded connections, thin wire, a weak battery, an overloaded "
        "dock pedestal",
        "have a qualified electrician measure volts (and Hz on AC) at the pump's own terminals "
        "while it runs",
        hazard="swap-supply",
    ),
    "generator-slow": Wording(
        "generator slow",
        "Hz and volts down by {bad}",
        "have a qualified person set the generator's governor to its rated Hz with the units "
        "running",
        "have a qualified electrician measure Hz and volts while the unit and its pump run",
        hazard="swap-supply",
    ),
    "frequency-low": Wording(
        "supply frequency low at good volts",
        "Hz down by {bad}",
        "on a dock of lower Hz, have a qualified electrician feed the pump at its rated Hz, or fit "
        "one made for that dock; on a slow generator, have the governor set to its rated Hz with "
        "the units running",
        "have a qualified electrician measure Hz and volts on this supply and on another",
        hazard="swap-supply",
    ),
}
