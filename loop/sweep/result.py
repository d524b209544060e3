"""The answer of a sweep: arrays with an axis for each thing that is varied."""

import csv
import io
import math
from collections.abc import Iterator, Sequence
from functools import partial
from html import escape
from itertools import islice
from typing import Any

import numpy as np
from typing_extensions import TypeAliasType

from loop.job import Inputs, Job, inputs
from loop.parts import Part
from loop.records import dataclass
from loop.sweep.axes import Axis
from loop.sweep.points import LOOP_ARRAYS, SI, UNIT_ARRAYS, JobPoints, Points
from loop.tomlfile import value_of
from loop.units import System, check_system, convert, label
from loop.words.commands import SAY

# The numbers of a grid: a list for each of its axes, one inside the other.
Numbers = TypeAliasType("Numbers", "list[Numbers] | list[float]")
Facts = TypeAliasType("Facts", "list[Facts] | list[bool]")


class SweepTables(Inputs):
    """Output of ``loop sweep --json``: SI and °C, arrays with a list for each axis.

    Those of the units have a last list, of a number for each of ``units``; ``quantities`` gives the
    physical unit of each array that has one.
    """

    axes: dict[str, list[str | float]]
    units: list[str]
    quantities: dict[str, str]
    total_flow: Numbers
    head: Numbers
    power: Numbers
    settled: Facts
    past_curve: Facts
    starts: Facts
    intake_dry: Facts
    wrong_supply: Facts
    flow: Numbers
    needed_flow: Numbers
    inlet_temperature: Numbers
    temperature_rise: Numbers
    condensing_temperature: Numbers
    notes: list[str]


