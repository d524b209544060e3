"""Safety steps that a drill requires before an action, by name."""

from collections.abc import Mapping

# Before the line is opened.
OPENED = ("seacock", "plug", "breaker")
# By action.
ASKS: Mapping[str, tuple[str, ...]] = {
    "open-seacock": (),
    "open-branch-valves": (),
    "clean-basket": OPENED,
    "bleed": ("rag",),
    "loosen-outlet-hose": ("breaker",),
    "prime": OPENED,
    "test-capacitor": ("breaker", "electrician"),
    "supply-under-way": ("electrician",),
    "look-through-suction": OPENED,
    "seat-lid-and-clamps": OPENED,
    "wiggle-hoses": (),
    "follow-hoses": (),
    "look-at-discharge": (),
    "look-at-outlet": (),
    "lead-over-side": OPENED,
    "clear-outlet": ("breaker", "partner"),
    "reset-unit": (),
    "look-at-grate": (),
    "read-label": (),
    "set-pump-right": ("seacock", "plug", "breaker", "electrician"),
    "run-until-it-fails": (),
    "look-at-air-side": ("breaker",),
    "check-breaker": ("breaker", "electrician"),
    "swap-supply": ("breaker", "electrician"),
    "close-other-units": (),
    "set-branch-valves": (),
    "fill-and-purge": ("breaker",),
    "feed-from-bucket": OPENED,
    "back-flush": OPENED,
    "clear-intake": ("breaker", "partner"),
    "open-pump": OPENED,
    "fit-sound-pump": ("seacock", "plug", "breaker", "electrician"),
    "open-header": OPENED,
    "look-at-check-valve": OPENED,
    "measure-refrigerant": ("technician",),
    "descale": ("seacock", "breaker", "gloves"),
    "which-hose": (),
    "look-at-motor": ("breaker", "electrician"),
}
# By fault, before its repair; for others `OPENED`.
REPAIR_ASKS: Mapping[str, tuple[str, ...]] = {
    "seacock-partly-shut": (),
    "branch-valve-shut": (),
    "unit-off": (),
    "no-power": ("breaker", "electrician"),
    "supply-low": ("breaker", "electrician"),
    "generator-slow": ("breaker", "electrician"),
    "motor-dead": ("seacock", "plug", "breaker", "electrician"),
    "motor-weak": ("breaker", "electrician"),
    "motor-no-start": ("breaker", "electrician"),
    "no-power-under-way": ("electrician",),
    "refrigerant-low": ("technician",),
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


def repair_asks(fault: str) -> tuple[str, ...]:
    """Safety steps before the repair of a fault, or of both of a pair, without duplicates."""
    steps = (step for one in fault.split(" + ") for step in REPAIR_ASKS.get(one, OPENED))
    return tuple(dict.fromkeys(steps))
