"""Pump curves: the file that states one, its checks, and the catalogue that ships with us."""

import difflib
import math
from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from numpy.typing import ArrayLike
from pydantic import BaseModel, ConfigDict, ValidationError, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from loop.catalogue import catalogue as catalogue
from loop.catalogue import catalogue_name as catalogue_name
from loop.catalogue import folder
from loop.curve import Array, MonotoneCurve
from loop.mistakes import once, why
from loop.plain_text import OneLine
from loop.tomlfile import read_text, tables
from loop.units import PLAIN_NUMBER, Bore, Frequency, UnitError, Voltage, parse
from loop.units.definitions import Kind

_FEWEST_POINTS = 4


class Series(BaseModel):
    """One row of a datasheet: a unit and its values, converted on reading by the field's kind."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    unit: str
    values: tuple[Annotated[float, PLAIN_NUMBER], ...]

    def si(self, kind: Kind) -> tuple[float, ...]:
        """Values in SI; raises UnitError for a unit that is not of this kind."""
        scale = parse(f"1 {self.unit}", kind)
        return tuple(value * scale for value in self.values)

    def mistakes(self, kind: Kind) -> list[str]:
        """What is wrong with the row by itself."""
        wrong = []
        try:
            self.si(kind)
        except UnitError as error:
            wrong.append(str(error))
        if not all(math.isfinite(value) and 0 <= value < 1e7 for value in self.values):
            wrong.append("every value must be a finite number, zero or more")
        return wrong


class Curve(BaseModel):
    """The measured points: head, and optionally power and required NPSH, against flow.

    Raises for fewer than four points, a first flow that is not zero, flows that do not rise, heads
    that do not fall, or rows of different lengths.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    flow: Series
    head: Series
    power: Series | None = None
    npsh_required: Series | None = None

    @model_validator(mode="after")
    def _check(self) -> "Curve":
        rows: dict[str, tuple[Series | None, Kind]] = {
            "flow": (self.flow, "flow"),
            "head": (self.head, "length"),
            "power": (self.power, "power"),
            "npsh_required": (self.npsh_required, "length"),
        }
        wrong = [
            f"{name}: {mistake}"
            for name, (row, kind) in rows.items()
            if row is not None
            for mistake in row.mistakes(kind)
        ]
        flow, head = self.flow.values, self.head.values
        if len(flow) < _FEWEST_POINTS:
            wrong.append(f"a curve needs at least {_FEWEST_POINTS} points; this has {len(flow)}")
        if flow and flow[0] != 0:
            wrong.append("the first flow must be 0, so that the shut-off head is known")
        if any(b <= a for a, b in pairwise(flow)):
            wrong.append("flow must rise from point to point")
        if any(b >= a for a, b in pairwise(head)):
            wrong.append("head must fall from point to point; check for a swapped or mistyped pair")
        if head and head[0] <= 0:
            wrong.append("the shut-off head must be above zero")
        for name, (row, _) in rows.items():
            if row is not None and len(row.values) != len(flow):
                wrong.append(f"{name} has {len(row.values)} values but flow has {len(flow)}")
        if wrong:
            raise PydanticCustomError("pump", "{why}", {"why": "\n".join(wrong)})
        return self


