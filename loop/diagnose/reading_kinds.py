"""What can be measured on a service call: units, default uncertainty, minutes, and constraints."""

from typing import Literal

from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.words.diagnosis import SAY
from loop.words.had import ALL, Has
from loop.words.measuring import ASKED_OTHERWISE, HAZARDS_OTHERWISE, MEASURING, OTHERWISE
from loop.words.template import fill

# A half-width, default or written after ±, is two standard deviations (about 95 %).
TWO_SIGMA = 2.0

Tool = Literal["", "bucket", "thermometer", "display", "gauge", "meter", "wattmeter", "flow meter"]
TOOLS: tuple[Tool, ...] = (
    "bucket",
    "thermometer",
    "display",
    "gauge",
    "meter",
    "wattmeter",
    "flow meter",
)
# Limits of a stated half-width relative to the default: no trade instrument is a thousand times
# finer, and a reading a hundred times coarser is useless.
FINEST, COARSEST = 1000.0, 100.0


@dataclass(frozen=True)
class ReadingKind:
    """One kind of reading; how to take it is a row of `loop.words.measuring`.

    ``absolute`` [SI] and ``relative`` [-] give the default half-width, whichever is larger.
    ``minutes`` is its duration (engineering estimate, tools at hand), ``tool`` its tool, "" for
    eyes, ears and hands. ``choices`` are the answers of a qualitative reading; ``also`` words that
    each mean several of them. ``way`` names an alternative method where the usual one is not
    possible on a loop, and ``has`` the parts that the loop has.
    """

    name: str
    kind: Kind | None
    quantity: str
    absolute: float
    relative: float
    minutes: float
    per_unit: bool = False
    low: float = 0.0
    high: float = 1e7
    choices: tuple[str, ...] = ()
    tool: Tool = ""
    way: str = ""
    also: tuple[tuple[str, tuple[str, ...]], ...] = ()
    has: Has = ALL

    @property
    def how(self) -> str:
        """How to take it."""
        return self.has.text(OTHERWISE[self.way] if self.way else MEASURING[self.name].how)

    def ask(self, unit: str) -> str:
        """The reading as a thing to do, for the named unit; "" for the whole loop."""
        row = ASKED_OTHERWISE.get(self.way, MEASURING[self.name].ask)
        return fill(row, {"unit": unit} if unit else {}, "us")

    @property
    def hazard(self) -> str:
        """Hazard stated before that, "" for none."""
        return self.has.text(HAZARDS_OTHERWISE.get(self.way, MEASURING[self.name].hazard))

    def meant(self, word: str) -> tuple[str, ...]:
        """The choices that a word means; empty where this reading has no such answer."""
        return dict(self.also).get(word, (word,) if word in self.choices else ())

    def half_width(self, value: float) -> float:
        """Default half-width [SI] of a reading of `value`."""
        return max(self.absolute, self.relative * abs(value))

    def accept(self, value: float, half_width: float | None, text: str) -> None:
        """Raises UnitError for a value out of range, or an implausible half-width."""
        if not self.low <= value <= self.high:
            raise UnitError(SAY("wrong-reading", text=repr(text), wrong=SAY("wrong-range")))
        if half_width is None:
            return
        usual = self.half_width(value)
        if not usual / FINEST <= half_width <= usual * COARSEST:
            row = "wrong-too-fine" if half_width < usual else "wrong-too-wide"
            raise UnitError(SAY("wrong-reading", text=repr(text), wrong=SAY(row)))


def _kelvin(degrees_f: float) -> float:
    return parse(f"{degrees_f} degF", "temperature_difference")


_PSI = parse("1 psi", "pressure")
_GAL_PER_HOUR = parse("1 gal/h", "flow")
_VACUUM = -101_325.0

# Half-widths of electrical readings are the usual accuracy of a hand-held meter.
KINDS: dict[str, ReadingKind] = {
    kind.name: kind
    for kind in (
        ReadingKind(
            "flow", "flow", "flow", 4 * _GAL_PER_HOUR, 0.06, 4.0, per_unit=True, high=1.0,
            tool="bucket",
        ),
        ReadingKind(
            "sea_temperature", "temperature", "temperature", _kelvin(1.5), 0.0, 1.0,
            low=-2.0, high=45.0, tool="thermometer",
        ),
        ReadingKind(
            "outlet_temperature", "temperature", "temperature", _kelvin(1.5), 0.0, 2.0,
            per_unit=True, low=-2.0, high=100.0, tool="thermometer",
        ),
        ReadingKind(
            "condensing_temperature", "temperature", "temperature", _kelvin(3.0), 0.0, 3.0,
            per_unit=True, low=-2.0, high=120.0, tool="display",
        ),
        ReadingKind(
            "pump_inlet_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0, 10.0,
            low=_VACUUM, tool="gauge",
        ),
        ReadingKind(
            "pump_outlet_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0, 8.0,
            low=_VACUUM, tool="gauge",
        ),
        ReadingKind("strainer_drop", "pressure", "pressure", 0.2 * _PSI, 0.05, 10.0, tool="gauge"),
        ReadingKind(
            "shutoff_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0, 9.0,
            low=_VACUUM, tool="gauge",
        ),
        ReadingKind("supply", "voltage", "voltage", 0.3, 0.01, 3.0, high=1000.0, tool="meter"),
        ReadingKind(
            "frequency", "frequency", "frequency", 0.1, 0.003, 3.0, high=500.0, tool="meter"
        ),
        ReadingKind("pump_power", "power", "power", 2.0, 0.03, 4.0, high=1e6, tool="wattmeter"),
        ReadingKind("pump_current", "current", "current", 0.02, 0.03, 3.0, high=1e4, tool="meter"),
        ReadingKind(
            "stream", None, "", 0.0, 0.0, 0.5, choices=("strong", "weak", "sputtering", "none"),
            also=(("steady", ("strong", "weak")),),
        ),
        ReadingKind(
            "pump_sound", None, "", 0.0, 0.0, 0.5, choices=("normal", "rough", "hums", "silent")
        ),
        ReadingKind(
            "unit", None, "", 0.0, 0.0, 1.0, per_unit=True,
            choices=("cools", "weak", "trips", "off"),
        ),
        ReadingKind("strainer_seen", None, "", 0.0, 0.0, 5.0, choices=("clean", "dirty")),
    )
}  # fmt: skip

