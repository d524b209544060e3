"""The words of a drill: safety steps, and what its end says."""

from collections.abc import Mapping

# What is done before a thing is touched, by name.
SAFETY: Mapping[str, str] = {
    "seacock": "shut the seacock",
    "breaker": "switch the pump off at its breaker",
    "plug": "have a plug at hand",
    "rag": "a rag over the bleed, and close it if it draws air in",
    "electrician": "leave open wiring to a qualified electrician",
    "technician": "leave the refrigerant circuit to a licensed technician",
    "partner": "never alone in the water; shore power unplugged here and beside",
    "gloves": "gloves, goggles and fresh air; never with bleach",
}
_OPENED = ("seacock", "plug", "breaker")
# What each thing to do asks for first.
ASKS: Mapping[str, tuple[str, ...]] = {
    "open-seacock": (),
    "open-branch-valves": (),
    "clean-basket": _OPENED,
    "bleed": ("rag",),
    "loosen-outlet-hose": ("breaker",),
    "seat-lid-and-clamps": _OPENED,
    "wiggle-hoses": (),
    "look-at-discharge": (),
    "reset-unit": (),
    "check-breaker": ("breaker", "electrician"),
    "swap-supply": ("breaker", "electrician"),
    "close-other-units": (),
    "fill-and-purge": ("breaker",),
    "back-flush": ("breaker",),
    "clear-intake": ("breaker", "partner"),
    "open-pump": _OPENED,
    "open-header": _OPENED,
    "look-at-check-valve": _OPENED,
    "descale": ("seacock", "breaker", "gloves"),
}
# What the repair of a fault asks for first, where it is not that of an opened line.
REPAIR_ASKS: Mapping[str, tuple[str, ...]] = {
    "seacock-partly-shut": (),
    "branch-valve-shut": (),
    "unit-off": (),
    "no-power": ("breaker", "electrician"),
    "supply-low": ("breaker", "electrician"),
    "motor-weak": ("breaker", "electrician"),
    "not-water-side": ("technician",),
    "intake-fouled": ("breaker", "partner"),
    "discharge-blocked": (),
    "pump-air-bound": ("breaker",),
    "high-point-air": ("breaker",),
    "siphon-lost": ("breaker",),
    "branch-air": ("breaker",),
    "condenser-scaled": ("seacock", "breaker", "gloves"),
    "condenser-film": ("seacock", "breaker", "gloves"),
}
OPENED = _OPENED
STOPPED = "Stop. First: {missing}."
HELP = (
    "rank FAULT 60, FAULT 30, FAULT 10: what you believe, in 100, three or more. A reading's number"
    " or name takes it. do ACTION: SAFETY, SAFETY or repair FAULT: SAFETY, SAFETY puts something"
    " right, its safety steps first; then read again. list, faults, actions, safety, how READING or"
    " ACTION, hint, done, quit."
)
FIXED = "The boat is right: {truth} ({where}) is put right."
HALF = "One thing is put right; the other, {left}, is not."
UNFIXED = "The boat is not right: it was {truth} ({where})."
# What the points are for, and what is said where some are missing.
POINTS = {
    "state": "{points} for the boat's state{less}",
    "belief": "{points} for what you believed before the boat was right{less}",
    "time": "{points} for the time{less}",
    "safety": "{points} for safety{less}",
}
UNSEEN_WATER = ": nobody looked at the water after the last thing done"
NO_BELIEF = ": nothing was ranked before that"
MISSING = ": {stops} missing before something was touched"
CHANGED = (
    "When it was kept it scored {points} points in {minutes:g} minutes: the program has changed"
    " since."
)