class PumpCurve(BaseModel):
    """A pump as its file states it, at its rated supply.

    Methods take flow [m³/s], scalar or array, at rated speed; outside the measured points the
    answer is NaN. Heads in metres of the pumped water, power in watts.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    name: OneLine
    note: OneLine = ""
    drive: Literal["ac", "dc"]
    rated_supply: Voltage
    rated_frequency: Frequency | None = None
    self_priming: bool = False
    port: Bore
    curve: Curve

    @model_validator(mode="after")
    def _check(self) -> "PumpCurve":
        if self.drive == "ac" and self.rated_frequency is None:
            raise PydanticCustomError("pump", 'an "ac" pump needs rated_frequency, as "60 Hz"')
        if self.drive == "dc" and self.rated_frequency is not None:
            raise PydanticCustomError("pump", 'a "dc" pump has no rated_frequency')
        return self

    @cached_property
    def head_curve(self) -> MonotoneCurve:
        """Head [m] against flow [m³/s]."""
        return MonotoneCurve(self.curve.flow.si("flow"), self.curve.head.si("length"))

    @property
    def shutoff_head(self) -> float:
        """Head at no flow [m]."""
        return float(self.head_curve.y[0])

    @property
    def last_flow(self) -> float:
        """Flow at the last measured point [m³/s]."""
        return float(self.head_curve.x[-1])

    def head(self, flow: ArrayLike) -> Array:
        """Head [m] at `flow`."""
        return self.head_curve(flow)

    def power(self, flow: ArrayLike) -> Array:
        """Electrical power [W] at `flow`; NaN where the file states none."""
        return _at(self._power_curve, flow)

    def npsh_required(self, flow: ArrayLike) -> Array:
        """Required net positive suction head [m] at `flow`; NaN where the file states none."""
        return _at(self._npsh_curve, flow)

    @cached_property
    def _power_curve(self) -> MonotoneCurve | None:
        return self._row(self.curve.power, "power")

    @cached_property
    def _npsh_curve(self) -> MonotoneCurve | None:
        return self._row(self.curve.npsh_required, "length")

    def _row(self, row: Series | None, kind: Kind) -> MonotoneCurve | None:
        return None if row is None else MonotoneCurve(self.head_curve.x, row.si(kind))


def _at(curve: MonotoneCurve | None, flow: ArrayLike) -> Array:
    return np.full(np.shape(flow), np.nan) if curve is None else curve(flow)


class UnknownPumpError(LookupError):
    """No such pump in the catalogue; the text gives the nearest names."""


@cache
def load_pump(name: str) -> PumpCurve:
    """A pump of the catalogue, in whatever case its name is written.

    Raises UnknownPumpError for a name that is not there.

    >>> load_pump("demo-ac-350").drive
    'ac'
    """
    known = catalogue_name(name)
    if known not in catalogue():
        near = (
            difflib.get_close_matches(known.lower(), catalogue(), n=3, cutoff=0.3)
            or catalogue()[:3]
        )
        raise UnknownPumpError(f"no pump {name!r} in the catalogue; nearest: {', '.join(near)}")
    return read_pump(folder() / f"{known}.toml")


def read_pump(path: str | Path) -> PumpCurve:
    """A pump from a file of its own.

    Raises OSError where it cannot be read; ValueError where its text is wrong, among its kinds
    ``pydantic.ValidationError``.
    """
    data = tables(read_text(path, "pump"), "pump")
    return PumpCurve.model_validate(data, context={"text": True})


def pump_by_reference(value: Any, info: ValidationInfo) -> Any:
    """PumpCurve named in a job: a catalogue name, a path beside the job file, or its tables.

    A path ends in ``.toml``. Meant as a pydantic validator; its errors are pydantic custom errors.
    """
    if isinstance(value, PumpCurve):
        return value
    if isinstance(value, dict):
        try:
            return PumpCurve.model_validate(value, context=info.context)
        except ValidationError as error:
            why = "\n".join(pump_problems(error))
            raise PydanticCustomError("pump", "{why}", {"why": why}) from None
    if not isinstance(value, str):
        raise PydanticCustomError("pump", "a pump is named by text, such as demo-ac-350")
    try:
        if not value.lower().endswith(".toml"):
            return load_pump(value)
        return read_pump(Path((info.context or {}).get("folder", ".")) / value)
    except UnknownPumpError as error:
        why = str(error.args[0])
    except OSError as error:
        why = f"pump file {value!r} cannot be read: {error.strerror or error}"
    except ValueError as error:
        why = "\n".join(f"pump file {value!r}: {line}" for line in pump_problems(error))
    raise PydanticCustomError("pump", "{why}", {"why": why})


def pump_problems(error: ValueError) -> list[str]:
    """Lines that say what is wrong with a pump file, from the error that reading it raised."""
    if isinstance(error, ValidationError):
        return [line for item in once(error.errors(), _known) for line in _lines(item)]
    return [str(error)]


def _known(item: Mapping[str, Any]) -> Iterable[str]:
    """The keys of the table in which a mistake stands."""
    steps = item["loc"]
    if steps and steps[0] == "curve":
        return Curve.model_fields if len(steps) < 3 else Series.model_fields
    return PumpCurve.model_fields


def _lines(item: dict[str, Any]) -> list[str]:
    where = " ".join(str(step + 1 if isinstance(step, int) else step) for step in item["loc"])
    lines = why(item, _known(item)).splitlines()
    return [f"{where}: {line}" if where else line for line in lines]