# Key prefix of readings with the boat at speed.
UNDER_WAY = "under_way."
# Kinds of readings that show that a loop is right again.
PROOF = ("stream", "unit", "flow", "outlet_temperature", "condensing_temperature")
# Words for a stream with water, and for a pump that stands.
COMES, STANDS = ("strong", "weak", "sputtering", "steady"), ("hums", "silent")

# Steps that show something, or are worth doing, only where the pump turns.
_OF_THE_WATER = (
    "strainer_seen", "condensing_temperature", "open-seacock", "open-branch-valves", "clean-basket",
    "let-water-in", "bleed", "loosen-outlet-hose", "prime", "seat-lid-and-clamps", "follow-hoses",
    "look-through-suction", "look-at-discharge", "look-at-grate", "fill-and-purge", "back-flush",
    "look-at-outlet", "lead-over-side", "clear-outlet", "clear-intake", "open-header",
    "look-at-check-valve", "descale",
)  # fmt: skip
# Steps that are impossible, meaningless or harmful after an observation: the observation, the
# answers that rule them out, and the steps.
_RULED_OUT: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    # Without water the pump would run dry meanwhile.
    ("stream", ("none",), (
        "flow", "outlet_temperature", "condensing_temperature", "strainer_drop",
        "shutoff_pressure", "wiggle-hoses", "measure-refrigerant",
    )),
    # With water coming, the pump needs no priming, and it has power.
    ("stream", ("strong", "weak", "steady"), ("prime",)),
    ("stream", COMES, ("check-breaker",)),
    (f"{UNDER_WAY}stream", COMES, ("supply-under-way",)),
    ("pump_sound", ("normal", "rough"), ("check-breaker",)),
    ("pump_sound", ("rough",), ("shutoff_pressure",)),
    # With nothing turning, no flow shows a restriction and no current tells of the load.
    ("pump_sound", STANDS, (
        *_OF_THE_WATER, "flow", "outlet_temperature", "strainer_drop", "shutoff_pressure",
        "pump_inlet_pressure", "pump_outlet_pressure", "pump_current", "pump_power", "frequency",
        "wiggle-hoses", "close-other-units", "feed-from-bucket", "measure-refrigerant",
        "run-until-it-fails", "swap-supply",
    )),
    # A motor that hums burns out: it is switched off, not measured, restarted or left alone.
    ("pump_sound", ("hums",), (
        "stream", "sea_temperature", "supply", "unit", "supply-under-way", "read-label",
        "reset-unit", "check-breaker", "look-at-air-side", "look-at-motor",
    )),
    # With the unit off, neither the refrigerant nor the scale shows.
    ("unit", ("trips", "off"), ("outlet_temperature",)),
    ("unit", ("off",), ("condensing_temperature", "measure-refrigerant", "descale")),
    ("unit", ("cools", "weak"), ("reset-unit",)),
)  # fmt: skip
RULED_OUT: tuple[tuple[str, str, tuple[str, ...]], ...] = tuple(
    (step, key, answers) for key, answers, steps in _RULED_OUT for step in steps
)

# Ruled out by both observations together: a unit already calls for a pump that runs, so a reset
# brings no water.
RULED_OUT_BY_BOTH: tuple[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], ...] = (
    ("reset-unit", (("stream", ("none",)), ("pump_sound", ("normal", "rough", "hums")))),
)

# Ruled out by the stream, or by any one of several units: nobody waits for a failure that is
# present.
RULED_OUT_BY_ANY: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("run-until-it-fails", "stream", ("weak", "sputtering", "none")),
    ("run-until-it-fails", "unit", ("weak", "trips", "off")),
)

# Steps that come first after an observation, regardless of information gain: a pump that nothing
# calls for, or that has no power, is not taken apart.
FIRST: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("unit", "pump_sound", ("silent",)),
    ("check-breaker", "pump_sound", ("silent",)),
    ("supply", "pump_sound", ("silent",)),
)
# Readings requested after an observation even without the tool: no silent pump is opened or bought
# before its voltage is read, whoever brings the meter.
SENT_FOR: tuple[tuple[str, str, tuple[str, ...]], ...] = (("supply", "pump_sound", ("silent",)),)
# Tools worth fetching before acid, a diver, a new part or refrigerant gauges.
FETCHED: tuple[Tool, ...] = ("bucket", "thermometer")


def proves(key: str) -> bool:
    """Whether a reading shows that a loop is right again."""
    return key.removeprefix(UNDER_WAY).partition(".")[0] in PROOF
