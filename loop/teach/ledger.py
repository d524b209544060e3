"""The book in which the steps of an explanation are written, each with its number."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from loop.teach.arithmetic import short_text
from loop.teach.step import DIGITS, STEP, Line, Row, Step, Sum, Topic, Value, work_out
from loop.units import System, convert, label

# SI unit of each quantity that people are shown in other units.
_SI_UNITS = {
    "flow": "m³/s",
    "head": "m",
    "length": "m",
    "height": "m",
    "bore": "m",
    "area": "m²",
    "pressure": "Pa",
    "temperature": "°C",
    "temperature_difference": "K",
    "velocity": "m/s",
    "speed": "m/s",
    "power": "W",
    "heat": "W",
    "angle": "rad",
}
# Figures of the job are shown to this many digits: more than any of them is known to.
_GIVEN_DIGITS = 6


@dataclass(frozen=True)
class Notes:
    """Where a step's relation comes from, and what its result means on the boat."""

    source: str
    meaning: str


@dataclass
class Ledger:
    """Collects steps in order.

    ``section``, ``topic``, ``of``, ``part`` and ``fine`` go into each step that follows;
    ``pending`` holds figures of the job
    turned into SI units, each shown by the first step of its section that uses it; ``known`` the
    sums done so far, so that none is done twice.
    """

    system: System
    section: str = ""
    topic: Topic = "water"
    of: str = ""
    part: int | None = None
    fine: bool = False
    steps: list[Step] = field(default_factory=list)
    pending: dict[str, Line] = field(default_factory=dict)
    known: dict[tuple[object, ...], Value] = field(default_factory=dict)

    def begin(self, section: str, topic: Topic, *, of: str = "", part: int | None = None) -> None:
        """Opens a section.

        `of` is the name of the unit or way that it is about, `part` the position of the part, from
        1.
        """
        self.section, self.topic, self.of, self.part = section, topic, of, part
        self.pending = {}

    @contextmanager
    def in_detail(self) -> Iterator[None]:
        """Steps written inside are the finer ones, which a first reading leaves out."""
        before, self.fine = self.fine, True
        yield
        self.fine = before

    def given(self, symbol: str, value: float, quantity: str) -> Value:
        """A figure of the job [SI]; a step that uses it shows it in the unit that people use."""
        unit = _SI_UNITS[quantity]
        shown = convert(value, quantity, self.system)
        if shown != value:
            zero = convert(0.0, quantity, self.system)
            one = convert(1.0, quantity, self.system) - zero
            trade = Value(shown, label(quantity, self.system))
            sum_ = _change(symbol, trade, 1 / one, -zero, _GIVEN_DIGITS)
            self.pending[symbol] = work_out(sum_, value, unit)
        return Value(value, unit, "the job")

    def step(self, title: str, sum_: Sum, value: float, quantity: str, notes: Notes) -> Value:
        """Writes a step and gives back its result; a sum already done is not written again.

        `value` is the figure that the program uses [SI]; `quantity` what it is (``"flow"``,
        ``"head"``…), which settles its unit and its trade unit, or the unit itself.
        """
        inputs = tuple((name, given.value) for name, given in sum_.inputs.items())
        key = (sum_.symbol, sum_.formula, inputs, value)
        if sum_.formula and key in self.known:
            return self.known[key]
        self.known[key] = self.own_step(title, sum_, value, quantity, notes)
        return self.known[key]

    def own_step(
        self,
        title: str,
        sum_: Sum,
        value: float,
        quantity: str,
        notes: Notes,
        rows: tuple[Row, ...] = (),
    ) -> Value:
        """As `step`, written even where the same sum has been done before, and with a table."""
        unit = _SI_UNITS.get(quantity, quantity)
        lines = [self.pending.pop(name) for name in sum_.inputs if name in self.pending]
        lines.append(work_out(sum_, value, unit))
        shown = convert(value, quantity, self.system) if quantity in _SI_UNITS else value
        if shown != value:
            zero = convert(0.0, quantity, self.system)
            one = convert(1.0, quantity, self.system) - zero
            to_trade = _change(sum_.symbol, Value(value, unit), one, zero, DIGITS)
            lines.append(work_out(to_trade, shown, label(quantity, self.system)))
        self._write(title, tuple(lines), notes, rows)
        return Value(value, unit, f"{STEP}{len(self.steps)}")

    def remark(self, title: str, meaning: str) -> None:
        """Writes a step that has no sum."""
        self._write(title, (), Notes("", meaning), ())

    def _write(
        self, title: str, lines: tuple[Line, ...], notes: Notes, rows: tuple[Row, ...]
    ) -> None:
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                title=title,
                lines=lines,
                source=notes.source,
                meaning=notes.meaning,
                section=self.section,
                topic=self.topic,
                of=self.of,
                part=self.part,
                fine=self.fine,
                rows=rows,
            )
        )


def _change(symbol: str, value: Value, scale: float, shift: float, digits: int) -> Sum:
    """A change of unit: x × scale, or x ÷ its inverse where that is the shorter number to key in.

    A thermometer's scales differ in their zeros too: `shift` is added after scaling up from
    Celsius, before scaling down from Fahrenheit.
    """
    times = len(short_text(scale, 10)) <= len(short_text(1 / scale, 10))
    inputs: Mapping[str, Value] = {"x": value, "c": Value(scale if times else 1 / scale)}
    formula = "x * c" if times else "x / c"
    if shift > 0:
        formula = f"{formula} + {shift:g}"
    elif shift < 0:
        formula = formula.replace("x", f"(x - {-shift:g})")
    return Sum(symbol, formula, inputs, digits, conversion=True)