@dataclass(frozen=True)
class Sweep(JobPoints):
    """Answers at every point of a grid, in the grid's shape and (*grid, units).

    Its arrays are those of `loop.sweep.points.Points`. ``axes`` holds what is varied, in order,
    with the values as given; ``units`` the names of the units.
    """

    axes: dict[str, tuple[Any, ...]]
    units: tuple[str, ...]

    @classmethod
    def of(cls, job: Job, axes: Sequence[Axis], answer: Points) -> "Sweep":
        """The answer in the grid's shape."""
        shape = tuple(len(axis.values) for axis in axes)
        arrays = {
            name: values.reshape((*shape, *values.shape[1:]))
            for name, values in vars(answer).items()
        }
        units = tuple(unit.name for unit in job.condenser)
        given = {axis.name: axis.values for axis in axes}
        return cls(job=job, axes=given, units=units, **arrays)

    @property
    def shape(self) -> tuple[int, ...]:
        """The grid's shape."""
        return self.head.shape

    def __repr__(self) -> str:
        sizes = ", ".join(f"{name}: {len(values)}" for name, values in self.axes.items())
        return f"Sweep({self.head.size:,} points; {sizes})"

    def _repr_html_(self) -> str:
        units = self.job.units
        rows = islice(self._cells(units), _MAX_ROWS_SHOWN)
        head = "".join(f"<th>{_escaped(name)}</th>" for name in self._headings(units))
        body = "".join(
            "<tr>" + "".join(f"<td>{_escaped(str(value))}</td>" for value in row) + "</tr>"
            for row in rows
        )
        left = self.head.size - _MAX_ROWS_SHOWN
        notes = "".join(f"<p>{_escaped(note)}</p>" for note in self.notes)
        more = f"<p>and {left:,} points more</p>" if left > 0 else ""
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{more}{notes}"

    @property
    def columns(self) -> tuple[str, ...]:
        """Column names of `rows`: the axes, the pump's values, and each unit's."""
        of_units = (f"{name} {unit}" for unit in self.units for name in UNIT_ARRAYS)
        return (*self.axes, *LOOP_ARRAYS, *of_units)

    def rows(self) -> Iterator[tuple[Any, ...]]:
        """One row per point, last axis fastest, in the order of `columns`."""
        of_loop = [getattr(self, name).reshape(-1).tolist() for name in LOOP_ARRAYS]
        count = len(self.units)
        of_unit = [getattr(self, name).reshape(-1, count).T.tolist() for name in UNIT_ARRAYS]
        names = [[_cell_value(value) for value in values] for values in self.axes.values()]
        for number, places in enumerate(np.ndindex(self.shape)):
            values = (axis[place] for axis, place in zip(names, places, strict=True))
            loop = (column[number] for column in of_loop)
            units = (values_[unit][number] for unit in range(count) for values_ in of_unit)
            yield (*values, *loop, *units)

    def to_frame(self, units: System | None = None) -> Any:
        """A ``pandas.DataFrame`` with one row per point; raises ImportError without pandas.

        In SI and °C with columns named by `columns`; with `units`, "us" or "si", numbers and names
        as in `to_csv`. ``frame.attrs["units"]`` maps each column to its unit, "" if it has none.
        """
        check_system(units)
        try:
            import pandas  # type: ignore[import-untyped, unused-ignore]
        except ImportError:
            raise ImportError(SAY("package-missing", name="pandas")) from None
        names = list(self.columns if units is None else self._headings(units))
        rows = list(self.rows() if units is None else self._numbers(units))
        frame = pandas.DataFrame.from_records(rows, columns=names)
        frame.attrs["units"] = dict(zip(names, self._labels(units), strict=True))
        return frame

    def to_csv(self, units: System | None = None) -> str:
        """The rows as CSV text with a header line; a cell is empty for no number.

        In SI and °C, or in display `units`, "us" or "si"; raises UnitError for any other.
        """
        check_system(units)
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(self._headings(units))
        writer.writerows(self._cells(units))
        return text.getvalue()

    def _labels(self, units: System | None) -> list[str]:
        """The unit of each of `columns`, "" if it has none."""
        return [
            (label(quantity, units) if units else SI[quantity]) if quantity else ""
            for quantity in self._quantities
        ]

    def _headings(self, units: System | None) -> list[str]:
        pairs = zip(self.columns, self._labels(units), strict=True)
        return [f"{name} [{unit}]" if unit else name for name, unit in pairs]

    def _numbers(self, units: System | None) -> Iterator[list[Any]]:
        """The rows with converted numbers."""
        quantities = self._quantities
        for row in self.rows():
            yield [
                convert(value, quantity, units)
                if units and quantity and isinstance(value, float)
                else value
                for value, quantity in zip(row, quantities, strict=True)
            ]

    def _cells(self, units: System | None) -> Iterator[list[Any]]:
        """The rows as table cells: empty for no number, six significant digits if converted."""
        kinds = self._quantities
        for row in self._numbers(units):
            yield [
                _cell(value, units) if kind and isinstance(value, float) else value
                for value, kind in zip(row, kinds, strict=True)
            ]

    @property
    def _quantities(self) -> tuple[str, ...]:
        """The quantity of each of `columns`; "" if it has no unit."""
        loop = (LOOP_ARRAYS[name] for name in LOOP_ARRAYS)
        units = (UNIT_ARRAYS[name] for _ in self.units for name in UNIT_ARRAYS)
        return ("",) * len(self.axes) + (*loop, *units)

    def to_dict(self) -> dict[str, Any]:
        """The keys of `loop.sweep.result.SweepTables` as plain dicts, lists, texts and numbers."""
        axes = {
            name: [_cell_value(value) for value in values] for name, values in self.axes.items()
        }
        return {**inputs(self.job), "axes": axes, "units": list(self.units), **self._tables()}


# Rows of the notebook table, and the function that escapes its cells.
_MAX_ROWS_SHOWN = 20
_escaped = partial(escape, quote=False)


def _cell_value(value: Any) -> Any:
    """An axis value as a cell: text and numbers as given, a pump by its name, a part as a table."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(str(_cell_value(one)) for one in value)}]"
    if isinstance(value, Part):
        return value_of({"kind": value.kind, **value.model_dump(exclude_unset=True)})
    return value if isinstance(value, str | int | float) else getattr(value, "name", str(value))


def _cell(value: float, units: System | None) -> Any:
    """A number as a table cell: empty for none, six significant digits if converted."""
    if not math.isfinite(value):
        return ""
    return value if units is None else f"{value:.6g}"
