"""One step of a worked explanation: formula, numbers inserted, result, source, meaning."""

from collections.abc import Mapping
from dataclasses import field, replace
from typing import Literal

from loop.records import dataclass
from loop.teach.arithmetic import evaluate, handwritten, number_text, short_text, substituted

Topic = Literal[
    "water",
    "need",
    "flow",
    "part",
    "scoop",
    "balance",
    "pressures",
    "depth",
    "heat",
    "air",
    "edges",
    "answer",
    "change",
]
# Rows of a table: item, value, and its share of the whole or its gain.
StepTable = tuple[tuple[str, str, str], ...]

DIGITS = 4
BLANK = "______"
# Prefix, before the number, of an origin that is another step.
STEP = "step "
# Most significant digits of a double.
_MAX_DIGITS = 17
# A figure that is exact in this many digits, such as 9.80665, is never printed with fewer.
_EXACT_DIGITS = 7


@dataclass(frozen=True)
class Value:
    """A number with its SI unit and its origin for the reader: ``step 3``, ``the job``."""

    value: float
    unit: str = ""
    origin: str = ""


# Inputs of a step: earlier results, or figures whose source is stated in its words.
Inputs = dict[str, Value | float]


@dataclass(frozen=True)
class Equation:
    """An equation: symbol of its result, formula in the symbols of `inputs`, digits shown.

    An empty formula stands for a figure read from a table at `inputs`, or found by the solver. An
    equation with its own result among its inputs is implicit, like the Colebrook equation: the
    answer inserted on the right comes out on the left. A ``conversion`` only changes units.
    """

    symbol: str
    formula: str = ""
    inputs: Mapping[str, Value] = field(default_factory=dict)
    digits: int = DIGITS
    conversion: bool = False


@dataclass(frozen=True)
class Input:
    """A number inserted in a formula, as printed."""

    symbol: str
    text: str
    unit: str
    origin: str

    @property
    def shown(self) -> str:
        """The number with its unit, as printed."""
        return f"{self.text.replace('-', '−', self.text.startswith('-'))} {self.unit}".rstrip()


@dataclass(frozen=True)
class Line:
    """An evaluated equation.

    ``exact`` is the figure that the program uses; ``text`` is the same as printed, to ``digits``
    significant digits, and follows from the printed ``inputs``. A ``blank`` one leaves the result
    to the reader.
    """

    equation: Equation
    inputs: tuple[Input, ...]
    exact: float
    text: str
    unit: str
    digits: int
    blank: bool = False

    @property
    def formula(self) -> str:
        """The formula in handwritten symbols; empty for a figure from a table."""
        return handwritten(self.equation.formula)

    @property
    def put_in(self) -> str:
        """The formula with the printed numbers in place of its symbols."""
        return substituted(self.equation.formula, {item.symbol: item.text for item in self.inputs})

    @property
    def answer(self) -> str:
        """The printed result with its unit."""
        text = BLANK if self.blank else self.text.replace("-", "−", self.exact < 0)
        return f"{text} {self.unit}".rstrip()

    def recomputed(self) -> float:
        """The result of the printed inputs; raises ValueError on a line without a formula."""
        return evaluate(
            self.equation.formula, {item.symbol: float(item.text) for item in self.inputs}
        )


@dataclass(frozen=True)
class Step:
    """One step of the calculation.

    ``lines`` : its equations: given figures converted to SI, the step's own equation, and its
    result in display units. ``meaning`` says what it means on the boat: ``row`` names the words of
    the step, ``claim`` which of their sentences applies. ``topic`` is the step's subject, ``of``
    the unit or flow path concerned, ``part`` the position, from 1, of its part, None where it
    belongs to the whole loop. ``fine`` steps are omitted in a first reading. ``rows`` is an
    accompanying table.
    """

    number: int
    title: str
    lines: tuple[Line, ...]
    source: str
    meaning: str
    section: str
    topic: Topic
    row: str
    claim: str = ""
    of: str = ""
    part: int | None = None
    fine: bool = False
    rows: StepTable = ()

    @property
    def symbol(self) -> str:
        """Symbol of the step's own result; empty for a remark."""
        return next((ln.equation.symbol for ln in self.lines if not ln.equation.conversion), "")

    @property
    def rests_on(self) -> tuple[int, ...]:
        """Numbers of the steps whose results are inputs of this one."""
        origins = (item.origin for line in self.lines for item in line.inputs)
        return tuple(int(o.removeprefix(STEP)) for o in origins if o.startswith(STEP))


def work_out(equation: Equation, exact: float, unit: str) -> Line:
    """Evaluates an equation with a known exact result, with as many input digits as it takes.

    The inputs start with one digit more than the result and get more until the printed inputs give
    the printed result. Where a figure lies so close to a rounding boundary that no number of digits
    is enough, the result is printed with one digit fewer.

    Raises ValueError where the formula does not give `exact`: an error in the explanation.
    """
    if not equation.formula:
        inputs = _inputs(equation, equation.digits)
        return Line(
            equation, inputs, exact, short_text(exact, equation.digits), unit, equation.digits
        )
    for digits in (equation.digits, equation.digits - 1):
        text = number_text(exact, digits)
        for input_digits in range(digits + 1, _MAX_DIGITS + 1):
            printed = short_text(exact, digits) if equation.conversion else text
            line = Line(equation, _inputs(equation, input_digits), exact, printed, unit, digits)
            if number_text(line.recomputed(), digits) == text:
                return line
    inputs = _inputs(equation, _MAX_DIGITS)
    if any(item.text == "0" and equation.inputs[item.symbol].value != 0 for item in inputs):
        # Rounding error of zero is printed as zero, and so is its result.
        line = Line(equation, inputs, exact, "0", unit, equation.digits)
        return replace(line, text=short_text(line.recomputed(), equation.digits))
    raise ValueError(f"{equation.symbol} = {equation.formula} does not give {exact!r}")


def _inputs(equation: Equation, digits: int) -> tuple[Input, ...]:
    return tuple(
        Input(symbol, _input_text(given.value, digits), given.unit, given.origin)
        for symbol, given in equation.inputs.items()
    )


def _input_text(value: float, digits: int) -> str:
    whole = short_text(value, _EXACT_DIGITS)
    return whole if float(whole) == value else short_text(value, digits)
