"""One step of a worked explanation: formula, numbers put in, result, source, meaning."""

from collections.abc import Mapping
from dataclasses import dataclass

from loop.teach.arithmetic import evaluate, number_text, put_in, short_text, written

DIGITS = 4
# Digits past those of the result after which more cannot help: a double holds no more.
_MOST_DIGITS = 17


@dataclass(frozen=True)
class Value:
    """A number with its SI unit, and where the reader finds it: ``step 3``, ``given``."""

    value: float
    unit: str = ""
    origin: str = ""


@dataclass(frozen=True)
class Input:
    """A number put into a formula, as it is printed."""

    symbol: str
    text: str
    unit: str
    origin: str


@dataclass(frozen=True)
class Line:
    """One sum: ``formula`` (empty for a figure from a table), ``inputs``, and its result.

    ``result`` is the figure that the program uses; ``text`` is it as printed, and what the printed
    inputs give. An ``implicit`` line holds its own result among its inputs, as the Colebrook
    equation does: the answer put in on the right comes out again on the left. A ``conversion``
    only changes units and needs no symbols.
    """

    symbol: str
    formula: str
    inputs: tuple[Input, ...]
    result: float
    text: str
    unit: str
    implicit: bool = False
    conversion: bool = False

    @property
    def formula_text(self) -> str:
        """The formula in symbols, as written by hand."""
        return written(self.formula)

    @property
    def sum_text(self) -> str:
        """The formula with the printed numbers put in."""
        return put_in(self.formula, {item.symbol: item.text for item in self.inputs})

    @property
    def answer(self) -> str:
        """The printed result with its unit."""
        return f"{self.text} {self.unit}".rstrip()

    def recomputed(self) -> float:
        """What the printed inputs give; raises ValueError on a line without a formula."""
        return evaluate(self.formula, {item.symbol: float(item.text) for item in self.inputs})


@dataclass(frozen=True)
class Step:
    """One step of the reckoning; ``part`` is the position of the part that it belongs to, or None.

    ``lines`` are the sums: those that turn given figures into SI units, the step's own, and the
    result in trade units. ``meaning`` says what it means on the boat.
    """

    number: int
    title: str
    lines: tuple[Line, ...]
    source: str
    meaning: str
    section: str
    part: int | None = None


def work_out(
    symbol: str,
    formula: str,
    inputs: Mapping[str, Value],
    result: Value,
    *,
    digits: int = DIGITS,
    implicit: bool = False,
    conversion: bool = False,
) -> Line:
    """A line whose inputs carry as many digits as the printed result needs.

    `result` is the exact figure. The inputs start with two digits more than the result and are
    given more until the printed inputs give the printed result. Where a figure stands so close to
    the edge of a rounding that no digits will do, the result is printed with one digit fewer.
    """
    if not formula:
        text = number_text(result.value, digits)
        return Line(symbol, formula, (), result.value, text, result.unit)
    for shown in range(digits, 0, -1):
        text = number_text(result.value, shown)
        for more in range(shown + 1, _MOST_DIGITS + 1):
            texts = {name: short_text(given.value, more) for name, given in inputs.items()}
            answer = evaluate(formula, {name: float(t) for name, t in texts.items()})
            if number_text(answer, shown) == text:
                return Line(
                    symbol,
                    formula,
                    tuple(
                        Input(name, texts[name], given.unit, given.origin)
                        for name, given in inputs.items()
                    ),
                    result.value,
                    text,
                    result.unit,
                    implicit,
                    conversion,
                )
    raise ValueError(f"{symbol} = {formula}: the inputs do not give {result.value!r}")
