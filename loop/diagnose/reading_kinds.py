"""What can be measured on a service call: units, default uncertainty, minutes, and how to do it."""

from typing import Literal

from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.words.diagnosis import SAY
from loop.words.had import ALL, Has
from loop.words.measuring import ASKED_OTHERWISE, HAZARDS_OTHERWISE, MEASURING, OTHERWISE
from loop.words.template import fill

# A half-width, ours or one written after ±, is read as two standard deviations (about 95 %).
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
# A stated half-width may be so many times finer or coarser than the usual one: no instrument of the
# trade is finer by three digits, and a reading a hundred times as coarse says nothing.
FINEST, COARSEST = 1000.0, 100.0


@dataclass(frozen=True)
class ReadingKind:
    """One kind of reading; how it is taken is a row of `loop.words.measuring`.

    ``absolute`` [SI] and ``relative`` [-] are the default half-width, the larger of the two
    counting. ``minutes`` is the time it takes (engineering estimate, tools at hand), ``tool`` what
    it takes, "" for eyes, ears and hands. ``choices`` are the answers of a reading that is a word,
    not a number; ``also`` words that each mean several of them. ``way`` names another way of taking
    it, where the usual one is not possible on a loop, and ``has`` is what that loop has.
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
        """How it is taken."""
        return self.has.text(OTHERWISE[self.way] if self.way else MEASURING[self.name].how)

    def ask(self, unit: str) -> str:
        """The reading as something to do, of the unit so named; "" for the whole loop."""
        row = ASKED_OTHERWISE.get(self.way, MEASURING[self.name].ask)
        return fill(row, {"unit": unit} if unit else {}, "us")

    @property
    def hazard(self) -> str:
        """What is said before that, "" for nothing."""
        return self.has.text(HAZARDS_OTHERWISE.get(self.way, MEASURING[self.name].hazard))

    @property
    def basis(self) -> str:
        """Where the default half-width comes from."""
        return MEASURING[self.name].basis

    def meant(self, word: str) -> tuple[str, ...]:
        """The choices that a word means; empty where this reading has no answer of that name."""
        return dict(self.also).get(word, (word,) if word in self.choices else ())

    def half_width(self, value: float) -> float:
        """Default half-width [SI] of a reading of `value`."""
        return max(self.absolute, self.relative * abs(value))

    def accept(self, value: float, half_width: float | None, text: str) -> None:
        """Raises UnitError for a value out of range, or a half-width that no such reading has."""
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

# The widths of the electrical readings are the usual accuracy of a hand-held meter.
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

# Before the key of what was read with the boat at speed.
UNDER_WAY = "under_way."
# What shows that a loop is right again, by the kind of reading.
PROOF = ("stream", "unit", "flow", "outlet_temperature", "condensing_temperature")
# What a stream is said to be where water comes, and a pump where it stands.
COMES, STANDS = ("strong", "weak", "sputtering", "steady"), ("hums", "silent")

# What only shows, or is only mended to any purpose, where the pump turns.
_OF_THE_WATER = (
    "strainer_seen", "condensing_temperature", "open-seacock", "open-branch-valves", "clean-basket",
    "bleed", "loosen-outlet-hose", "prime", "seat-lid-and-clamps", "follow-hoses",
    "look-through-suction", "look-at-discharge", "look-at-grate", "fill-and-purge", "back-flush",
    "look-at-outlet", "lead-over-side", "clear-outlet", "clear-intake", "open-header",
    "look-at-check-valve", "descale",
)  # fmt: skip
# A reading, or a thing to do, that is impossible, means nothing or does harm once something has
# been seen: its name, what was seen, and the answers that rule it out. A pump that hums and does
# not turn is off, not measured: its motor burns.
RULED_OUT: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("flow", "stream", ("none",)),
    ("outlet_temperature", "stream", ("none",)),
    ("strainer_drop", "stream", ("none",)),
    ("shutoff_pressure", "stream", ("none",)),
    ("shutoff_pressure", "pump_sound", ("hums", "silent", "rough")),
    ("pump_inlet_pressure", "pump_sound", ("hums", "silent")),
    ("pump_outlet_pressure", "pump_sound", ("hums", "silent")),
    ("strainer_drop", "pump_sound", ("hums", "silent")),
    ("flow", "pump_sound", ("hums", "silent")),
    ("outlet_temperature", "pump_sound", ("hums", "silent")),
    ("outlet_temperature", "unit", ("trips", "off")),
    ("condensing_temperature", "unit", ("off",)),
    ("condensing_temperature", "stream", ("none",)),
    ("pump_current", "pump_sound", ("hums",)),
    ("pump_power", "pump_sound", ("hums",)),
    ("wiggle-hoses", "pump_sound", ("hums", "silent")),
    ("wiggle-hoses", "stream", ("none",)),  # the pump would run dry all the while
    ("close-other-units", "pump_sound", ("hums", "silent")),
    ("feed-from-bucket", "pump_sound", ("hums", "silent")),
    ("measure-refrigerant", "pump_sound", ("hums", "silent")),
    ("measure-refrigerant", "stream", ("none",)),
    ("reset-unit", "unit", ("cools", "weak")),
    # Who sees water come has no pump to fill.
    ("prime", "stream", ("strong", "weak", "steady")),
    # Of a unit that stands neither the refrigerant nor the scale shows.
    ("measure-refrigerant", "unit", ("off",)),
    ("descale", "unit", ("off",)),
    # A pump that runs has its current.
    ("check-breaker", "pump_sound", ("normal", "rough")),
    ("check-breaker", "stream", COMES),
    ("frequency", "pump_sound", ("silent", "hums")),
    # A pump that brings water at sea has its power there.
    ("supply-under-way", "under_way.stream", COMES),
    # Where nothing turns nothing is drawn, and no water shows what is in its way.
    *(
        (step, "pump_sound", ("silent",))
        for step in (
            *_OF_THE_WATER,
            "pump_current",
            "pump_power",
            "run-until-it-fails",
            "swap-supply",
        )
    ),
    # A motor that hums burns: nothing that has it started again, or looks away from it.
    *(
        (step, "pump_sound", ("hums",))
        for step in (
            *_OF_THE_WATER,
            "stream",
            "sea_temperature",
            "supply",
            "unit",
            "run-until-it-fails",
            "supply-under-way",
            "read-label",
            "reset-unit",
            "check-breaker",
            "look-at-air-side",
            "look-at-motor",
            "swap-supply",
        )
    ),
)

# The same where both were seen: a unit calls for the pump that runs, so no reset brings its water.
RULED_OUT_BY_BOTH: tuple[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], ...] = (
    ("reset-unit", (("stream", ("none",)), ("pump_sound", ("normal", "rough", "hums")))),
)

# The same where the stream, or one unit of several, shows it: nobody waits for a trouble that is
# there.
RULED_OUT_BY_ANY: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("run-until-it-fails", "stream", ("weak", "sputtering", "none")),
    ("run-until-it-fails", "unit", ("weak", "trips", "off")),
)

# Steps that come before all others once something was seen, whatever they are expected to tell: a
# pump that nothing calls for, or that has no current, is not taken apart.
FIRST: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("unit", "pump_sound", ("silent",)),
    ("check-breaker", "pump_sound", ("silent",)),
    ("supply", "pump_sound", ("silent",)),
)
# Readings that are asked for once something was seen though what they take is not at hand: no
# silent pump is opened or bought before its volts, whoever brings the meter.
SENT_FOR: tuple[tuple[str, str, tuple[str, ...]], ...] = (("supply", "pump_sound", ("silent",)),)
# What anybody fetches before acid, a diver, a new part or the refrigerant's gauges.
FETCHED: tuple[Tool, ...] = ("bucket", "thermometer")


def proves(key: str) -> bool:
    """Whether a reading shows that a loop is right again."""
    return key.removeprefix(UNDER_WAY).partition(".")[0] in PROOF
