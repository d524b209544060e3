"""What each fault is called, what to do about it, and what to look at: one row a fault."""

from loop.diagnose.words_to_do import DOING
from loop.records import dataclass
from loop.units import System, show
from loop.words.cautions import BELOW_WATER, CODES, POWER, REFRIGERANT


@dataclass(frozen=True)
class Wording:
    """Words for one fault: its name for a person, what the severity means, the fix, a closer look.

    ``severity`` has one gap, filled with the severity as `unit` says: a share in percent, or
    kelvin. ``hazard`` names the action of `loop.diagnose.words_to_do` whose hazard the fix has.
    ``without_bleed`` and ``look_without_bleed`` are for a loop that has no bleed.
    """

    title: str
    severity: str
    fix: str
    look: str
    unit: str = "percent"
    hazard: str = ""
    without_bleed: str = ""
    look_without_bleed: str = ""


WORDS: dict[str, Wording] = {
    "intake-fouled": Wording(
        "intake fouled",
        "{} of the grate blocked",
        "clear the intake and its grate of growth, weed or a plastic bag; try back-flushing first",
        "look at the grate from outside, or blow back through the intake and listen",
        hazard="clear-intake",
    ),
    "seacock-partly-shut": Wording(
        "seacock partly shut",
        "handle {} of the way to shut",
        "open the seacock fully; if the handle turns without stopping, the ball may be loose on "
        "its stem",
        "see whether the handle stands in line with the hose",
    ),
    "strainer-blocked": Wording(
        "strainer blocked",
        "{} of the basket",
        "clean the basket, seat the lid and its seal, open the seacock, let the air out",
        "lift the lid and look at the basket",
        hazard="clean-basket",
    ),
    "suction-hose-collapsed": Wording(
        "suction hose collapsed or kinked",
        "bore narrowed by {}",
        "replace the hose with one that suction cannot collapse (wire or hard helix); ease the "
        "bend",
        "feel along the suction hose while the pump runs warm: it goes flat or soft",
        hazard="seat-lid-and-clamps",
    ),
    "suction-air-leak": Wording(
        "air drawn in on the suction side",
        "{} of the pump's strength lost to air",
        "seat the strainer's lid and seal, tighten or renew the clamps before the pump, check the "
        "pump's shaft seal",
        "watch the stream and the strainer's lid for bubbles; wet each joint before the pump",
        hazard="seat-lid-and-clamps",
    ),
    "pump-air-bound": Wording(
        "pump air-bound",
        "no head",
        "open the bleed at the pump's outlet until water runs without bubbles, then find how the "
        "air came in",
        "open the bleed at the pump's outlet: air comes out first",
        hazard="bleed",
        without_bleed="ease the hose on the pump's outlet until water comes without bubbles, push "
        "it home and tighten it; then find how the air came in",
        look_without_bleed="ease the hose on the pump's outlet: air comes out first",
    ),
    "intake-air": Wording(
        "air drawn in at the intake, under way or heeled",
        "{} of the pump's strength lost to air",
        "move the intake lower and nearer the centerline, or turn its scoop; run the unit at the "
        "dock until then",
        "see at what speed or heel the stream begins to sputter",
    ),
    "high-point-air": Wording(
        "air held at a high point",
        "{} of the drop behind it lost as head",
        "fill the line and purge it; then lower the high point or give it a bleed",
        "tap along the hose at the high point: it sounds hollow",
        hazard="fill-and-purge",
    ),
    "siphon-lost": Wording(
        "siphon lost on the way down to the outlet",
        "{} of the fall not given back",
        "fill the line and purge it; look for a place that lets air in after the high point",
        "listen at the discharge: water falls and gurgles instead of running full",
        hazard="fill-and-purge",
    ),
    "branch-air": Wording(
        "air locked in a branch",
        "branch {} closed by air",
        "shut the other branches for a minute so that all the water pushes the air out of this one",
        "tap along the branch: it sounds hollow; its unit's hoses stay at the cabin's temperature",
        hazard="close-other-units",
    ),
    "branch-blocked": Wording(
        "branch blocked or kinked",
        "passage {} closed",
        "follow the branch's hose, ease the kink, clear what blocks it",
        "follow the branch's hose by hand; disconnect and flush it with the seacock shut",
        hazard="wiggle-hoses",
    ),
    "check-valve-stuck": Wording(
        "check valve stuck",
        "passage {} closed",
        "take the check valve out, clean or renew it, arrow with the water",
        "take it out and see that its flap moves",
        hazard="look-at-check-valve",
    ),
    "no-power": Wording(
        "no power at the pump",
        "nothing turns",
        "find the break: breaker, fuse, relay of the unit, plug, corroded joint",
        "measure volts at the pump while the unit calls for it",
        hazard="check-breaker",
    ),
    "pump-jammed": Wording(
        "pump jammed",
        "hums at {} more than its running current",
        "switch off at once: a stuck motor burns out; open the pump and free the rotor",
        "turn the impeller by hand: it does not move",
        hazard="open-pump",
    ),
    "motor-weak": Wording(
        "pump motor weak (capacitor, brushes, bearing)",
        "speed down by {}",
        "renew the start capacitor or the brushes, or the motor",
        "measure current and volts: volts good, current high, motor slow and hot",
        hazard="check-breaker",
    ),
    "pump-worn": Wording(
        "pump worn",
        "head and flow down by {}",
        "open the pump: clean it, renew the impeller or the pump",
        "open the pump and look at the impeller and its clearance",
        hazard="open-pump",
    ),
    "wrong-pump": Wording(
        "pump turns the wrong way, or is the wrong one",
        "head down by {}",
        "compare the arrow and the label with the boat's papers: turn the wiring round, or fit the "
        "pump that belongs there",
        "look at the arrow on the housing and at the label",
        hazard="open-pump",
    ),
    "pump-decoupled": Wording(
        "impeller slipped: motor runs, wheel stands",
        "no head",
        "open the pump: free or renew the impeller, the magnet coupling or the shaft",
        "listen: the motor runs light, no water moves; look at the impeller",
        hazard="open-pump",
    ),
    "supply-low": Wording(
        "supply low",
        "speed down by {}",
        "find the lost volts: corroded joints, thin wire, a weak battery, a slow generator",
        "measure volts (and Hz on AC) at the pump's own terminals while it runs",
        hazard="swap-supply",
    ),
    "pressure-hose-kinked": Wording(
        "hose kinked on the pressure side",
        "bore narrowed by {}",
        "ease the bend, support the hose, renew it where it stays flat",
        "follow the hose from the pump to the discharge by hand",
        hazard="wiggle-hoses",
    ),
    "condenser-scaled": Wording(
        "condenser scaled",
        "scale {} of the tube's bore thick",
        "descale the condenser by the maker's instructions",
        "look into the tube at a loosened end",
        hazard="descale",
    ),
    "condenser-film": Wording(
        "film in the condenser (heat only)",
        "resistance up by {} of a clean condenser's",
        "flush the condenser with the cleaner that its maker allows",
        "rub the inside of the tube's end: slime",
        hazard="descale",
    ),
    "condenser-header-blocked": Wording(
        "zinc or weed in the condenser's header",
        "{} of the tubes blocked",
        "open the header, clear it, renew the zinc and the seal",
        "open the header and look",
        hazard="open-header",
    ),
    "discharge-blocked": Wording(
        "discharge blocked",
        "{} of the opening",
        "clear the discharge fitting of growth, or of insects' nests after a lay-up",
        "look into the discharge from outside",
        hazard="look-at-discharge",
    ),
    "branch-valve-shut": Wording(
        "valve shut in one branch",
        "handle {} of the way to shut",
        "open the branch's valve; set it again where it balances the branches",
        "see how the branch's valve handle stands",
    ),
    "sea-warm": Wording(
        "sea warmer than the loop was designed for",
        "{} warmer",
        "nothing is broken: size the loop for this sea, or accept less cooling on hot days",
        "hang a thermometer in the sea at the intake",
        "kelvin",
    ),
    "unit-off": Wording(
        "unit tripped or off: its water is not warmed",
        "compressor not running",
        "reset it once and see whether it starts; if it trips again, read what trips it",
        "feel the unit's two water hoses: equally warm",
        hazard="reset-unit",
    ),
    "not-water-side": Wording(
        "not the water side: refrigerant or air side",
        "condensing {} hotter than the water explains",
        "look at the air filter and fan; the refrigerant circuit is for a licensed technician only",
        "clean the air filter; have a licensed technician compare pressures with the maker's chart",
        "kelvin",
    ),
    "healthy": Wording(
        "nothing wrong with the loop",
        "as it should be",
        "nothing to fix on the water side; look at the thermostat, the air side, the expectation",
        "run it for ten minutes and read again",
    ),
    "something-else": Wording(
        "something that is not in this list",
        "unknown",
        "follow the water from the intake to the discharge by hand and eye; ask for a second pair "
        "of eyes",
        "look for what is unusual on this boat",
    ),
}

