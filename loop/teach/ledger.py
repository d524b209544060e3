"""The book in which the steps of an explanation are written, each with its number."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from loop.teach.step import DIGITS, Line, Step, Value, work_out
from loop.units import System, convert, label

# SI unit of the quantities that are shown to people.
SI_UNITS = {
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
    "voltage": "V",
    "frequency": "Hz",
}


@dataclass
class Ledger:
    """Collects steps in order; every method that writes one gives back its result as a `Value`.

    ``section`` and ``part`` go into each step that follows; ``pending`` holds the given figures
    that the next step will show turned into SI units.
    """

    system: System
    section: str = ""
    part: int | None = None
    steps: list[Step] = field(default_factory=list)
    pending: list[Line] = field(default_factory=list)

    def given(self, symbol: str, value: float, quantity: str) -> Value:
        """A figure of the job, shown with its conversion from the unit that people use."""
        unit = SI_UNITS[quantity]
        shown = convert(value, quantity, self.system)
        if shown != value:
            self.pending.append(self._into_si(symbol, value, shown, quantity))
        return Value(value, unit, "given")

    def _into_si(self, symbol: str, value: float, shown: float, quantity: str) -> Line:
        zero, one = convert(0.0, quantity, self.system), convert(1.0, quantity, self.system)
        given = Value(shown, label(quantity, self.system))
        result = Value(value, SI_UNITS[quantity])
        if zero:  # a thermometer: the zeros of the two scales differ
            formula = f"(x - {zero:g}) / {one - zero:g}"
            return work_out(symbol, formula, {"x": given}, result, digits=5, conversion=True)
        scale = 1.0 / one
        if scale >= 1:
            inputs = {"x": given, "c": Value(scale)}
            return work_out(symbol, "x * c", inputs, result, digits=5, conversion=True)
        inputs = {"x": given, "c": Value(one)}
        return work_out(symbol, "x / c", inputs, result, digits=5, conversion=True)

    def step(
        self,
        title: str,
        sum_: tuple[str, str],
        inputs: Mapping[str, Value],
        result: tuple[float, str],
        notes: tuple[str, str],
        *,
        digits: int = DIGITS,
        implicit: bool = False,
    ) -> Value:
        """Writes one step.

        Parameters
        ----------
        title : str
            What is reckoned.
        sum_ : (str, str)
            Symbol of the result, and the formula in the symbols of `inputs`; an empty formula for
            a figure that is read from a table.
        inputs : mapping of symbol to Value
        result : (float, str)
            The figure that the program uses, and its quantity (a key of `SI_UNITS`) or its unit.
        notes : (str, str)
            Source; and what it means on the boat.
        """
        symbol, formula = sum_
        value, quantity = result
        unit = SI_UNITS.get(quantity, quantity)
        line = work_out(
            symbol, formula, inputs, Value(value, unit), digits=digits, implicit=implicit
        )
        number = len(self.steps) + 1
        lines = [*self.pending, line]
        if quantity in SI_UNITS:
            lines += self._out_of_si(line, quantity)
        self.pending = []
        self.steps.append(
            Step(number, title, tuple(lines), notes[0], notes[1], self.section, self.part)
        )
        return Value(value, unit, f"step {number}")

    def _out_of_si(self, line: Line, quantity: str) -> list[Line]:
        shown = convert(line.result, quantity, self.system)
        if shown == line.result:
            return []
        zero, one = convert(0.0, quantity, self.system), convert(1.0, quantity, self.system)
        inputs = {line.symbol: Value(line.result, line.unit), "c": Value(one - zero)}
        formula = f"{line.symbol} * c"
        if zero:
            inputs["c_0"] = Value(zero)
            formula += " + c_0"
        result = Value(shown, label(quantity, self.system))
        return [work_out(line.symbol, formula, inputs, result, conversion=True)]
