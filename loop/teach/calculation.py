"""The calculation of one answer: its steps in order, and the figures that they share."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from loop.check import CheckResult
from loop.check.result import Supply
from loop.hydraulics import Network
from loop.job import Job
from loop.parts.friction import GRAVITY
from loop.teach.arithmetic import evaluate, short_text
from loop.teach.step import DIGITS, STEP, Equation, Line, Step, StepTable, Topic, Value, work_out
from loop.units import System, convert, label, linear_shown
from loop.words.teaching.steps import PHRASE, SECTIONS, STEPS, StepWords
from loop.words.template import Fact, Facts, fill

# SI unit of each quantity that is displayed in other units.
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
# Digits of figures from the job: more than any of them is known to.
_GIVEN_DIGITS = 6
ZERO_HEAD = Value(0.0, "m", PHRASE("nothing"))


def gravity() -> Value:
    """Standard gravity."""
    return Value(GRAVITY, "m/s²", PHRASE("gravity"))


@dataclass
class Calculation:
    """An answer of `check` while its explanation is built.

    ``section``, ``topic``, ``of``, ``part`` and ``fine`` apply to the steps that follow; ``known``
    are the results so far, so that none is repeated, and ``converted`` the figures of the job
    that the section has converted to SI.

    Figures of the loop from earlier steps: ``water`` properties by symbol; ``flows`` of the lines,
    negative where water runs backward, and their ``magnitudes``; ``heads`` lost in the parts (tees
    included), negative in a line that runs backward; ``tees``, the head lost in the manifold tees
    before a line's first part and, under the bitwise inverse of the line, after its last.
    """

    result: CheckResult
    section: str = ""
    topic: Topic = "water"
    of: str = ""
    part: int | None = None
    fine: bool = False
    steps: list[Step] = field(default_factory=list)
    known: dict[tuple[object, ...], Value] = field(default_factory=dict)
    converted: set[tuple[str, float]] = field(default_factory=set)
    water: dict[str, Value] = field(default_factory=dict)
    flows: dict[int, Value] = field(default_factory=dict)
    magnitudes: dict[int, Value] = field(default_factory=dict)
    heads: dict[int, Value] = field(default_factory=dict)
    tees: dict[int, Value] = field(default_factory=dict)

    @property
    def job(self) -> Job:
        """The job explained."""
        return self.result.job

    @property
    def primed(self) -> Facts:
        """Words added to the flow of a loop that does not start by itself."""
        said: Supply = "once primed"
        return {} if self.result.starts or self.result.point.flow <= 0 else {"primed": said}

    @property
    def system(self) -> System:
        """The job's units."""
        return self.result.job.units

    @property
    def network(self) -> Network:
        """Its lines, joints and parts."""
        return self.result.point.network

    def flow(self, index: int) -> Value:
        """Magnitude of the flow through the part at `index`, in either direction."""
        return self.magnitudes[self.network.line_of[index]]

    def backwards(self, index: int) -> bool:
        """Whether water runs through the part at `index` against the order of the file."""
        return self.flows[self.network.line_of[index]].value < 0

    def begin_section(
        self, topic: Topic, of: str = "", part: int | None = None, **facts: Fact
    ) -> None:
        """Opens a section: `of` is its unit or flow path, `part` a position, from 1."""
        path = SECTIONS["by-way"].format(of=of) if of else ""
        self.section = SECTIONS[topic].format_map({"of": of, "way": path, **facts})
        self.topic, self.of, self.part = topic, of, part
        self.converted = set()

    @contextmanager
    def in_detail(self) -> Iterator[None]:
        """Marks the steps written inside as fine, which a first reading omits."""
        before, self.fine = self.fine, True
        yield
        self.fine = before

    def step(
        self,
        row: str,
        inputs: Mapping[str, Value | float] | None = None,
        value: float | None = None,
        *,
        symbol: str = "",
        formula: str | None = None,
        claim: str = "",
        facts: Facts | None = None,
        table: StepTable = (),
        repeat: bool = False,
    ) -> Value:
        """Writes a step and returns its result.

        A repeated calculation is not written again, unless `repeat`. The words are those of `row`,
        with `facts`; `claim` selects what they say of the result. `inputs` are earlier results, or
        figures whose source the row states; `value` is the figure that the program uses [SI],
        default the formula's. `symbol` and `formula` override the row's.
        """
        words, facts = STEPS[row], facts or {}
        own_symbol, quantity, usual_formula = words.parsed
        symbol = symbol or fill(own_symbol, facts, self.system)
        formula = fill(usual_formula if formula is None else formula, facts, self.system)
        values = {
            name: given if isinstance(given, Value) else self._value(words, name, given, facts)
            for name, given in (inputs or {}).items()
        }
        exact_values = {name: given.value for name, given in values.items()}
        value = evaluate(formula, exact_values) if value is None else value
        key = (symbol, formula, tuple(exact_values.items()), value)
        if formula and not repeat and key in self.known:
            return self.known[key]
        equation = Equation(symbol, formula, values, words.digits)
        lines = (
            *self._conversions(words, values),
            *self._equation_lines(equation, value, quantity),
        )
        self._write(row, lines, claim, facts, table)
        unit = _SI_UNITS.get(quantity, quantity)
        self.known[key] = Value(value, unit, f"{STEP}{len(self.steps)}")
        return self.known[key]

    def remark(self, row: str) -> None:
        """Writes a step without an equation."""
        self._write(row, (), "", {}, ())

    def _value(self, words: StepWords, name: str, value: float, facts: Facts) -> Value:
        """A figure that no step gives, with its unit and source."""
        unit, origin = words.of(name)
        return Value(value, _SI_UNITS.get(unit, unit), fill(origin, facts, self.system))

    def _conversions(self, words: StepWords, values: Mapping[str, Value]) -> Iterator[Line]:
        """Figures of the job converted to SI, each once in a section."""
        for name, given in values.items():
            quantity, origin = words.of(name)
            is_new = (name, given.value) not in self.converted
            if quantity in _SI_UNITS and given.origin == origin and is_new:
                self.converted.add((name, given.value))
                shown = convert(given.value, quantity, self.system)
                if shown != given.value:
                    in_trade_units = Value(shown, label(quantity, self.system))
                    scale, zero = linear_shown(quantity, self.system)
                    equation = _conversion(name, in_trade_units, 1 / scale, -zero, _GIVEN_DIGITS)
                    yield work_out(equation, given.value, given.unit)

    def _equation_lines(self, equation: Equation, value: float, quantity: str) -> Iterator[Line]:
        """The equation, and its result in display units."""
        unit = _SI_UNITS.get(quantity, quantity)
        yield work_out(equation, value, unit)
        shown = convert(value, quantity, self.system) if quantity in _SI_UNITS else value
        if shown != value:
            to_trade = linear_shown(quantity, self.system)
            change = _conversion(equation.symbol, Value(value, unit), *to_trade, DIGITS)
            yield work_out(change, shown, label(quantity, self.system))

    def _write(
        self,
        row: str,
        lines: tuple[Line, ...],
        claim: str,
        facts: Facts,
        table: StepTable,
    ) -> None:
        words = STEPS[row]
        title, source, meaning = (
            fill(text, facts, self.system)
            for text in (words.title, words.source, words.meaning(claim))
        )
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                title=title,
                lines=lines,
                source=source,
                meaning=meaning,
                section=self.section,
                topic=self.topic,
                row=row,
                claim=claim,
                of=self.of,
                part=self.part,
                fine=self.fine,
                rows=table,
            )
        )


def _conversion(symbol: str, value: Value, scale: float, shift: float, digits: int) -> Equation:
    """A unit conversion: x × scale, or x ÷ its inverse where that is the shorter number to key in.

    Temperature scales also differ in their zeros: `shift` is added after scaling from Celsius,
    before scaling from Fahrenheit.
    """
    multiply = len(short_text(scale, 10)) <= len(short_text(1 / scale, 10))
    inputs: Mapping[str, Value] = {"x": value, "c": Value(scale if multiply else 1 / scale)}
    formula = "x * c" if multiply else "x / c"
    if shift > 0:
        formula = f"{formula} + {shift:g}"
    elif shift < 0:
        formula = formula.replace("x", f"(x - {-shift:g})")
    return Equation(symbol, formula, inputs, digits, conversion=True)