CAUTIONS: tuple[str, ...] = (BELOW_WATER, POWER, REFRIGERANT, CODES)
_ELECTRICAL = {
    "supply-low", "pump-decoupled", "pump-worn", "pump-air-bound", "no-power", "pump-jammed",
    "motor-weak", "wrong-pump",
}  # fmt: skip
_DRY = {"sea-warm", "not-water-side", "healthy", "supply-low", "no-power", "unit-off"}


def title(name: str) -> str:
    """What a fault, or a pair of faults, is called."""
    return " with ".join(WORDS[one].title for one in name.split(" + "))


def fix(name: str, bleed: bool = True) -> str:
    """What to do about a fault or a pair, hazards first; `bleed`: the loop has one after the pump.

    >>> fix("condenser-scaled").startswith("Descaler burns")
    True
    """
    said = []
    for one in name.split(" + "):
        row = WORDS[one]
        other = bool(row.without_bleed) and not bleed
        action = "loosen-outlet-hose" if other else row.hazard
        hazard = DOING[action].hazard if action else ""
        way = row.without_bleed if other else row.fix
        said.append(f"{hazard} {way[0].upper()}{way[1:]}" if hazard else way)
    return ". Then: ".join(said)


def look(name: str, bleed: bool = True) -> str:
    """What to look at, to be sure; `bleed` as in `fix`."""
    rows = [WORDS[one] for one in name.split(" + ")]
    return "; ".join((not bleed and row.look_without_bleed) or row.look for row in rows)


def severity_words(name: str, severity: float, band: tuple[float, float], system: System) -> str:
    """A fault's severity in words, with its band: "65% (50% to 80%) of the basket"."""
    wording = WORDS[name]
    quantity = "temperature_difference" if wording.unit == "kelvin" else "ratio"
    text = show(severity, quantity, system)
    if band[1] > band[0]:
        low, high = (show(edge, quantity, system) for edge in band)
        text = f"{text} ({low} to {high})"
    return wording.severity.format(text)


def cautions(name: str) -> tuple[str, ...]:
    """The cautions that go with a fault or a pair, of `CAUTIONS`."""
    faults = set(name.split(" + "))
    applies = {
        BELOW_WATER: bool(faults - _DRY),
        POWER: bool(faults & _ELECTRICAL),
        REFRIGERANT: "not-water-side" in faults,
        CODES: True,
    }
    return tuple(text for text in CAUTIONS if applies[text])
