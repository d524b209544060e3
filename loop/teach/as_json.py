"""An explanation as plain tables for other programs: SI and °C, each number as printed."""

from typing import Any

from typing_extensions import TypedDict

from loop.answers import plain, table_of
from loop.check import Verdict
from loop.job import Inputs, inputs
from loop.teach.explanation import Explanation
from loop.teach.step import Line, Step


class InputTable(TypedDict):
    """An input of a calculation, as printed, and where it comes from."""

    symbol: str
    text: str
    unit: str
    origin: str


class LineTable(TypedDict):
    """A calculation: ``value`` is the result that the program uses, ``text`` the same as printed.

    ``formula`` is empty if the value is read from a table or found by the solver.
    """

    symbol: str
    formula: str
    inputs: list[InputTable]
    put_in: str
    value: float
    text: str
    unit: str


class StepTable(TypedDict):
    """One step; ``part`` is the number of its part, from 1, or null if it covers the whole loop."""

    number: int
    section: str
    title: str
    topic: str
    of: str
    part: int | None
    lines: list[LineTable]
    rows: list[list[str]]
    meaning: str
    source: str
    rests_on: list[int]


class ExplainTables(Inputs):
    """Output of ``loop explain --json``: every step, in order."""

    verdict: Verdict
    steps: list[StepTable]


def to_json(explanation: Explanation) -> dict[str, Any]:
    """The keys of `ExplainTables`, as plain dicts, lists, texts and numbers; null for no number."""
    return {
        **inputs(explanation.result.job),
        "verdict": explanation.result.verdict,
        "steps": [_step(step) for step in explanation.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    said = ("number", "section", "title", "topic", "of", "part", "meaning", "source")
    return {
        **{name: getattr(step, name) for name in said},
        "lines": [_line(line) for line in step.lines],
        "rows": plain(step.rows),
        "rests_on": list(step.rests_on),
    }


def _line(line: Line) -> dict[str, Any]:
    given = [table_of(InputTable, one) for one in line.inputs]
    return table_of(LineTable, line, symbol=line.equation.symbol, inputs=given, value=line.exact)
