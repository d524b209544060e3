"""Rows of a pump's datasheet: measured points, or the nameplate's values."""

import math
from itertools import pairwise
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from loop.pumps.nameplate import Nameplate, Points, head_of
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.units.fields import PLAIN_NUMBER
from loop.wrong import wrong

_MIN_POINTS = 3


class Series(BaseModel):
    """One row of a datasheet: a unit and its values; converted to SI when read."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    unit: str
    values: tuple[Annotated[float, PLAIN_NUMBER], ...]

    def si(self, kind: Kind) -> tuple[float, ...]:
        """Values in SI; raises UnitError for a unit of another kind.

        A head, whose kind is length, may be in a unit of pressure (of fresh water).
        """
        unit_text = f"1 {self.unit}"
        scale = head_of(unit_text) if kind == "length" else parse(unit_text, kind)
        return tuple(value * scale for value in self.values)

    def errors(self, kind: Kind) -> list[str]:
        """Errors in the row itself."""
        errors = []
        try:
            self.si(kind)
        except UnitError as error:
            errors.append(str(error))
        if not all(math.isfinite(value) and 0 <= value < 1e7 for value in self.values):
            errors.append(wrong("values-finite"))
        return errors


class Curve(BaseModel):
    """Measured head, power and required NPSH against flow, or a nameplate.

    Raises a pydantic error for fewer than three points, a first flow that is not zero, flows that
    do not increase, heads that do not decrease, rows of different lengths, or points in addition to
    a nameplate.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    flow: Series | None = None
    head: Series | None = None
    power: Series | None = None
    npsh_required: Series | None = None
    nameplate: Nameplate | None = None

    @model_validator(mode="after")
    def _check(self) -> "Curve":
        errors = self._rows_with_nameplate() if self.nameplate else self._point_errors()
        if errors:
            raise PydanticCustomError("pump", "{why}", {"why": "\n".join(errors)})
        return self

    def points(self) -> Points:
        """The curve's points in SI: measured, or the typical shape through the nameplate."""
        if self.nameplate is not None:
            return self.nameplate.points()
        rows = {
            name: None if row is None else np.asarray(row.si(kind), dtype=float)
            for name, (row, kind) in self._rows().items()
        }
        return Points(**rows)  # type: ignore[arg-type]  # checked: neither flow nor head is None

    def _rows(self) -> dict[str, tuple[Series | None, Kind]]:
        return {
            "flow": (self.flow, "flow"),
            "head": (self.head, "length"),
            "power": (self.power, "power"),
            "npsh_required": (self.npsh_required, "length"),
        }

    def _rows_with_nameplate(self) -> list[str]:
        return [
            wrong("plate-alone", name=name)
            for name, (row, _) in self._rows().items()
            if row is not None
        ]

    def _point_errors(self) -> list[str]:
        if self.flow is None or self.head is None:
            return [
                wrong("curve-missing", name=name)
                for name in ("flow", "head")
                if getattr(self, name) is None
            ]
        rows = self._rows()
        errors = [
            f"{name}: {mistake}"
            for name, (row, kind) in rows.items()
            if row is not None
            for mistake in row.errors(kind)
        ]
        flow, head = self.flow.values, self.head.values
        if len(flow) < _MIN_POINTS:
            errors.append(wrong("curve-points", least=_MIN_POINTS, count=len(flow)))
        if flow and flow[0] != 0:
            errors.append(wrong("curve-first"))
        if any(b <= a for a, b in pairwise(flow)):
            errors.append(wrong("curve-rises"))
        if any(b >= a for a, b in pairwise(head)):
            errors.append(wrong("curve-falls"))
        if head and head[0] <= 0:
            errors.append(wrong("curve-shut-off"))
        for name, (row, _) in rows.items():
            if row is not None and len(row.values) != len(flow):
                errors.append(
                    wrong("curve-lengths", name=name, count=len(row.values), flows=len(flow))
                )
        return errors
