"""Alternative names of actions in readings files: a closed list that stays readable.

Displayed names are in `loop.words.to_do` and may change.
"""

from loop.diagnose.fixes import FIXES

IN_FILES: dict[str, str] = {
    "open-seacock": "open the seacock fully",
    "open-branch-valves": "open the branch valves",
    "clean-basket": "clean the strainer basket",
    "bleed": "crack the bleed",
    "loosen-outlet-hose": "let the air out at the pump's outlet",
    "prime": "fill the pump with water",
    "test-capacitor": "have the pump's start capacitor tested",
    "supply-under-way": "see what feeds the pump under way",
    "look-through-suction": "look through the suction hose",
    "seat-lid-and-clamps": "seat the strainer lid, tighten the suction clamps",
    "wiggle-hoses": "wiggle the hoses",
    "follow-hoses": "follow every hose by hand",
    "look-at-discharge": "look into the discharge",
    "look-at-outlet": "look down at the outlet",
    "lead-over-side": "lead the discharge hose over the side",
    "clear-outlet": "clear the outlet from outside",
    "look-at-grate": "look at the grate from the dock",
    "read-label": "read the pump's label and arrow",
    "set-pump-right": "correct the pump to match its label and arrow",
    "run-until-it-fails": "run it until it fails",
    "reset-unit": "reset the unit",
    "look-at-air-side": "look at the air filter and the fan",
    "check-breaker": "check the pump's breaker and plug",
    "swap-supply": "run the pump from another supply",
    "close-other-units": "close the other units' valves",
    "set-branch-valves": "set the branch valves",
    "fill-and-purge": "fill the line and purge it",
    "feed-from-bucket": "feed the pump from a bucket",
    "back-flush": "back-flush the intake",
    "clear-intake": "clear the intake from outside",
    "open-pump": "open the pump",
    "fit-sound-pump": "fit a pump that is known to be sound",
    "open-header": "open the condenser's header",
    "look-at-check-valve": "look at the check valve",
    "measure-refrigerant": "have the refrigerant circuit measured",
    "descale": "descale the condenser",
    "which-hose": "say which hose it was",
    "look-at-motor": "look at the pump's motor",
    "fix-suction-hose-collapsed": "fix: suction hose collapsed or kinked",
    "fix-suction-air-leak": "fix: air drawn in on the suction side",
    "fix-pressure-hose-kinked": "fix: hose kinked on the pressure side",
    "fix-branch-blocked": "fix: branch blocked or kinked",
    "fix-branches-unbalanced": "fix: branches out of balance",
    "fix-intake-air": "fix: air drawn in at the intake, under way or heeled",
    "fix-no-power": "fix: no power at the pump",
    "fix-no-power-under-way": "fix: no power at the pump under way",
    "fix-supply-low": "fix: supply voltage low",
    "fix-generator-slow": "fix: generator slow",
    "fix-motor-dead": "fix: pump motor dead (winding, brushes, cut-out)",
    "fix-motor-weak": "fix: pump motor weak (capacitor, brushes, bearing)",
    "fix-unit-off": "fix: unit tripped or off",
    "fix-not-water-side": "fix: refrigerant or air side at fault",
    "fix-refrigerant-low": "fix: refrigerant low, or too little air over the coil",
}

# Synonyms of a step's answers: of the first, of the second.
ANSWERS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "open-seacock": (
        ("half open", "was half open", "half shut", "partly open", "partly shut", "was partly shut",
         "not fully open", "shut", "was shut", "closed", "was closed"),
        ("fully open", "open", "was open"),
    ),
    "open-branch-valves": (
        ("half open", "one was half open", "partly open", "partly shut", "one was partly shut",
         "shut", "one was shut", "closed", "one was closed"),
        ("open", "all open", "fully open", "all were fully open"),
    ),
    "wiggle-hoses": (("the stream changes",), ()),
    "clean-basket": (("full", "blocked", "weed in it"), ("empty", "was clean")),
    **{one.name: (("done", "put right", "at fault"), ("sound",)) for one in FIXES},
}  # fmt: skip
