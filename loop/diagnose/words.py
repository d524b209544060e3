"""What each fault is called, what to do about it, and what to look at: the trade's own words."""

from loop.records import dataclass
from loop.units import System, show


@dataclass(frozen=True)
class Wording:
    """Words for one fault: its name for a person, what the severity means, the cure, a closer look.

    ``severity`` has one gap, filled with the severity as `unit` says: a share in percent, kelvin,
    or the angle of a handle.
    """

    title: str
    severity: str
    fix: str
    look: str
    unit: str = "percent"


WORDS: dict[str, Wording] = {
    "intake-fouled": Wording(
        "intake fouled",
        "{} of the grate covered",
        "clear the intake and its grate of growth, weed or a plastic bag, from outside",
        "look at the grate from outside, or blow back through the intake and listen",
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
        "{} of the basket blocked",
        "shut the seacock, clean the basket, seat the lid and its seal, open the seacock",
        "lift the lid with the seacock shut and look at the basket",
    ),
    "suction-hose-collapsed": Wording(
        "suction hose collapsed or kinked",
        "bore narrowed by {}",
        "replace the hose by one that suction cannot collapse (wire or hard helix); ease the bend",
        "feel along the suction hose while the pump runs: it goes flat or soft",
    ),
    "suction-air-leak": Wording(
        "air leak on the suction side",
        "{} of the pump's strength lost to air",
        "seat the strainer's lid and seal, tighten or renew the clamps before the pump, check the "
        "pump's shaft seal",
        "watch the stream and the strainer's lid for bubbles; wet each joint before the pump",
    ),
    "pump-air-bound": Wording(
        "pump air-bound",
        "no head",
        "open the bleed at the pump's outlet until water runs steadily (not while it draws air "
        "in), then find how the air came in",
        "open the bleed at the pump's outlet: air comes out first",
    ),
    "pump-worn": Wording(
        "pump worn",
        "head and flow down by {}",
        "open the pump: clean it, renew the impeller or the pump",
        "open the pump with the seacock shut and look at the impeller and its clearance",
    ),
    "pump-decoupled": Wording(
        "pump running but not turning the impeller",
        "no head",
        "open the pump: free or renew the impeller, the magnet coupling or the shaft",
        "listen: the motor hums, no water moves; look at the impeller with the seacock shut",
    ),
    "supply-low": Wording(
        "supply low",
        "speed down by {}",
        "find the lost volts: corroded joints, thin wire, a weak battery, a slow generator",
        "measure volts (and Hz on AC) at the pump's own terminals while it runs",
    ),
    "pressure-hose-kinked": Wording(
        "hose kinked on the pressure side",
        "bore narrowed by {}",
        "ease the bend, support the hose, renew it where it stays flat",
        "follow the hose from the pump to the discharge by hand",
    ),
    "condenser-scaled": Wording(
        "condenser scaled",
        "scale {} of the tube's bore thick",
        "descale the condenser by the maker's instructions",
        "look into the tube at a loosened end with the seacock shut",
    ),
    "condenser-film": Wording(
        "film in the condenser (heat only)",
        "resistance up by {} of a clean condenser's",
        "flush the condenser with the cleaner that its maker allows",
        "rub the inside of the tube's end with the seacock shut: slime",
    ),
    "discharge-blocked": Wording(
        "discharge blocked",
        "{} of the opening covered",
        "clear the discharge fitting of growth, or of insects' nests after a lay-up",
        "look into the discharge from outside",
    ),
    "branch-valve-shut": Wording(
        "valve shut in one branch",
        "handle {} of the way to shut",
        "open the branch's valve; set it again where it balances the branches",
        "see how the branch's valve handle stands; where it has none, follow that branch's hose by "
        "hand for a kink",
    ),
    "sea-warm": Wording(
        "sea warmer than the loop was designed for",
        "{} warmer",
        "nothing is broken: size the loop for this sea, or accept less cooling on such days",
        "hang a thermometer in the sea at the intake",
        "kelvin",
    ),
    "not-water-side": Wording(
        "not the water side",
        "condensing {} hotter than the water explains",
        "leave the water side: a licensed refrigeration technician looks at charge, air in the "
        "circuit, fan and filter",
        "have a licensed technician compare pressures with the maker's chart",
        "kelvin",
    ),
    "healthy": Wording(
        "nothing wrong with the loop",
        "as it should be",
        "nothing to mend on the water side; look at the thermostat, the air side, the expectation",
        "run it for ten minutes and read again",
    ),
}

_OPENING = (
    "An open fitting below the waterline sinks boats: close the seacock before opening anything; "
    "afloat, have a plug at hand."
)
_WIRING = "Wiring near water, shore power and inverters: qualified electricians."
_REFRIGERANT = "Refrigerant circuits: licensed technicians only."
_CODES = (
    "Local codes, the builder and the equipment makers' instructions come before any figure here; "
    "seacocks and through-hulls follow ISO 9093 / ABYC H-27."
)
CAUTIONS: tuple[str, ...] = (_OPENING, _WIRING, _REFRIGERANT, _CODES)
_ELECTRICAL = {"supply-low", "pump-decoupled", "pump-worn", "pump-air-bound"}
_DRY = {"sea-warm", "not-water-side", "healthy", "supply-low"}


def title(name: str) -> str:
    """What a fault, or a pair of faults, is called."""
    return " with ".join(WORDS[one].title for one in name.split(" + "))


def fix(name: str) -> str:
    """What to do about a fault or a pair."""
    return "; then ".join(WORDS[one].fix for one in name.split(" + "))


def look(name: str) -> str:
    """What to look at, to be sure."""
    return "; ".join(WORDS[one].look for one in name.split(" + "))


def severity_words(
    name: str, severity: tuple[float, ...], band: tuple[float, float], system: System
) -> str:
    """A severity in words, its first fault's with the band: "65% (50% to 80%) of the basket…"."""
    said = []
    for number, (one, value) in enumerate(zip(name.split(" + "), severity, strict=True)):
        wording = WORDS[one]
        quantity = "temperature_difference" if wording.unit == "kelvin" else "ratio"
        text = show(value, quantity, system)
        if number == 0 and band[1] > band[0]:
            low, high = (show(edge, quantity, system) for edge in band)
            text = f"{text} ({low} to {high})"
        said.append(wording.severity.format(text))
    return ", ".join(said)


def cautions(name: str) -> tuple[str, ...]:
    """The cautions that go with a fault or a pair, of `CAUTIONS`."""
    faults = set(name.split(" + "))
    applies = {
        _OPENING: bool(faults - _DRY),
        _WIRING: bool(faults & _ELECTRICAL),
        _REFRIGERANT: "not-water-side" in faults,
        _CODES: True,
    }
    return tuple(text for text in CAUTIONS if applies[text])
