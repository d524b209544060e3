"""What can be measured on a service call: units, default uncertainty, minutes, and how to do it."""

from typing import Literal

from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.words.cautions import STEP_METER, STEP_OPENS

# A half-width, ours or one written after ±, is read as two standard deviations (about 95 %).
TWO_SIGMA = 2.0

Tool = Literal["", "bucket", "thermometer", "display", "gauge", "meter", "wattmeter"]
TOOLS: tuple[Tool, ...] = ("bucket", "thermometer", "display", "gauge", "meter", "wattmeter")
# A stated half-width may be so many times finer or coarser than the usual one: no instrument of the
# trade is finer by three digits, and a reading a hundred times as coarse says nothing.
FINEST, COARSEST = 1000.0, 100.0


@dataclass(frozen=True)
class ReadingKind:
    """One kind of reading.

    ``absolute`` [SI] and ``relative`` [-] are the default half-width, the larger of the two
    counting; ``basis`` says where it comes from. ``minutes`` is the time it takes (engineering
    estimate, tools at hand), ``tool`` what it takes, "" for eyes, ears and hands, ``hazard`` what
    is said before ``how``. ``choices`` are
    the answers of a reading that is a word, not a number; ``also`` words that each mean several of
    them.
    """

    name: str
    kind: Kind | None
    quantity: str
    absolute: float
    relative: float
    basis: str
    minutes: float
    how: str
    per_unit: bool = False
    low: float = 0.0
    high: float = 1e7
    choices: tuple[str, ...] = ()
    tool: Tool = ""
    hazard: str = ""
    also: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def meant(self, word: str) -> tuple[str, ...]:
        """The choices that a word means; empty where this reading has no answer of that name."""
        return dict(self.also).get(word, (word,) if word in self.choices else ())

    def half_width(self, value: float) -> float:
        """Default half-width [SI] of a reading of `value`."""
        return max(self.absolute, self.relative * abs(value))

    def accept(self, value: float, half_width: float | None, text: str) -> None:
        """Raises UnitError for a value out of range, or a half-width that no such reading has."""
        if not self.low <= value <= self.high:
            raise UnitError(f"{text!r} is out of range for a {self.name.replace('_', ' ')}")
        if half_width is None:
            return
        usual = self.half_width(value)
        if not usual / FINEST <= half_width <= usual * COARSEST:
            word = "fine" if half_width < usual else "wide"
            raise UnitError(
                f"{text!r}: the half-width after ± is too {word} for a"
                f" {self.name.replace('_', ' ')}; leave it out and the usual one is taken"
            )


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
            "flow", "flow", "flow", 4 * _GAL_PER_HOUR, 0.06,
            "bucket and stopwatch: volume within 5 %, time within a second (engineering estimate)",
            4.0, "hold a bucket of known size under the discharge and time how long it takes to "
            "fill; do it twice", per_unit=True, high=1.0, tool="bucket",
        ),
        ReadingKind(
            "sea_temperature", "temperature", "temperature", _kelvin(1.5), 0.0,
            "a common dial or probe thermometer (engineering estimate)",
            1.0, "hang a thermometer in the sea at the depth of the intake for a minute",
            low=-2.0, high=45.0, tool="thermometer",
        ),
        ReadingKind(
            "outlet_temperature", "temperature", "temperature", _kelvin(1.5), 0.0,
            "a common dial or probe thermometer (engineering estimate)",
            2.0, "hold the thermometer in the discharge stream until it stands still, with the "
            "unit running for ten minutes", per_unit=True, low=-2.0, high=100.0, tool="thermometer",
        ),
        ReadingKind(
            "condensing_temperature", "temperature", "temperature", _kelvin(3.0), 0.0,
            "the unit's own display or a probe on the liquid side (engineering estimate)",
            3.0, "read it from the unit's display, or have a refrigeration technician read the "
            "head pressure as a temperature", per_unit=True, low=-2.0, high=120.0, tool="display",
        ),
        ReadingKind(
            "pump_inlet_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0,
            "a compound gauge of 15 psi span, class 1.6, read to a fifth of a mark "
            "(engineering estimate)",
            10.0, "a compound gauge (it reads below zero too) on a tee at the pump's inlet, read "
            "running; gauge at the height of the pump", low=_VACUUM, tool="gauge",
        ),
        ReadingKind(
            "pump_outlet_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0,
            "a gauge of 15 psi span, class 1.6 (engineering estimate)",
            8.0, "a gauge at the pump's outlet, on the bleed valve or a tee, read running",
            low=_VACUUM, tool="gauge",
        ),
        ReadingKind(
            "strainer_drop", "pressure", "pressure", 0.2 * _PSI, 0.05,
            "the same gauge moved from one side of the strainer to the other "
            "(engineering estimate)",
            10.0, "one gauge, before and after the strainer, read running", tool="gauge",
        ),
        ReadingKind(
            "shutoff_pressure", "pressure", "pressure", 0.3 * _PSI, 0.0,
            "a gauge of 15 psi span, class 1.6 (engineering estimate)",
            9.0, "the gauge at the pump's outlet with the outlet held shut for two seconds, no "
            "longer: a pump that runs shut heats up", low=_VACUUM, tool="gauge",
        ),
        ReadingKind(
            "supply", "voltage", "voltage", 0.3, 0.01,
            "a hand-held multimeter", 3.0,
            "a voltmeter on the pump's own terminals while it runs",
            high=1000.0, hazard=STEP_METER, tool="meter",
        ),
        ReadingKind(
            "frequency", "frequency", "frequency", 0.1, 0.003,
            "a hand-held multimeter", 3.0,
            "a multimeter set to Hz on the supply while the pump runs",
            high=500.0, hazard=STEP_METER, tool="meter",
        ),
        ReadingKind(
            "pump_power", "power", "power", 2.0, 0.03,
            "a plug-in or clamp wattmeter", 4.0,
            "a wattmeter in the pump's supply while it runs",
            high=1e6, hazard=STEP_METER, tool="wattmeter",
        ),
        ReadingKind(
            "pump_current", "current", "current", 0.02, 0.03,
            "a clamp meter", 3.0,
            "a clamp meter round one wire of the pump while it runs",
            high=1e4, hazard=STEP_METER, tool="meter",
        ),
        ReadingKind(
            "stream", None, "", 0.0, 0.0, "seen by eye", 0.5,
            "look at the discharge while the pump runs: strong, weak, sputtering, or none",
            choices=("strong", "weak", "sputtering", "none"),
            also=(("steady", ("strong", "weak")),),
        ),
        ReadingKind(
            "pump_sound", None, "", 0.0, 0.0, "heard by ear", 0.5,
            "put a hand and an ear to the pump: normal, rough, hums without turning, or silent",
            choices=("normal", "rough", "hums", "silent"),
        ),
        ReadingKind(
            "unit", None, "", 0.0, 0.0, "seen at the unit", 1.0,
            "see what the unit does: cools, cools weakly, trips, or is off (does not start)",
            per_unit=True, choices=("cools", "weak", "trips", "off"),
        ),
        ReadingKind(
            "strainer_seen", None, "", 0.0, 0.0, "seen by eye", 5.0,
            "lift the strainer's lid and look at the basket, clean or dirty; seat the lid, open "
            "the seacock again and let the strainer fill before the pump runs",
            choices=("clean", "dirty"),
            hazard=STEP_OPENS,
        ),
    )
}  # fmt: skip

# A reading that is impossible, means nothing or does harm once something has been seen: the
# reading, what was seen, and the answers that rule it out.
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
)
