"""Safety steps that a drill requires before an action, by name."""

from collections.abc import Mapping

# Before the line is opened.
BEFORE_OPENING = ("seacock", "plug", "breaker")
# By action.
ACTION_SAFETY: Mapping[str, tuple[str, ...]] = {
    "open-seacock": (),
    "open-branch-valves": (),
    "clean-basket": BEFORE_OPENING,
    "let-water-in": BEFORE_OPENING,
    "bleed": ("rag",),
    "loosen-outlet-hose": ("breaker",),
    "prime": BEFORE_OPENING,
    "test-capacitor": ("breaker", "electrician"),
    "supply-under-way": ("electrician",),
    "look-through-suction": BEFORE_OPENING,
    "seat-lid-and-clamps": BEFORE_OPENING,
    "wiggle-hoses": (),
    "follow-hoses": (),
    "look-at-discharge": (),
    "look-at-outlet": (),
    "lead-over-side": BEFORE_OPENING,
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
    "feed-from-bucket": BEFORE_OPENING,
    "back-flush": BEFORE_OPENING,
    "clear-intake": ("breaker", "partner"),
    "open-pump": BEFORE_OPENING,
    "fit-sound-pump": ("seacock", "plug", "breaker", "electrician"),
    "open-header": BEFORE_OPENING,
    "look-at-check-valve": BEFORE_OPENING,
    "measure-refrigerant": ("technician",),
    "descale": ("seacock", "breaker", "gloves"),
    "which-hose": (),
    "look-at-motor": ("breaker", "electrician"),
}
# By fault, before its repair; for others `BEFORE_OPENING`.
REPAIR_SAFETY: Mapping[str, tuple[str, ...]] = {
    "seacock-partly-shut": (),
    "branch-valve-shut": (),
    "unit-off": (),
    "no-power": ("breaker", "electrician"),
    "supply-low": ("breaker", "electrician"),
    "generator-slow": ("breaker", "electrician"),
    "frequency-low": ("breaker", "electrician"),
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


def repair_safety(fault: str) -> tuple[str, ...]:
    """Safety steps before the repair of a fault, or of both of a pair, without duplicates."""
    steps = (step for one in fault.split(" + ") for step in REPAIR_SAFETY.get(one, BEFORE_OPENING))
    return tuple(dict.fromkeys(steps))
